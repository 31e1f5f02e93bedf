// Package casebook writes the cases that a coach shows composers, each in many ways, and a well-written twin of
// each. It is how the findings are held to be neither deaf nor loud: [Measure] counts in how many of the cases the
// finding is there, in how many of the twins it is there for nothing, and how often a rewriting clears or eases it.
//
// All music is made by rule from a seed: key, mode, metre, tempo, register, harmony, number of staves, names of the
// parts in four languages or none, marks or velocities, MIDI or MusicXML, slurs and dots, organ and room.
package casebook

import (
	"bytes"
	"fmt"
	"strings"

	"afterchord/sim/score"
	"afterchord/sim/score/musicxml"
	"afterchord/sim/score/smf"
)

// unit is a semiquaver; lengths on a page are counted in it.
const unit = 4 // to the crotchet

// chord is what a voice plays at once, in semiquavers; no keys is a rest.
type chord struct {
	keys  []int
	len   int
	slur  int // 1 begins, -1 ends
	dot   bool
	words string
}

// voice is a line of chords on a staff of a part, from the first bar on.
type voice struct {
	part, staff int
	chords      []chord
}

// mark is a dynamic mark or a hairpin ("<", ">", "!") at a bar and semiquaver, on a part's staff.
type mark struct {
	part, staff, bar, at int
	text                 string
}

// part is an instrument with its staves.
type part struct {
	name   string
	staves int
}

// page is a piece before it is a file.
type page struct {
	title       string
	beats, unit int
	tempo       float64
	parts       []part
	voices      []voice
	marks       []mark
	velocity    bool // dynamics as velocities, without marks
}

// bar is its length in semiquavers.
func (p *page) bar() int { return p.beats * 16 / p.unit }

func (p *page) bars() int {
	most := 0
	for _, v := range p.voices {
		n := 0
		for _, c := range v.chords {
			n += c.len
		}
		most = max(most, (n+p.bar()-1)/p.bar())
	}
	return most
}

var velocities = map[string]int{"ppp": 16, "pp": 33, "p": 49, "mp": 64, "mf": 80, "f": 96, "ff": 112, "fff": 126}

// partIndex numbers the staves of all parts in turn.
func (p *page) partIndex(part, staff int) int {
	n := staff
	for _, x := range p.parts[:part] {
		n += x.staves
	}
	return n
}

// midi writes the page as a Standard MIDI File, a track for each staff.
func (p *page) midi() ([]byte, error) {
	const tpq = 480
	s := &score.Score{Title: p.title, File: "case.mid", TicksPerCrotchet: tpq, Tempos: []score.Tempo{{Crotchets: p.tempo}}, Metres: []score.Metre{{Beats: p.beats, Unit: p.unit}}}
	for i, x := range p.parts {
		for st := range x.staves {
			s.Parts = append(s.Parts, score.Part{Name: x.name, Track: len(s.Parts) + 2, Channel: len(s.Parts) + 1})
			_ = st
			_ = i
		}
	}
	tick := func(semis int) score.Tick { return score.Tick(semis) * tpq / unit }
	at := func(part, staff, now int) int { // velocity there
		v := 80
		for _, m := range p.marks {
			if x, ok := velocities[m.text]; ok && m.bar*p.bar()+m.at <= now && (m.part == part && m.staff == staff || m.part == part && p.parts[part].staves > 1) {
				v = x
			}
		}
		return v
	}
	for _, m := range p.marks {
		if p.velocity {
			continue
		}
		w := score.Word{At: tick(m.bar*p.bar() + m.at), Part: p.partIndex(m.part, m.staff), Kind: score.Mark, Text: m.text}
		switch m.text {
		case "<":
			w.Kind, w.Text = score.Text, "cresc."
		case ">":
			w.Kind, w.Text = score.Text, "dim."
		case "!":
			continue
		}
		s.Words = append(s.Words, w)
	}
	for _, v := range p.voices {
		now, pi := 0, p.partIndex(v.part, v.staff)
		for _, c := range v.chords {
			length := tick(c.len)
			if c.dot {
				length /= 2
			}
			for _, k := range c.keys {
				s.Notes = append(s.Notes, score.Note{ID: len(s.Notes) + 1, Part: pi, Key: k, Velocity: at(v.part, v.staff, now), On: tick(now), Off: tick(now) + length, Written: length})
			}
			if c.words != "" {
				s.Words = append(s.Words, score.Word{At: tick(now), Part: pi, Kind: score.Text, Text: c.words})
			}
			now += c.len
			s.End = max(s.End, tick(now))
		}
	}
	s.SortNotes()
	var b bytes.Buffer
	err := smf.Write(&b, s)
	return b.Bytes(), err
}

var typeNames = map[int]string{1: "16th", 2: "eighth", 3: "eighth", 4: "quarter", 6: "quarter", 8: "half", 12: "half", 16: "whole"}

