package engraving

import (
	"bytes"
	"fmt"

	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/score"
	"afterchord/sim/score/musicxml"
	"afterchord/voicing"
)

// Music is a score as a page engraves it. It does not depend on what was found in it: the
// marks of findings are laid over the engraving.
type Music struct {
	MusicXML string // each note in a colour that is its number, see noteNumbers
	Bars     int    // printed
	Guessed  bool   // from a MIDI file
}

// Bounds on what is engraved; more would keep a browser busy for minutes.
const (
	mostXML    = 6 << 20 // bytes
	mostBars   = 400
	mostStaves = 16
)

// NewMusic prepares a score for engraving. A score from a MIDI file is written out anew:
// durations and spelling are guessed from the sound, and of its texts those that a player reads stand
// over the staves. It errs where the score is too long to engrave.
func NewMusic(s *score.Score, o *voicing.Organ) (*Music, error) {
	m := &Music{Guessed: !isNotation(s)}
	for i := range s.Bars {
		m.Bars = max(m.Bars, printedBar(s, s.Bars[i].Start)+1)
	}
	if n := len(s.Parts); n > mostStaves {
		return nil, fmt.Errorf("%d staves are too many to engrave in a page (at most %d)", n, mostStaves)
	}
	if m.Bars > mostBars {
		return nil, fmt.Errorf("%d bars are too many to engrave in a page (at most %d)", m.Bars, mostBars)
	}
	numbers := noteNumbers(s)
	colours := make([]musicxml.Annotation, len(s.Notes))
	for i, n := range s.Notes {
		colours[i] = musicxml.Annotation{NoteIDs: []int{n.ID}, Color: fmt.Sprintf("#%06X", numbers[n.ID])}
	}
	var b bytes.Buffer
	if err := musicxml.Annotate(&b, forReaders(s, o), colours, severityColors...); err != nil {
		return nil, err
	}
	if b.Len() > mostXML {
		return nil, fmt.Errorf("%d MB of notation are too much to engrave in a page (at most %d)", b.Len()>>20, mostXML>>20)
	}
	m.MusicXML = b.String()
	return m, nil
}

// noteNumbers says as which note each note is printed: one that is repeated is printed once, and so is
// one with an ornament. The numbers go into the page as colours, the one
// thing about a note that the engraving library hands on.
func noteNumbers(s *score.Score) map[int]int {
	type printed struct {
		bar, part, voice, key int
		at                    score.Tick
	}
	last := make(map[printed]int, len(s.Notes))
	where := make([]printed, len(s.Notes))
	for i, n := range s.Notes {
		where[i] = printed{printedBar(s, n.On), n.Part, n.Voice, n.Key, n.On - s.Bars[s.BarAt(n.On)].Start}
		last[where[i]] = n.ID
	}
	inFile := musicxml.PrintedNotes(s)
	out := make(map[int]int, len(s.Notes))
	for i, n := range s.Notes {
		number, ok := inFile[n.ID]
		if !ok {
			number = last[where[i]]
		}
		out[n.ID] = number & 0xFFFFFF
	}
	return out
}

// Sheet is a score to be engraved in a page, with the places of the findings on it and the times
// of its bars.
type Sheet struct {
	Music
	Places  []Place
	Moments []Moment
}

// Place is where a finding stands on the page: its first and last printed bar, from 0 in file
// order, its first and last staff, from 0 through all parts, and its notes.
type Place struct {
	ID        int     `json:"id"`
	FromBar   int     `json:"fromBar"`
	ToBar     int     `json:"toBar"`
	FromStaff int     `json:"fromStaff"`
	ToStaff   int     `json:"toStaff"`
	Share     float64 `json:"share"` // of the first bar, where it begins
	Notes     []int   `json:"notes"` // as they are numbered in Music
}

