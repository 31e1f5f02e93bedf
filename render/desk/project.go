package desk

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"afterchord/acoustics/plural"
	"afterchord/acoustics/room"
	"afterchord/sim/score"
	"afterchord/sim/score/file"
	"afterchord/voicing"
)

// Project is what project.json holds: a piece, its rewritings, and how it is looked at.
type Project struct {
	ID       string      `json:"id"`
	Version  int         `json:"version"` // counts the saves, from 1
	Name     string      `json:"name"`
	Saved    time.Time   `json:"saved"`
	Scores   []ScoreFile `json:"scores"`             // the first as it came
	Response *OwnFile    `json:"response,omitempty"` // the user's building: a recording or a description
	Organ    *OwnFile    `json:"organ,omitempty"`    // the user's organ
	A        Side        `json:"a"`
	B        *Side       `json:"b,omitempty"`
	Active   string      `json:"active"` // "a" or "b"
	Names    Names       `json:"names,omitzero"`
	Past     []Past      `json:"past,omitempty"`

	// Removed is when the user put the project away; it goes for good after keptRemoved, or when its room is needed.
	Removed *time.Time `json:"removed,omitempty"`
}

// ScoreFile is one state of the score: a file in the project's folder.
type ScoreFile struct {
	File  string `json:"file"`
	Shown string `json:"shown"` // its name as it came, for people
	From  int    `json:"from"`  // index of the score it was made from; its own for the first
	Why   string `json:"why,omitempty"`

	// Edition counts the versions that came from the user; 0 for the first, and for what was rewritten here.
	Edition int `json:"edition,omitempty"`

	// What it was rewritten against: the finding's number in the run of Side.
	Finding int   `json:"finding,omitempty"`
	Side    *Side `json:"side,omitempty"`
}

// OwnFile is a building or an organ of the user's: a file in the project's folder, and what there is to choose in it.
type OwnFile struct {
	File      string   `json:"file"`
	Shown     string   `json:"shown"`
	Title     string   `json:"title,omitempty"`
	Seats     []string `json:"seats,omitempty"`     // of a building
	Divisions []string `json:"divisions,omitempty"` // of an organ
}

// Side is one version to be looked at and heard: a score with its building, organ and player.
type Side struct {
	Score    int               `json:"score"` // index into Project.Scores
	Room     string            `json:"room"`  // a built-in room, "rt" or own
	RT       float64           `json:"rt"`    // s, of the room "rt"
	Seat     string            `json:"seat"`
	People   string            `json:"people,omitempty"` // how full the building is: empty (or ""), half or full
	Organ    string            `json:"organ"`            // a built-in organ or own
	Tempo    float64           `json:"tempo"`            // factor
	Assign   map[string]string `json:"assign,omitempty"`
	Dynamics []Mark            `json:"dynamics,omitempty"`
	Stops    string            `json:"stops,omitempty"` // lines of a stops file

	AsPrinted bool    `json:"as_printed,omitempty"` // every bar once: no repeats, voltas or jumps
	Upbeat    float64 `json:"upbeat,omitempty"`     // of a MIDI file, crotchets; 0: as the music tells, -1: none
}

// Mark replaces the dynamic of a part from a bar on.
type Mark struct {
	Part    string `json:"part"`
	Bar     int    `json:"bar"`
	Dynamic string `json:"dynamic"`
}

// Names are what the user calls the two versions; empty where that is A and B.
type Names struct {
	A string `json:"a,omitempty"`
	B string `json:"b,omitempty"`
}

// clean makes the names fit to be shown.
func (n Names) clean() Names {
	return Names{cleanText(n.A, maxVersionName), cleanText(n.B, maxVersionName)}
}

// Past is an earlier state that undo goes back to.
type Past struct {
	What  string `json:"what"`
	A     Side   `json:"a"`
	B     *Side  `json:"b,omitempty"`
	Names Names  `json:"names,omitzero"`
}

// own names the building or the organ that the project brings.
const own = "own"

// fillings are how full a building may be.
var fillings = []string{"", "empty", "half", "full"}

// Bounds of a project.
const (
	maxPast        = 60
	maxPastBytes   = 512 << 10 // of all earlier states
	maxSideBytes   = 384 << 10
	maxScores      = 200
	maxName        = 120
	maxVersionName = 40
	maxStops       = 64 << 10
	maxUpbeat      = 64 // crotchets
)

// firstSide is what a new project begins with.
func firstSide() Side {
	return Side{Room: "cathedral", RT: 7, Seat: "middle", Organ: "minster", Tempo: 1}
}

// check says what is wrong with a project that a page sent.
func (p *Project) check() error {
	if p.Name = cleanName(p.Name); p.Name == "" {
		p.Name = "Untitled"
	}
	if p.Active != "b" || p.B == nil {
		p.Active = "a"
	}
	p.Names = p.Names.clean()
	p.forget()
	if err := p.A.check(p); err != nil {
		return err
	}
	if p.B != nil {
		if err := p.B.check(p); err != nil {
			return err
		}
	}
	for i := range p.Past {
		p.Past[i].What, p.Past[i].Names = cleanName(p.Past[i].What), p.Past[i].Names.clean()
		for _, s := range []*Side{&p.Past[i].A, p.Past[i].B} {
			if s == nil {
				continue
			}
			if err := s.check(p); err != nil {
				return fmt.Errorf("an earlier state: %w", err)
			}
		}
	}
	return nil
}