// notation writes the page as MusicXML.
func (p *page) notation() []byte {
	var b strings.Builder
	b.WriteString("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<score-partwise version=\"4.0\"><work><work-title>" + p.title + "</work-title></work><part-list>")
	for i, x := range p.parts {
		fmt.Fprintf(&b, `<score-part id="P%d"><part-name>%s</part-name></score-part>`, i+1, x.name)
	}
	b.WriteString("</part-list>\n")
	bars := p.bars()
	for i, x := range p.parts {
		fmt.Fprintf(&b, "<part id=\"P%d\">\n", i+1)
		next, rest := map[int]int{}, map[int]int{} // chord of each voice, and what is left of the one before
		for bar := range bars {
			fmt.Fprintf(&b, `<measure number="%d">`, bar+1)
			if bar == 0 {
				fmt.Fprintf(&b, `<attributes><divisions>4</divisions><time><beats>%d</beats><beat-type>%d</beat-type></time><staves>%d</staves></attributes>`, p.beats, p.unit, x.staves)
				if i == 0 {
					fmt.Fprintf(&b, `<direction><direction-type><metronome><beat-unit>quarter</beat-unit><per-minute>%g</per-minute></metronome></direction-type><sound tempo="%g"/></direction>`, p.tempo, p.tempo)
				}
			}
			for _, m := range p.marks {
				if m.part != i || m.bar != bar {
					continue
				}
				dt := "<dynamics><" + m.text + "/></dynamics>"
				switch m.text {
				case "<":
					dt = `<wedge type="crescendo"/>`
				case ">":
					dt = `<wedge type="diminuendo"/>`
				case "!":
					dt = `<wedge type="stop"/>`
				}
				fmt.Fprintf(&b, `<direction><direction-type>%s</direction-type><offset>%d</offset><staff>%d</staff></direction>`, dt, m.at, m.staff+1)
			}
			first := true
			for vi, v := range p.voices {
				if v.part != i {
					continue
				}
				if !first {
					fmt.Fprintf(&b, "<backup><duration>%d</duration></backup>", p.bar())
				}
				first = false
				for left := p.bar(); left > 0; {
					c := chord{len: left}
					tied := false
					if rest[vi] > 0 {
						c, tied = v.chords[next[vi]-1], true
						c.len, c.slur, c.words = rest[vi], 0, ""
					} else if next[vi] < len(v.chords) {
						c = v.chords[next[vi]]
						next[vi]++
					}
					rest[vi] = max(0, c.len-left)
					c.len = min(c.len, left)
					p.xmlChord(&b, c, vi+1, v.staff+1, tied, rest[vi] > 0)
					left -= c.len
				}
			}
			b.WriteString("</measure>\n")
		}
		b.WriteString("</part>\n")
	}
	b.WriteString("</score-partwise>\n")
	return []byte(b.String())
}

func (p *page) xmlChord(b *strings.Builder, c chord, voice, staff int, from, to bool) {
	if c.words != "" {
		fmt.Fprintf(b, `<direction><direction-type><words>%s</words></direction-type><staff>%d</staff></direction>`, c.words, staff)
	}
	tail := fmt.Sprintf("<duration>%d</duration><voice>%d</voice>", c.len, voice)
	if t, ok := typeNames[c.len]; ok {
		tail += "<type>" + t + "</type>"
		if c.len%3 == 0 {
			tail += "<dot/>"
		}
	}
	tail += fmt.Sprintf("<staff>%d</staff>", staff)
	if len(c.keys) == 0 {
		b.WriteString("<note><rest/>" + tail + "</note>")
		return
	}
	for i, k := range c.keys {
		b.WriteString("<note>")
		if i > 0 {
			b.WriteString("<chord/>")
		}
		step := "CCDDEFFGGAAB"[k%12]
		b.WriteString("<pitch><step>" + string(step) + "</step>")
		switch k % 12 {
		case 1, 3, 6, 8, 10:
			b.WriteString("<alter>1</alter>")
		}
		ties, tied := "", ""
		if from {
			ties, tied = `<tie type="stop"/>`, `<tied type="stop"/>`
		}
		if to {
			ties, tied = ties+`<tie type="start"/>`, tied+`<tied type="start"/>`
		}
		fmt.Fprintf(b, "<octave>%d</octave></pitch>%s", k/12-1, strings.Replace(tail, "</duration>", "</duration>"+ties, 1))
		if tied != "" {
			b.WriteString("<notations>" + tied + "</notations>")
		} else if i == 0 && (c.slur != 0 || c.dot) {
			b.WriteString("<notations>")
			if c.slur > 0 {
				b.WriteString(`<slur type="start" number="1"/>`)
			}
			if c.slur < 0 {
				b.WriteString(`<slur type="stop" number="1"/>`)
			}
			if c.dot {
				b.WriteString("<articulations><staccato/></articulations>")
			}
			b.WriteString("</notations>")
		} else if c.dot {
			b.WriteString("<notations><articulations><staccato/></articulations></notations>")
		}
		b.WriteString("</note>")
	}
}

// file writes the page in either format and reads it as the program would.
func (p *page) file(notation bool) (*score.Score, []byte, error) {
	if notation {
		data := p.notation()
		s, err := musicxml.Read(data, "case.musicxml")
		return s, data, err
	}
	data, err := p.midi()
	if err != nil {
		return nil, nil, err
	}
	s, err := smf.Read(data, "case.mid")
	return s, data, err
}
