package remedy

import (
	"fmt"
	"maps"
	"slices"

	"afterchord/acoustics/plural"
	"afterchord/sim/finding"

	"afterchord/sim/score"
)

// DropDoublings leaves out the keys that add nothing; where hands or feet have too much to hold, the
// octave doublings of the chord. Octaves in the pedal lose the lower note and a 32 or 16 ft stop sounds it.
func DropDoublings(c *Case) []Draft {
	switch c.Finding.Kind {
	case finding.KindDoubledInVain:
		d := c.pen()
		for _, n := range c.Notes() {
			d.remove(n.ID)
		}
		if x, ok := d.finish(false, "%s in %s %s left out; other keys, stops or couplers sound them already. It costs nothing that is heard.",
			plural.Count(len(d.touched), "doubled key"), c.bars(), isAre(len(d.touched))); ok {
			return []Draft{x}
		}
	case finding.KindPedalReach:
		return c.pedalOctave()
	default:
		var out []Draft
		for _, inner := range [2]bool{true, false} {
			if x, ok := c.dropOctaves(inner); ok {
				out = append(out, x)
			}
		}
		return out
	}
	return nil
}

func isAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

// dropOctaves leaves out, of the chords that the finding names, the inner or the outer key of an octave that one staff
// strikes. Tune and bass are the outer ones: they go last. What a staff strikes alone stays, be it the octave of a key in
// the other hand: its line would have a hole.
func (c *Case) dropOctaves(inner bool) (Draft, bool) {
	d := c.pen()
	struck := map[[2]int][]score.Note{} // by place and part
	for _, n := range c.Notes() {
		if k := [2]int{int(n.On), n.Part}; !c.Pedal(n.Part) {
			struck[k] = append(struck[k], n)
		}
	}
	upper, lower := 0, 0
	for _, k := range slices.SortedFunc(maps.Keys(struck), func(a, b [2]int) int { return slices.Compare(a[:], b[:]) }) {
		chord := struck[k]
		keys, highest := 0, 0
		overlapping(c.Score(), chord[0].On, chord[0].On+1, func(n score.Note) {
			if !c.Pedal(n.Part) {
				keys, highest = keys+1, max(highest, n.Key)
			}
		})
		byKey := func(a, b score.Note) int { return a.Key - b.Key }
		low, high := slices.MinFunc(chord, byKey), slices.MaxFunc(chord, byKey)
		out := high
		if inner == (high.Key == highest) {
			out = low
		}
		doubled := slices.ContainsFunc(chord, func(n score.Note) bool { return n.Key != out.Key && (n.Key-out.Key)%12 == 0 })
		if keys < fullChord || !doubled {
			continue
		}
		d.remove(out.ID)
		if out == low {
			lower++
		} else {
			upper++
		}
	}
	which, stop := "inner key of the octaves", "the other octave is in stops of 16, 4 or 2 ft"
	switch {
	case upper == 0:
		which, stop = "lower key of the octaves", "a 16 ft stop has that octave"
	case lower == 0:
		which, stop = "upper key of the octaves", "a 4 or 2 ft stop has that octave"
	case !inner:
		which = "outer key of the octaves"
	}
	return d.finish(false, "The %s in the chords of %s is left out: %s less; %s. It costs the chord a key's weight.",
		which, c.bars(), plural.Count(len(d.touched), "key"), stop)
}

// fullChord is how many keys sound together where one of an octave can go and it is a chord still.
const fullChord = 4

// pedalOctave leaves one note of each pedal octave; the stop an octave lower is drawn where it is the upper.
func (c *Case) pedalOctave() []Draft {
	var out []Draft
	for _, lower := range [2]bool{true, false} {
		d := c.pen()
		part, first, last := -1, score.Tick(-1), score.Tick(0)
		from, to := c.span()
		for _, p := range c.pedalParts() {
			for _, st := range strokes(c.Score(), p, from, to) {
				n := len(st.notes)
				if n < 2 || st.notes[n-1].Key-st.notes[0].Key != 12 {
					continue
				}
				if first < 0 {
					part, first = p, st.at
				}
				last = max(last, st.notes[0].Off)
				if lower {
					d.remove(st.notes[0].ID)
				} else {
					d.remove(st.notes[n-1].ID)
				}
			}
		}
		drawn := ""
		if lower && part >= 0 {
			drawn = c.drawLow(d, part, first, last)
		}
		side := "upper"
		if lower {
			side = "lower"
		}
		if x, ok := d.finish(false, "The %s notes of the pedal octaves in %s are left out%s. It costs the feet nothing and the line one octave.", side, c.bars(), drawn); ok {
			out = append(out, x)
		}
	}
	return out
}

func (c *Case) pedalParts() []int {
	var out []int
	for p := range c.Score().Parts {
		if c.Pedal(p) {
			out = append(out, p)
		}
	}
	return out
}

// drawLow writes the order for the deepest stop of the pedal that is not drawn, and says so.
func (c *Case) drawLow(d *draft, part int, from, to score.Tick) string {
	o := c.Input.Organ
	div := c.Division(part)
	reg := c.Performance.RegistrationAt(c.Score().Seconds(from) + 1e-6)
	for _, feet := range []float64{32, 16} {
		for i, st := range o.Divisions[div].Stops {
			if st.Feet != feet || reg.Stops[div]>>i&1 == 1 || st.Mixture() {
				continue
			}
			d.word(score.Word{At: from, Part: part, Kind: score.Text, Text: fmt.Sprintf("%s: + %s", o.Divisions[div].Name, st.Name)})
			d.word(score.Word{At: to, Part: part, Kind: score.Text, Text: fmt.Sprintf("%s: - %s", o.Divisions[div].Name, st.Name)})
			return fmt.Sprintf(" and %s (%.0f ft) sounds the octave", st.Name, feet)
		}
	}
	return ""
}
