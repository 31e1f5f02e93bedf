package finding

import (
	"fmt"
	"slices"

	"afterchord/sim/performance"
	"afterchord/voicing"
)

// DoubledInVain finds manual keys that add nothing: every pipe of theirs speaks already
// through another key and a coupler, or they double another key of the chord at the octave
// and the stops sound that octave already, so that the chord without them is no softer by a
// just noticeable step. One such chord is chance and free voices meet now and then;
// it takes several chords in a row with the doubling moving along.
func DoubledInVain(c *Context) []Finding {
	_, hands := c.limbsOf()
	ms := c.moments(hands)
	down := c.heldKeys()
	out := c.vainRuns(ms, func(m moment) []vain { return c.throughCoupler(m, down) }, c.couplerFinding)
	out = append(out, c.vainRuns(ms, c.sameKeys, c.sameKeysFinding)...)
	if c.Field != nil {
		out = append(out, c.vainOctaves(ms, down)...)
	}
	return append(out, c.wholeParts()...)
}

// vain is a key that adds nothing, and the key that makes it so.
type vain struct {
	note, by int32
	step     float64 // share of loudness that it adds
	heard    float64 // partial loudness of the key in the rest of the chord / its loudness alone
	other    float64 // the same of a key that doubles nothing, mean
	keys     int
}

// vainRuns strings vain keys of neighbouring moments together by part and division.
func (c *Context) vainRuns(ms []moment, test func(m moment) []vain, report func(run []vain) Finding) []Finding {
	var out []Finding
	open := map[[2]int][]vain{} // part of the note, division of the other
	var order [][2]int
	flush := func(k [2]int) {
		if len(open[k]) >= c.Thresholds.VainChords {
			out = append(out, report(open[k]))
		}
		delete(open, k)
	}
	for _, m := range ms {
		got := map[[2]int]vain{}
		for _, v := range test(m) {
			k := [2]int{c.note(v.note).Part, c.note(v.by).Division}
			if _, ok := got[k]; !ok {
				got[k] = v
			}
		}
		begins := map[int]bool{}
		for _, n := range m.notes {
			begins[c.note(n).Part] = true
		}
		for _, k := range order {
			if _, ok := got[k]; !ok && begins[k[0]] {
				flush(k)
			}
		}
		for _, n := range m.notes {
			for d := range c.Organ.Divisions {
				k := [2]int{c.note(n).Part, d}
				if v, ok := got[k]; ok && v.note == n {
					if _, seen := open[k]; !seen && !slices.Contains(order, k) {
						order = append(order, k)
					}
					open[k] = append(open[k], v)
				}
			}
		}
	}
	for _, k := range order {
		flush(k)
	}
	slices.SortStableFunc(out, func(a, b Finding) int {
		switch {
		case a.AtS < b.AtS:
			return -1
		case a.AtS > b.AtS:
			return 1
		}
		return 0
	})
	return out
}

// throughCoupler lists the notes of a moment all of whose pipes another division's key sounds for
// at least as long.
func (c *Context) throughCoupler(m moment, down heldKeys) []vain {
	r := c.Performance.RegistrationAt(m.atS)
	if r.Couplers == 0 && !c.fixedCouplers() {
		return nil
	}
	var out []vain
	held := down.at(m.atS+togetherS+0.01, func(n *performance.Note) bool { return c.hasKey(n) })
	for _, i := range m.notes {
		n := c.note(i)
		own := c.pipesOf(r, []int32{i})
		if len(own) == 0 {
			continue
		}
		for _, j := range held {
			o := c.note(j)
			if o.Division == n.Division || o.OffS < n.OnS+0.7*(n.OffS-n.OnS) {
				continue
			}
			if contains(c.pipesOf(r, []int32{j}), own) {
				out = append(out, vain{note: i, by: j, keys: len(own)})
				break
			}
		}
	}
	return out
}

// sameKeys lists the notes of a part that strikes nothing but keys of its manual which another part strikes with it.
func (c *Context) sameKeys(m moment) []vain {
	count := map[int]int{}
	for _, i := range m.notes {
		count[c.note(i).Part]++
	}
	if len(count) < 2 {
		return nil
	}
	shared := map[int][]vain{}
	for _, i := range m.notes {
		a := c.note(i)
		for _, j := range m.notes {
			b := c.note(j)
			// of two that strike the same the lower staff is the one in vain
			fewer := count[a.Part] < count[b.Part] || count[a.Part] == count[b.Part] && a.Part > b.Part
			if a.Part != b.Part && fewer && a.Division == b.Division && a.Key == b.Key && b.OffS >= a.OnS+0.7*(a.OffS-a.OnS) {
				shared[a.Part] = append(shared[a.Part], vain{note: i, by: j, keys: 1})
				break
			}
		}
	}
	var out []vain
	for part, vs := range shared {
		if len(vs) == count[part] {
			out = append(out, vs...)
		}
	}
	slices.SortFunc(out, func(a, b vain) int { return int(a.note - b.note) })
	return out
}