// forget drops the oldest of the earlier states where there are too many, or too much in them.
func (p *Project) forget() {
	p.Past = p.Past[max(0, len(p.Past)-maxPast):]
	left := maxPastBytes
	for i, x := range slices.Backward(p.Past) {
		if left -= x.A.size() + x.B.size(); left < 0 {
			p.Past = p.Past[i+1:]
			return
		}
	}
}

// size is about how many bytes a side takes in a file.
func (s *Side) size() int {
	if s == nil {
		return 0
	}
	n := 300 + len(s.Stops) + len(s.Stops)/8
	for part, division := range s.Assign {
		n += len(part) + len(division) + 8
	}
	for _, m := range s.Dynamics {
		n += len(m.Part) + len(m.Dynamic) + 40
	}
	return n
}

// whole says what keeps a project that was read from being used.
func (p *Project) whole() error {
	if len(p.Scores) == 0 || len(p.Scores) > maxScores {
		return fmt.Errorf("it names %d scores", len(p.Scores))
	}
	for i, f := range p.Scores {
		switch {
		case !projectFile.MatchString(f.File):
			return fmt.Errorf("a score cannot be called %q", clip(f.File))
		case f.From < 0 || f.From >= len(p.Scores):
			return fmt.Errorf("score %d was made from score %d, which is not there", i, f.From)
		case f.Side != nil && f.Side.check(p) != nil:
			p.Scores[i].Side = nil // what it was rewritten against is told no more
		}
	}
	for _, own := range []*OwnFile{p.Response, p.Organ} {
		if own != nil && !projectFile.MatchString(own.File) {
			return fmt.Errorf("a file cannot be called %q", clip(own.File))
		}
	}
	p.Past = slices.DeleteFunc(p.Past, func(x Past) bool { return x.A.check(p) != nil || x.B != nil && x.B.check(p) != nil })
	return p.check()
}

func (s *Side) check(p *Project) error {
	switch {
	case s.Score < 0 || s.Score >= len(p.Scores):
		return fmt.Errorf("there is no score %d in this project", s.Score)
	case s.Room != "rt" && s.Room != own && !slices.Contains(room.BuiltIns(), s.Room):
		return fmt.Errorf("there is no room %q", clip(s.Room))
	case s.Room == own && p.Response == nil:
		return fmt.Errorf("this project has no building of its own")
	case s.Room == "rt" && !(s.RT >= room.MinRT60 && s.RT <= room.MaxRT60):
		return fmt.Errorf("reverberation time %g s: give seconds from %g to %g", s.RT, room.MinRT60, room.MaxRT60)
	case !slices.Contains(fillings, s.People):
		return fmt.Errorf("people %q: give empty, half or full", clip(s.People))
	case s.Organ == own && p.Organ == nil:
		return fmt.Errorf("this project has no organ of its own")
	case s.Organ != own && !slices.Contains(voicing.BuiltIns(), s.Organ):
		return fmt.Errorf("there is no organ %q", clip(s.Organ))
	case !(s.Tempo >= 0.05 && s.Tempo <= 10):
		return fmt.Errorf("tempo factor %g: give 0.05 to 10", s.Tempo)
	case math.IsNaN(s.RT) || s.RT < 0 || s.RT > 100:
		return fmt.Errorf("reverberation time %g s cannot be", s.RT)
	case !(s.Upbeat == file.NoUpbeat || s.Upbeat >= 0 && s.Upbeat <= maxUpbeat):
		return fmt.Errorf("an upbeat of %s: give more than 0 and at most %d, 0 for a guess or -1 for none", plural.Number(s.Upbeat, "crotchet"), maxUpbeat)
	case len(s.Seat) > 40, len(s.Assign) > 256, len(s.Dynamics) > 2000, len(s.Stops) > maxStops:
		return fmt.Errorf("too many settings to keep in one project")
	case s.size() > maxSideBytes:
		return fmt.Errorf("the stops, dynamics and divisions of a version take %d KB, more than the %d KB that are kept: take some of the dynamics or lines of stops out", s.size()>>10, maxSideBytes>>10)
	}
	for _, m := range s.Dynamics {
		if _, ok := score.ParseDynamic(m.Dynamic); !ok {
			return fmt.Errorf("there is no dynamic %q", clip(m.Dynamic))
		}
	}
	return nil
}

// cleanName makes a name fit to be shown: printable, on one line, short.
func cleanName(s string) string { return cleanText(s, maxName) }

// cleanText makes a text of at most so many characters fit to be shown on one line.
func cleanText(s string, most int) string {
	s = strings.Map(func(r rune) rune {
		if r == utf8.RuneError || !unicode.IsPrint(r) {
			return ' '
		}
		return r
	}, s)
	r := []rune(strings.Join(strings.Fields(s), " "))
	return string(r[:min(len(r), most)])
}

// clip shortens a word of a client that comes back in a message.
func clip(s string) string {
	s = cleanName(s)
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}