// NewSheet prepares the score of a proof, as it was played, for engraving. It errs where
// NewMusic does.
func NewSheet(p *proof.Proof) (*Sheet, error) {
	m, err := NewMusic(p.Score, p.Organ)
	if err != nil {
		return nil, err
	}
	return m.Sheet(p), nil
}

// Sheet lays the findings of a proof of the score over it.
func (m *Music) Sheet(p *proof.Proof) *Sheet {
	return &Sheet{Music: *m, Places: NewPlaces(p), Moments: NewMoments(p.Score)}
}

// printedBar is the place on the page of the bar that sounds at a tick, from 0.
func printedBar(s *score.Score, at score.Tick) int {
	if i, ok := musicxml.PrintedBar(s, at); ok {
		return i
	}
	return s.BarAt(at)
}

// NewPlaces says where the findings of a proof stand on the page, in their order.
func NewPlaces(p *proof.Proof) []Place {
	s := p.Score
	notes := make(map[int]score.Note, len(s.Notes))
	for _, n := range s.Notes {
		notes[n.ID] = n
	}
	numbers := noteNumbers(s)
	out := make([]Place, 0, len(p.Document.Findings))
	for _, f := range p.Document.Findings {
		out = append(out, placeOf(p, f, notes, numbers))
	}
	return out
}

func placeOf(p *proof.Proof, f finding.Finding, notes map[int]score.Note, numbers map[int]int) Place {
	s := p.Score
	at, until := stretch(p, f)
	x := Place{ID: f.ID, FromBar: printedBar(s, at), FromStaff: len(s.Parts) - 1, Notes: []int{}}
	if b := s.Bars[s.BarAt(at)]; b.Length > 0 {
		x.Share = float64(at-b.Start) / float64(b.Length)
	}
	x.ToBar = max(x.FromBar, printedBar(s, max(at, until-1))) // a repeat may lie between
	for _, id := range f.Notes {
		n, ok := notes[id]
		if !ok {
			continue
		}
		x.Notes = append(x.Notes, numbers[id])
		x.FromStaff, x.ToStaff = min(x.FromStaff, n.Part), max(x.ToStaff, n.Part)
		if f.Count > 1 { // several places, maybe on both times through
			bar := printedBar(s, n.On)
			if bar < x.FromBar {
				x.FromBar, x.Share = bar, 0
			}
			x.ToBar = max(x.ToBar, bar)
		}
	}
	if x.FromStaff > x.ToStaff { // it names no notes
		x.FromStaff, x.ToStaff = 0, len(s.Parts)-1
	}
	return x
}

// Moment ties a time of the playing to a place on the page: seconds from the start, the printed
// bar from 0 and the share of it that is over. Between two moments the pace is even; the last is the end.
type Moment struct {
	AtS   float64
	Bar   int
	Share float64
}

// NewMoments lists the beginnings of the bars as they are played, the changes of speed within
// them, and the end.
func NewMoments(s *score.Score) []Moment {
	var out []Moment
	next := 0 // tempo
	for _, b := range s.Bars {
		if b.Start >= s.End || b.Length <= 0 {
			break
		}
		bar := printedBar(s, b.Start)
		out = append(out, Moment{s.Seconds(b.Start), bar, 0})
		for ; next < len(s.Tempos) && s.Tempos[next].At < b.Start+b.Length; next++ {
			if at := s.Tempos[next].At; at > b.Start {
				out = append(out, Moment{s.Seconds(at), bar, float64(at-b.Start) / float64(b.Length)})
			}
		}
	}
	if len(out) > 0 {
		b := s.Bars[s.BarAt(max(0, s.End-1))]
		out = append(out, Moment{s.Seconds(b.Start + b.Length), printedBar(s, b.Start), 1})
	}
	return out
}

// MarshalJSON writes a moment as [seconds, bar, share].
func (m Moment) MarshalJSON() ([]byte, error) {
	return fmt.Appendf(nil, "[%.3f,%d,%.5g]", m.AtS, m.Bar, m.Share), nil
}
