package remedy

import (
	"fmt"
	"slices"

	"afterchord/sim/score"
)

// draft is a score under the pen.
type draft struct {
	*score.Score
	at      map[int]int
	touched map[int]bool
	nextID  int
}

// pen begins a draft of the case's score.
func (c *Case) pen() *draft {
	d := &draft{Score: c.Score().Clone(), at: c.index, touched: map[int]bool{}}
	for _, n := range d.Notes {
		d.nextID = max(d.nextID, n.ID)
	}
	d.nextID++
	return d
}

// note is the note of an ID, for editing.
func (d *draft) note(id int) *score.Note { return &d.Notes[d.at[id]] }

// shorten lets a note go at off if that is earlier and leaves at least one grid step.
func (d *draft) shorten(id int, off score.Tick) {
	n := d.note(id)
	off = max(off, n.On+min(d.grid(), n.Off-n.On))
	if off >= n.Off {
		return
	}
	n.Off = off
	n.Written = min(n.Written, off-n.On)
	d.touched[id] = true
}

// grid is the shortest value that remedies write: a demisemiquaver.
func (d *draft) grid() score.Tick { return grid(d.Score) }

func grid(s *score.Score) score.Tick { return max(1, s.TicksPerCrotchet/8) }

// remove leaves notes out. Indexes of other notes stay good until finish.
func (d *draft) remove(id int) {
	d.note(id).Off = -1
	d.touched[id] = true
}

// add puts a new note in.
func (d *draft) add(n score.Note) {
	n.ID = d.nextID
	d.nextID++
	d.touched[n.ID] = true
	d.Notes = append(d.Notes, n)
}

// word puts text over the score.
func (d *draft) word(w score.Word) {
	d.Words = append(d.Words, w)
}

// finish makes a Draft, ok false where nothing was touched.
func (d *draft) finish(extra bool, format string, a ...any) (Draft, bool) {
	if len(d.touched) == 0 && !extra {
		return Draft{}, false
	}
	d.Notes = slices.DeleteFunc(d.Notes, func(n score.Note) bool { return n.Off < 0 })
	d.SortNotes()
	slices.SortStableFunc(d.Words, func(a, b score.Word) int { return int(a.At - b.At) })
	d.Index()
	return Draft{Score: d.Score, What: fmt.Sprintf(format, a...)}, true
}

// single is what a remedy offers that writes one draft: x, nothing where it is not ok.
func single(x Draft, ok bool) []Draft {
	if !ok {
		return nil
	}
	return []Draft{x}
}

// overlapping calls do for the notes of s that sound in [from, to).
func overlapping(s *score.Score, from, to score.Tick, do func(n score.Note)) {
	for _, n := range s.Notes {
		if n.On >= to {
			break
		}
		if n.Off > from {
			do(n)
		}
	}
}

// bars says where a finding is: "bar 7", "bars 3–5".
func (c *Case) bars() string {
	f := c.Finding
	if f.ToBar > f.Bar {
		return fmt.Sprintf("bars %d–%d", f.Bar, f.ToBar)
	}
	return fmt.Sprintf("bar %d", f.Bar)
}

// lasts is how long a note value is at a place as played, s.
func (c *Case) lasts(t, at score.Tick) float64 {
	s := c.Score()
	return float64(t) / float64(s.TicksPerCrotchet) * 60 / (s.TempoAt(at) * c.tempo())
}

// divisionName of a part.
func (c *Case) divisionName(part int) string {
	return c.Input.Organ.Divisions[c.Division(part)].Name
}
