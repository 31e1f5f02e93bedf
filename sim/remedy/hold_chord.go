package remedy

import (
	"slices"

	"afterchord/acoustics/plural"
	"afterchord/sim/score"
)

// HoldChord holds each note of a broken chord until its key is wanted again, the harmony or the bar ends, or the hand has to let it go for
// what it strikes next: an organ has no pedal that would gather the notes, and a hand holds five keys within a ninth (common practice).
func HoldChord(c *Case) []Draft {
	if c.basses() {
		return nil
	}
	d := c.pen()
	for _, run := range c.inBars(c.harmonies(c.figureBars())) {
		end := run[len(run)-1].Off
		for i, n := range run {
			off := end
			for j, m := range run[i+1:] {
				if m.Key == n.Key || !graspable(run[i:i+2+j]) {
					off = m.On
					break
				}
			}
			if off > n.Off && off > n.On {
				x := d.note(n.ID)
				x.Off, x.Written = off, max(x.Written, off-n.On)
				d.touched[n.ID] = true
			}
		}
	}
	return single(d.finish(false, "%s of the broken chords in %s %s held to the end of the harmony, or until the hand needs the finger. It costs the figure its lightness.",
		plural.Count(len(d.touched), "note"), c.bars(), isAre(len(d.touched))))
}

// handHolds is how many keys a hand holds, and handSpans how many semitones apart they lie at the most: a ninth (common practice).
const (
	handHolds = 5
	handSpans = 14
)

// graspable reports whether one hand can hold the keys of some notes together.
func graspable(notes []score.Note) bool {
	var keys []int
	for _, n := range notes {
		keys = append(keys, n.Key)
	}
	slices.Sort(keys)
	keys = slices.Compact(keys)
	return len(keys) <= handHolds && keys[len(keys)-1]-keys[0] <= handSpans
}

// figureBars are the finding's notes, and in the bars that they stand in the rest of their part where that is one line of single notes: a
// figure that is held in one half of a bar and not in the other is no figure.
func (c *Case) figureBars() []score.Note {
	s, notes := c.Score(), c.Notes()
	type place struct{ part, bar int }
	named, in := map[int]bool{}, map[place]bool{}
	for _, n := range notes {
		named[n.ID], in[place{n.Part, s.BarAt(n.On)}] = true, true
	}
	more := map[place][]score.Note{}
	ends := map[place]score.Tick{}
	lines := map[place]bool{} // of single notes
	for _, n := range s.Notes {
		k := place{n.Part, s.BarAt(n.On)}
		if !in[k] {
			continue
		}
		if _, seen := lines[k]; !seen {
			lines[k] = true
		}
		lines[k] = lines[k] && n.On >= ends[k]-grid(s)
		ends[k] = max(ends[k], n.Off)
		if !named[n.ID] {
			more[k] = append(more[k], n)
		}
	}
	for k, ns := range more {
		if lines[k] {
			notes = append(notes, ns...)
		}
	}
	slices.SortFunc(notes, func(a, b score.Note) int { return c.index[a.ID] - c.index[b.ID] })
	return notes
}

// harmonies cuts the notes of a figure where it stops using the same keys: a key that is new beside
// four others, or within a tone of one, begins the next harmony.
func (c *Case) harmonies(notes []score.Note) [][]score.Note {
	byPart := map[int][]score.Note{}
	var parts []int
	for _, n := range notes {
		if _, ok := byPart[n.Part]; !ok {
			parts = append(parts, n.Part)
		}
		byPart[n.Part] = append(byPart[n.Part], n)
	}
	var out [][]score.Note
	for _, p := range parts {
		var run []score.Note
		keys := map[int]bool{}
		for _, n := range byPart[p] {
			if len(run) > 0 && (!keys[n.Key] && (len(keys) >= 4 || near(keys, n.Key)) || n.On > run[len(run)-1].Off+c.Score().TicksPerCrotchet) {
				out = append(out, run)
				run, keys = nil, map[int]bool{}
			}
			keys[n.Key] = true
			run = append(run, n)
		}
		if len(run) > 0 {
			out = append(out, run)
		}
	}
	return out
}

func near(keys map[int]bool, key int) bool {
	for d := -2; d <= 2; d++ {
		if d != 0 && keys[key+d] {
			return true
		}
	}
	return false
}
