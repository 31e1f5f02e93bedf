package remedy

import (
	"fmt"
	"slices"
	"strings"

	"afterchord/acoustics/plural"
	"afterchord/sim/score"
)

// OctaveNearer brings notes for which there is no key within the keyboard. A low note goes to the pedal, an octave up, where a 16 ft stop
// sounds the pitch that is written and the feet are at rest; of an octave whose other key is there the one beyond the keys goes; else the
// notes move by an octave: those beyond the keys alone where they leap, as basses do, and the line that they stand in where it moves by
// steps. Last, the passage is played an octave nearer from a stop an octave off, 4 ft or 16 ft for 8 ft, at the pitch that is written (all
// common practice).
func OctaveNearer(c *Case) []Draft {
	beyond := c.beyondKeys()
	if len(beyond) == 0 {
		return nil
	}
	if c.Performance.Assignments[beyond[0].Part].OctaveHigher {
		return c.partHigher(beyond[0].Part)
	}
	drafts := []func([]score.Note) (Draft, bool){c.lowToPedal, c.notesNearer, c.lineNearer, c.stopNearer}
	if c.asLine(beyond) {
		drafts[1], drafts[2] = drafts[2], drafts[1]
	}
	var out []Draft
	for _, write := range drafts {
		if x, ok := write(beyond); ok {
			out = append(out, x)
		}
	}
	return out
}

// beyondKeys are the finding's notes that lie beyond the keys of their keyboard.
func (c *Case) beyondKeys() []score.Note {
	var out []score.Note
	for _, n := range c.Notes() {
		if c.nearer(n) != 0 {
			out = append(out, n)
		}
	}
	return out
}

// nearer is by how many semitones, in octaves, a note must move to have a key; 0 where it has one, or has none in any octave.
func (c *Case) nearer(n score.Note) int {
	d := &c.Input.Organ.Divisions[c.Division(n.Part)]
	switch {
	case n.Key < d.LowKey:
		return (d.LowKey - n.Key + 11) / 12 * 12
	case n.Key > d.HighKey:
		return -(n.Key - d.HighKey + 11) / 12 * 12
	}
	return 0
}

// notesNearer moves the notes beyond the keys alone, and leaves those out whose key is struck already where they would go.
func (c *Case) notesNearer(beyond []score.Note) (Draft, bool) {
	d := c.pen()
	moved, gone := 0, 0
	stop := ""
	for _, n := range beyond {
		by := c.nearer(n)
		switch other, ok := c.onKey(n, n.Key+by); {
		case ok && other.On <= n.On: // of an octave the other key is there
			d.remove(n.ID)
			gone++
		case ok && other.On >= n.Off-grid(c.Score()) && other.Part == n.Part: // the octave follows, as in a bass that is broken: it comes in its place
			d.remove(n.ID)
			x := d.note(other.ID)
			x.On, x.Written = n.On, x.Off-n.On
			gone++
		default:
			x := d.note(n.ID)
			x.Key += by
			if ok {
				x.Off = other.On
				x.Written = min(x.Written, x.Off-x.On)
			}
			d.touched[n.ID] = true
			moved++
		}
		stop = c.soundsWritten(n, by)
	}
	var what []string
	if moved > 0 {
		what = append(what, plural.Count(moved, "note beyond the keys moves", "notes beyond the keys move")+" an octave nearer")
	}
	if gone > 0 {
		what = append(what, plural.Count(gone, "note is left out whose octave sounds", "notes are left out whose octaves sound")+" already")
	}
	return d.finish(false, "In %s, %s%s. It costs the line its farthest octave.", c.bars(), strings.Join(what, ", "), stop)
}

// onKey is the first note on a key of a note's keyboard that sounds while the note does, or begins where it ends.
func (c *Case) onKey(n score.Note, key int) (other score.Note, ok bool) {
	overlapping(c.Score(), n.On, n.Off+grid(c.Score()), func(m score.Note) {
		if !ok && m.ID != n.ID && m.Key == key && c.Division(m.Part) == c.Division(n.Part) && m.Off > n.On {
			other, ok = m, true
		}
	})
	return other, ok
}

// soundsWritten says which stop that is drawn sounds the written pitch of a note that moves: "; Bourdon 16 sounds the pitch that is written".
func (c *Case) soundsWritten(n score.Note, by int) string {
	feet := 16.0
	switch by {
	case 12:
	case -12:
		feet = 4
	default:
		return ""
	}
	if stop := c.drawnOf(n, []float64{feet}); stop != "" {
		return "; " + stop + " sounds the pitch that is written"
	}
	return ""
}

// lowToPedal gives the notes below the keys to a pedal part that rests there, an octave up, where the pedal has a stop of 16 ft.
func (c *Case) lowToPedal(beyond []score.Note) (Draft, bool) {
	d := c.pen()
	for _, n := range beyond {
		if c.nearer(n) != 12 || c.Pedal(n.Part) || !c.toPedal(d, n, n.Key+12) {
			return Draft{}, false
		}
	}
	x := beyond[0]
	x.Part = d.note(x.ID).Part
	if len(c.stopsOf(x, 16)) == 0 {
		return Draft{}, false
	}
	return d.finish(false, "In %s, the pedal takes %s an octave up; a 16 ft stop sounds the pitch that is written. It costs the feet their rest.",
		c.bars(), plural.Count(len(beyond), "note below the keys", "notes below the keys"))
}

// stepwise is how many semitones a line moves at the most from note to note where it goes by steps and small leaps.
const stepwise = 7

// leastLine is how many notes are a line.
const leastLine = 3

