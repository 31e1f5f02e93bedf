package main

import (
	"fmt"
	"strings"

	"afterchord/sim/score"
)

// crotchet is the resolution of the demo pieces, ticks.
const crotchet = 480

// piece is a composition as voices written out in words.
type piece struct {
	file, title string
	tempo       float64 // crotchets a minute
	lines       []line
	voices      []voice
}

// line is a division with its dynamic marks.
type line struct {
	name   string
	marks  []mark
	steps  []step // marks within a bar
	swells []int  // bars in which a crescendo begins
}

// step is a mark at a beat within a bar, from 1.
type step struct {
	bar, beat int
	dyn       score.Dynamic
}

type mark struct {
	bar int
	dyn score.Dynamic
}

// voice is one voice of a line. Bars are divided by |; a note is a pitch and a
// length ("Bb4q."), R is a rest. w h q e s are a whole note, a half, a crotchet,
// a quaver and a semiquaver; a dot makes it half as long again.
type voice struct {
	line  int
	first int // bar in which it begins
	notes string
}

// velocities by dynamic mark, ppp to fff: the even steps that notation programs use.
var velocities = [...]int{16, 33, 49, 64, 80, 96, 112, 126}

var lengths = map[byte]score.Tick{'w': 4 * crotchet, 'h': 2 * crotchet, 'q': crotchet, 'e': crotchet / 2, 's': crotchet / 4}

const bar = 4 * crotchet

func (p piece) compose() (*score.Score, error) {
	s := &score.Score{
		Title: p.title, File: p.file, TicksPerCrotchet: crotchet,
		Tempos: []score.Tempo{{At: 0, Crotchets: p.tempo}},
		Metres: []score.Metre{{At: 0, Beats: 4, Unit: 4}},
	}
	for i, l := range p.lines {
		s.Parts = append(s.Parts, score.Part{Name: l.name, Track: i + 2, Channel: i + 1})
		for _, m := range l.marks {
			s.Words = append(s.Words, score.Word{At: score.Tick(m.bar-1) * bar, Part: i, Kind: score.Mark, Text: m.dyn.String()})
		}
		for _, m := range l.steps {
			s.Words = append(s.Words, score.Word{At: score.Tick(m.bar-1)*bar + score.Tick(m.beat-1)*crotchet, Part: i, Kind: score.Mark, Text: m.dyn.String()})
		}
		for _, b := range l.swells {
			s.Words = append(s.Words, score.Word{At: score.Tick(b-1) * bar, Part: i, Kind: score.Text, Text: "cresc."})
		}
	}
	for _, v := range p.voices {
		if err := v.write(s, p.lines[v.line]); err != nil {
			return nil, err
		}
	}
	s.SortNotes()
	for i := range s.Notes {
		s.Notes[i].ID = i + 1
	}
	return s, nil
}

func (v voice) write(s *score.Score, l line) error {
	at := score.Tick(v.first-1) * bar
	for i, measure := range strings.Split(v.notes, "|") {
		start := at
		for _, word := range strings.Fields(measure) {
			key, length, err := parseNote(word)
			if err != nil {
				return fmt.Errorf("%s, bar %d: %w", l.name, v.first+i, err)
			}
			if key >= 0 {
				s.Notes = append(s.Notes, score.Note{Part: v.line, Key: key, Velocity: velocities[l.at(v.first+i)], On: at, Off: at + length, Written: length})
			}
			at += length
			s.End = max(s.End, at)
		}
		if at-start != bar {
			return fmt.Errorf("%s, bar %d: %d ticks, a bar has %d", l.name, v.first+i, at-start, bar)
		}
	}
	return nil
}

// at is the dynamic that holds in a bar.
func (l line) at(bar int) score.Dynamic {
	d := score.MF
	for _, m := range l.marks {
		if m.bar <= bar {
			d = m.dyn
		}
	}
	return d
}

// parseNote reads a word such as "F#4e." or "Rq"; key is -1 for a rest.
func parseNote(w string) (key int, length score.Tick, err error) {
	dotted := strings.HasSuffix(w, ".")
	body := strings.TrimSuffix(w, ".")
	if len(body) < 2 {
		return 0, 0, fmt.Errorf("%q is not a note", w)
	}
	length, ok := lengths[body[len(body)-1]]
	if !ok {
		return 0, 0, fmt.Errorf("%q has no length", w)
	}
	if dotted {
		length += length / 2
	}
	pitch := body[:len(body)-1]
	if pitch == "R" {
		return -1, length, nil
	}
	step := strings.IndexByte("C D EF G A B", pitch[0])
	if step < 0 || len(pitch) < 2 {
		return 0, 0, fmt.Errorf("%q is not a pitch", w)
	}
	switch pitch[1] {
	case '#':
		step++
	case 'b':
		step--
	}
	octave := pitch[len(pitch)-1]
	if octave < '0' || octave > '9' {
		return 0, 0, fmt.Errorf("%q has no octave", w)
	}
	return 12*(int(octave-'0')+1) + step, length, nil
}