func (c *Context) sameKeysFinding(run []vain) Finding {
	var notes []int32
	for _, v := range run {
		notes = append(notes, v.note)
	}
	f := c.finding(KindDoubledInVain, notes)
	// where the page does not say which manual a part is for, it may well be another
	if len(run) < vainHabit || c.placed(c.note(run[0].note).Part) || c.placed(c.note(run[0].by).Part) {
		f.Severity = Notice
	}
	f.Count = len(run)
	f.Weight = 0.5 * (f.UntilS - f.AtS)
	f.Measured["keys"], f.Measured["new_pipes"] = float64(len(run)), 0
	f.Message = fmt.Sprintf("%d keys of %s add nothing: %s strikes the same keys of the %s at the same time, and a key sounds its pipes once.",
		len(run), c.Score.Parts[c.note(run[0].note).Part].Name, c.Score.Parts[c.note(run[0].by).Part].Name, f.Division)
	f.Try = []string{"leave these keys out and let the hand play something of its own", "play one of the two lines on another manual, or an octave away"}
	return f
}

// placed reports whether a part is on its manual by this program's assumption.
func (c *Context) placed(part int) bool {
	return slices.ContainsFunc(c.Performance.Assignments, func(a performance.Assignment) bool { return a.Part == part && a.Assumed() })
}

func (c *Context) fixedCouplers() bool {
	for _, k := range c.Organ.Couplers {
		if k.Fixed {
			return true
		}
	}
	return false
}

// contains reports whether all of part are in whole; both sorted.
func contains(whole, part []voicing.PipeID) bool {
	for _, p := range part {
		if _, ok := slices.BinarySearchFunc(whole, p, comparePipes); !ok {
			return false
		}
	}
	return true
}

// vainHabit is how many doubled keys in a row are a habit and not two voices that meet.
const vainHabit = 8

func (c *Context) couplerFinding(run []vain) Finding {
	var notes []int32
	pipes := 0
	for _, v := range run {
		notes = append(notes, v.note)
		pipes += v.keys
	}
	f := c.finding(KindDoubledInVain, notes)
	if len(run) < vainHabit {
		f.Severity = Notice
	}
	f.Count = len(run)
	f.Weight = f.UntilS - f.AtS
	f.Measured["keys"], f.Measured["pipes"], f.Measured["new_pipes"] = float64(len(run)), float64(pipes), 0
	by := c.note(run[0].by)
	f.Message = fmt.Sprintf("%d keys of the %s add nothing: all %d pipes that they ask for speak already through the coupler from the %s (%s there for %s here).",
		len(run), f.Division, pipes, c.Organ.Divisions[by.Division].Name, keyName(by.Key), keyName(c.note(run[0].note).Key))
	f.Try = []string{"leave these keys out and let the hand play something of its own", fmt.Sprintf("take off the coupler if the two lines are to be heard as two, or move the hand to a manual that is not coupled to the %s", c.Organ.Divisions[by.Division].Name)}
	return f
}

// wholeParts finds parts that only double another an octave lower, as some write a 16 ft stop out.
func (c *Context) wholeParts() []Finding {
	var out []Finding
	for _, d := range performance.Doublings(c.Score) {
		var notes []int32 // the line itself: its copy may not be played (performance.Assignment.Silent)
		for i, n := range c.Performance.Notes {
			if n.Part == d.Leader {
				notes = append(notes, int32(i))
			}
		}
		var copied []int
		for _, n := range c.Score.Notes {
			if n.Part == d.Part {
				copied = append(copied, n.ID)
			}
		}
		if len(notes) == 0 || len(copied) == 0 {
			continue
		}
		f := c.finding(KindDoubledInVain, notes)
		f.Notes = copied
		f.Severity = Notice
		f.Weight = 1
		f.Measured["notes"], f.Measured["octave_lower"] = float64(d.Notes), float64(d.Octave)
		lower := ""
		if d.Octave < len(copied) {
			lower = fmt.Sprintf("%d of its %d notes ", d.Octave, len(copied))
		}
		f.Message = fmt.Sprintf("All of %s is %s again, %san octave lower: a 16 ft stop does that by itself.",
			c.Score.Parts[d.Part].Name, c.Score.Parts[d.Leader].Name, lower)
		f.Try = []string{"leave the part out and draw a 16 ft stop for the other one"}
		out = append(out, f)
	}
	return out
}