// asLine reports whether the notes beyond the keys are better moved with the line that they stand in: of single notes that is a tune or a
// run, high, quick, or by steps. A slow bass that leaps may leap elsewhere.
func (c *Case) asLine(beyond []score.Note) bool {
	for _, n := range beyond {
		line := c.lineAbout(n)
		if len(line) >= leastLine && (c.nearer(n) < 0 || 4*(n.Off-n.On) <= c.Score().TicksPerCrotchet) {
			continue
		}
		i := slices.IndexFunc(line, func(m score.Note) bool { return m.ID == n.ID })
		for _, j := range [2]int{i - 1, i + 1} {
			if j >= 0 && j < len(line) && max(line[j].Key-n.Key, n.Key-line[j].Key) > stepwise {
				return false
			}
		}
		if len(line) < leastLine {
			return false
		}
	}
	return true
}

// lineAbout is the line of single notes of a part about a note, from rest or chord to rest or chord, a bar to each side at the most.
func (c *Case) lineAbout(n score.Note) []score.Note {
	s := c.Score()
	bar := s.Bars[s.BarAt(n.On)]
	st := strokes(s, n.Part, max(0, bar.Start-bar.Length), bar.Start+2*bar.Length-1)
	at := slices.IndexFunc(st, func(x stroke) bool { return x.at == n.On })
	if at < 0 || len(st[at].notes) > 1 {
		return []score.Note{n}
	}
	joined := func(a, b stroke) bool {
		return len(a.notes) == 1 && len(b.notes) == 1 && b.at-a.notes[0].Off <= s.TicksPerCrotchet/4 && a.notes[0].Off-b.at <= grid(s)
	}
	from, to := at, at
	for from > 0 && joined(st[from-1], st[from]) {
		from--
	}
	for to+1 < len(st) && joined(st[to], st[to+1]) {
		to++
	}
	if from == 0 { // it has no beginning near: that of the bar will do, and so for the end
		for st[from].at < bar.Start {
			from++
		}
	}
	if to == len(st)-1 {
		for st[to].at >= bar.Start+bar.Length {
			to--
		}
	}
	var out []score.Note
	for _, x := range st[from : to+1] {
		out = append(out, x.notes[0])
	}
	return out
}

// lineNearer moves the whole line in which a note lies beyond the keys, so that it keeps its shape.
func (c *Case) lineNearer(beyond []score.Note) (Draft, bool) {
	d := c.pen()
	for _, n := range beyond {
		line := c.lineAbout(n)
		if len(line) < leastLine {
			return Draft{}, false
		}
		by := c.nearer(n)
		for _, m := range line {
			if d.touched[m.ID] {
				continue
			}
			if !c.has(m.Part, m.Key+by) {
				return Draft{}, false
			}
			d.note(m.ID).Key += by
			d.touched[m.ID] = true
		}
	}
	x, ok := d.finish(false, "The line in %s moves an octave nearer, %s of it. It costs the line its register.", c.bars(), plural.Count(len(d.touched), "note"))
	x.Price = 0.2
	return x, ok
}

// stopNearer plays what a manual has in the finding's bars an octave nearer from one stop an octave off, alone, and gives it back what it had.
func (c *Case) stopNearer(beyond []score.Note) (Draft, bool) {
	n := beyond[0]
	by := c.nearer(n)
	div := c.Division(n.Part)
	feet := map[int]float64{12: 16, -12: 4}[by]
	stops := c.stopsOf(n, feet)
	if c.Pedal(n.Part) || feet == 0 || len(stops) == 0 {
		return Draft{}, false
	}
	from, to := c.span()
	if t, ok := c.breath(from+1, false); ok && c.Score().BarAt(t) == c.Score().BarAt(from) {
		from = t
	}
	d := c.pen()
	fits := true
	overlapping(c.Score(), from, to, func(m score.Note) {
		if c.Division(m.Part) != div {
			return
		}
		if m.On < from || m.Off > to || !c.has(m.Part, m.Key+by) {
			fits = false
			return
		}
		d.note(m.ID).Key += by
		d.touched[m.ID] = true
	})
	if !fits || slices.ContainsFunc(beyond, func(n score.Note) bool { return !d.touched[n.ID] }) {
		return Draft{}, false
	}
	name := c.Input.Organ.Divisions[div].Name
	d.word(score.Word{At: from, Part: n.Part, Kind: c.textKind(), Text: fmt.Sprintf("%s: %s", name, stops[0].name)})
	if drawn := c.drawnAt(div, n.On); to < d.End && len(drawn) > 0 {
		d.word(score.Word{At: to, Part: n.Part, Kind: c.textKind(), Text: fmt.Sprintf("%s: %s", name, strings.Join(drawn, ", "))})
	}
	far := "lower"
	if by > 0 {
		far = "higher"
	}
	x, ok := d.finish(false, "The %s is played an octave %s in %s from %s alone, at the pitch that is written. It costs a change of stops before and after, and the 8 ft tone.",
		name, far, c.bars(), stops[0].name)
	x.Price = 0.5
	return x, ok
}

// partHigher writes a pedal part an octave higher that is at the pitch of a 16 ft stop.
func (c *Case) partHigher(part int) []Draft {
	d := c.pen()
	for i := range d.Notes {
		if n := &d.Notes[i]; n.Part == part {
			n.Key += 12
			d.touched[n.ID] = true
		}
	}
	return single(d.finish(false, "%s is written an octave higher, as it is played; its 16 ft stops sound the octave below. It costs nothing that is heard.", c.Score().Parts[part].Name))
}
