package remedy

import (
	"slices"

	"afterchord/acoustics/plural"

	"afterchord/sim/score"
)

// SustainChord puts held chords in the place of the broken ones, a new one for each bar and each harmony: the keys of the figure that
// one hand can hold, struck together (common practice). It is another piece of music: its price keeps it out of plans for a whole
// score ([All]), and it is there for whoever asks about the finding.
func SustainChord(c *Case) []Draft {
	if c.basses() {
		return nil
	}
	d := c.pen()
	struck, was := 0, 0
	for _, run := range c.inBars(c.harmonies(c.Notes())) {
		first, end := run[0], run[len(run)-1].Off
		keys := chordOf(run)
		if len(keys) < 2 || len(run) < len(keys)+2 { // too short to be a figure
			continue
		}
		was += len(run)
		struck++
		for _, n := range run[1:] {
			d.remove(n.ID)
		}
		for at := first.On; at < end; {
			length := plainWithin(d.Score, end-at)
			for i, k := range keys {
				n := first
				n.On, n.Off, n.Written, n.Key = at, at+length, 0, k
				if i == 0 && at == first.On {
					*d.note(first.ID) = n
					d.touched[n.ID] = true
					continue
				}
				n.Voice = first.Voice
				d.add(n)
			}
			at += length
		}
	}
	return single(d.finish(false, "%s in the place of the broken ones in %s: %s struck where there were %s. It costs the figure its movement.",
		plural.Count(struck, "held chord stands", "held chords stand"), c.bars(), plural.Count(len(d.touched)-(was-struck), "key is", "keys are"), plural.Count(was, "note")))
}

// inBars cuts runs of notes where a bar begins.
func (c *Case) inBars(runs [][]score.Note) [][]score.Note {
	var out [][]score.Note
	for _, run := range runs {
		from := 0
		for i := range run {
			if i > from && c.Score().BarAt(run[i].On) != c.Score().BarAt(run[from].On) {
				out = append(out, run[from:i])
				from = i
			}
		}
		out = append(out, run[from:])
	}
	return out
}

// lowClose is the lowest key on which a close chord is still clear: C3 (common practice).
const lowClose = 48

// chordOf is a figure's harmony as one hand holds it, lowest first: its lowest key and within an octave above it every other note of the
// harmony, brought down where the figure has it higher; over a lower bass only the figure's own keys within a ninth that have the most.
func chordOf(run []score.Note) []int {
	var keys []int
	for _, n := range run {
		keys = append(keys, n.Key)
	}
	slices.Sort(keys)
	keys = slices.Compact(keys)
	var best []int
	for i, low := range keys {
		classes := map[int]bool{}
		var own []int
		for _, k := range keys[i:] {
			if k-low <= 14 && !classes[k%12] {
				classes[k%12] = true
				own = append(own, k)
			}
		}
		if len(own) > len(best) {
			best = own
		}
		if low >= lowClose { // the bass itself, and the rest above it
			for _, k := range keys[i:] {
				if !classes[k%12] {
					classes[k%12] = true
					own = append(own, low+(k-low)%12)
				}
			}
			if len(own) >= len(best) {
				best = own
			}
			break
		}
	}
	slices.Sort(best)
	return best[:min(len(best), 5)]
}

// plainWithin is the longest length that one sign writes, with a dot at most, within a stretch; the stretch itself where it is
// shorter than any or not on the beat.
func plainWithin(s *score.Score, length score.Tick) score.Tick {
	if !onGrid(s, length, 1) {
		return length
	}
	best := grid(s)
	for v := grid(s); v <= min(length, 8*s.TicksPerCrotchet); v *= 2 {
		best = max(best, v)
		if x := v * 3 / 2; x <= length && onGrid(s, x, 1) {
			best = max(best, x)
		}
	}
	return min(best, length)
}
