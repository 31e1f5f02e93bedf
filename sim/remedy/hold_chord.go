package remedy

import (
	"afterchord/sim/score"

	"afterchord/acoustics/plural"
)

// HoldChord holds each note of a broken chord until its key is wanted again or the harmony ends: an
// organ has no pedal that would gather the notes (common practice).
func HoldChord(c *Case) []Draft {
	if c.basses() {
		return nil
	}
	d := c.pen()
	for _, run := range c.harmonies() {
		end := run[len(run)-1].Off
		for i, n := range run {
			off := end
			for _, m := range run[i+1:] {
				if m.Key == n.Key {
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
	x, ok := d.finish(false, "%s of the broken chords in %s %s held to the end of the harmony or until the key is struck again. It costs the figure its lightness.",
		plural.Count(len(d.touched), "note"), c.bars(), isAre(len(d.touched)))
	if !ok {
		return nil
	}
	return []Draft{x}
}

// harmonies cuts the finding's notes where the figure stops using the same keys: a key that is new beside
// four others, or within a tone of one, begins the next harmony.
func (c *Case) harmonies() [][]score.Note {
	byPart := map[int][]score.Note{}
	var parts []int
	for _, n := range c.Notes() {
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
