package finding

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"afterchord/sim/performance"
	"afterchord/sim/pipework"
	"afterchord/sim/score"
	"afterchord/voicing"
)

// togetherS is how far apart keys may go down and still be one chord, s.
const togetherS = 0.03

// moment is one or more keys that go down together.
type moment struct {
	atS   float64
	notes []int32 // indexes into Performance.Notes, by key
}

// moments groups the notes that keep wants by when they begin.
func (c *Context) moments(keep func(n *performance.Note) bool) []moment {
	var out []moment
	all := make([]int32, 0, len(c.Performance.Notes)) // of all moments, one behind the other
	from := 0                                         // where the last of them begins
	for i := range c.Performance.Notes {
		n := &c.Performance.Notes[i]
		if !keep(n) {
			continue
		}
		if k := len(out) - 1; k < 0 || n.OnS-out[k].atS > togetherS {
			from = len(all)
			out = append(out, moment{atS: n.OnS})
		}
		all = append(all, int32(i))
		out[len(out)-1].notes = all[from:len(all):len(all)]
	}
	for _, m := range out {
		slices.SortStableFunc(m.notes, func(a, b int32) int {
			return c.Performance.Notes[a].Key - c.Performance.Notes[b].Key
		})
	}
	return out
}

func (c *Context) note(i int32) *performance.Note { return &c.Performance.Notes[i] }

// limbsOf says which notes the feet and which the hands play, keys that are not there left out.
func (c *Context) limbsOf() (feet, hands func(n *performance.Note) bool) {
	feet = func(n *performance.Note) bool { return c.hasKey(n) && c.Organ.Divisions[n.Division].Pedal }
	hands = func(n *performance.Note) bool { return c.hasKey(n) && !c.Organ.Divisions[n.Division].Pedal }
	return feet, hands
}

func (c *Context) hasKey(n *performance.Note) bool {
	d := &c.Organ.Divisions[n.Division]
	return n.Key >= d.LowKey && n.Key <= d.HighKey
}

// held answers which keys are down at a time without going through the whole piece.
type heldKeys struct {
	c       *Context
	longest float64 // s
}

func (c *Context) heldKeys() heldKeys { return heldKeys{c, c.longestS()} }

// longestS is how long the longest note is held, s.
func (c *Context) longestS() float64 {
	c.longestOnce.Do(func() {
		for i := range c.Performance.Notes {
			c.longest = max(c.longest, c.Performance.Notes[i].OffS-c.Performance.Notes[i].OnS)
		}
	})
	return c.longest
}

// at lists the notes that are held at t, by division and key, each key once.
func (h heldKeys) at(t float64, keep func(n *performance.Note) bool) []int32 {
	c := h.c
	notes := c.Performance.Notes
	var out []int32
	for i := sort.Search(len(notes), func(i int) bool { return notes[i].OnS >= t-h.longest }); i < len(notes); i++ {
		n := &notes[i]
		if n.OnS > t {
			break
		}
		if n.OffS > t && keep(n) {
			out = append(out, int32(i))
		}
	}
	slices.SortStableFunc(out, func(a, b int32) int {
		x, y := c.note(a), c.note(b)
		if x.Division != y.Division {
			return x.Division - y.Division
		}
		return x.Key - y.Key
	})
	return slices.CompactFunc(out, func(a, b int32) bool {
		return c.note(a).Division == c.note(b).Division && c.note(a).Key == c.note(b).Key
	})
}

// pipesOf lists the distinct pipes that notes sound under r, sorted.
func (c *Context) pipesOf(r voicing.Registration, notes []int32) []voicing.PipeID {
	var out []voicing.PipeID
	for _, i := range notes {
		out = c.Organ.Reach(out, r, c.note(i).Division, c.note(i).Key)
	}
	slices.SortFunc(out, comparePipes)
	return slices.Compact(out)
}

func comparePipes(a, b voicing.PipeID) int {
	return pipeNumber(a) - pipeNumber(b)
}

func pipeNumber(p voicing.PipeID) int {
	return int(p.Division)<<24 | int(p.Stop)<<16 | int(p.Rank)<<8 | int(p.Key)
}

// steadyBands is the mean-square pressure at the seat, (20 µPa)² per auditory band, of
// pipes that sound for good.
func (c *Context) steadyBands(pipes []voicing.PipeID, atS float64) []float64 {
	dst := make([]float64, c.Field.Model.N())
	for _, p := range pipes {
		c.Field.Hall.SteadyPipe(dst, &pipework.Event{Pipe: p}, atS)
	}
	return dst
}

// finding starts a finding about notes; AtS and UntilS are those of the notes.
func (c *Context) finding(kind string, notes []int32) Finding {
	f := Finding{Kind: kind, Severity: Warning, Count: 1, Measured: map[string]float64{},
		AtS: math.Inf(1), Keys: c.keyNames(notes), Division: c.divisionsOf(notes), Notes: c.noteIDs(notes)}
	for _, i := range notes {
		f.AtS = min(f.AtS, c.note(i).OnS)
		f.UntilS = max(f.UntilS, c.note(i).OffS)
	}
	return f
}

var intervalNames = [...]string{"a unison", "a semitone", "a second", "a minor third", "a third", "a fourth",
	"a tritone", "a fifth", "a minor sixth", "a sixth", "a minor seventh", "a seventh", "an octave",
	"a minor ninth", "a ninth", "a minor tenth", "a tenth", "an eleventh", "an augmented eleventh", "a twelfth",
	"a minor thirteenth", "a thirteenth", "a minor fourteenth", "a fourteenth", "two octaves"}

// interval names a distance in semitones, "a tenth".
func interval(semitones int) string {
	if semitones < 0 {
		semitones = -semitones
	}
	if semitones < len(intervalNames) {
		return intervalNames[semitones]
	}
	return fmt.Sprintf("%d semitones", semitones)
}

func keyName(k int) string { return score.KeyName(k) }

// secs writes a time for a sentence, "0.18 s".
func secs(s float64) string { return fmt.Sprintf("%.2f s", max(0, s)) }
