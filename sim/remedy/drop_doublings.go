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
		played := map[int]bool{} // a bass that an export printed twice is not: there is nothing to mend
		for _, n := range c.Performance.Notes {
			played[c.Score().Notes[n.Score].ID] = true
		}
		for _, n := range c.Notes() {
			if played[n.ID] && !c.onTop(n) {
				d.remove(n.ID)
			}
		}
		return single(d.finish(false, "%s in %s %s left out; other keys, stops or couplers sound them already. It costs nothing that is heard.",
			plural.Count(len(d.touched), "doubled key"), c.bars(), isAre(len(d.touched))))
	case finding.KindPedalReach:
		return c.pedalOctave()
	default:
		var out []Draft
		for _, bass := range [2]bool{false, true} {
			if x, ok := c.dropOctaves(bass); ok {
				out = append(out, x)
			}
		}
		return out
	}
}

// onTop reports whether no key sounds above a note where it begins: it is the tune, which stays whatever sounds its pitch as well.
func (c *Case) onTop(n score.Note) bool {
	top := true
	overlapping(c.Score(), n.On, n.On+1, func(m score.Note) { top = top && m.Key <= n.Key })
	return top
}

func isAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

// dropOctaves leaves out, of the chords that the finding names, the key of an octave that one staff strikes: the inner one, or else the
// bass where a stop of 16 ft or the pedal sounds it. The top of all is the tune and stays. What a staff strikes alone stays too, be it the
// octave of a key in the other hand: its line would have a hole.
func (c *Case) dropOctaves(bass bool) (Draft, bool) {
	d := c.pen()
	struck := map[[2]int][]score.Note{} // by place and part
	for _, n := range c.Notes() {
		if k := [2]int{int(n.On), n.Part}; !c.Pedal(n.Part) {
			struck[k] = append(struck[k], n)
		}
	}
	upper, lower, stop := 0, 0, ""
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
		out, feet := high, []float64{4, 2}
		if high.Key == highest || bass {
			out, feet = low, []float64{16}
		}
		doubled := slices.ContainsFunc(chord, func(n score.Note) bool { return n.Key != out.Key && (n.Key-out.Key)%12 == 0 })
		name := c.drawnOf(out, feet)
		if keys < fullChord || !doubled || high.Key == highest && bass || bass && name == "" && !c.feetSound(out) {
			continue
		}
		d.remove(out.ID)
		stop = name
		if out == low {
			lower++
		} else {
			upper++
		}
	}
	which := "inner key of the octaves"
	switch {
	case upper == 0:
		which = "lower key of the octaves"
	case lower == 0:
		which = "upper key of the octaves"
	}
	has := "no stop that is drawn has that octave"
	if stop != "" {
		has = fmt.Sprintf("%s has that octave", stop)
	}
	return d.finish(false, "The %s in the chords of %s is left out: %s less; %s. It costs the chord a key's weight.",
		which, c.bars(), plural.Count(len(d.touched), "key"), has)
}

// drawnOf is the first stop of one of some lengths that is drawn for a note, "" where there is none.
func (c *Case) drawnOf(n score.Note, feet []float64) string {
	for _, f := range feet {
		if stops := c.stopsOf(n, f); len(stops) > 0 && stops[0].drawn {
			return stops[0].name
		}
	}
	return ""
}

// feetSound reports whether the pedal has a key or one of its octaves below at the beginning of a note.
func (c *Case) feetSound(n score.Note) bool {
	sounds := false
	overlapping(c.Score(), n.On, n.On+1, func(m score.Note) {
		sounds = sounds || c.Pedal(m.Part) && m.Key <= n.Key && (n.Key-m.Key)%12 == 0
	})
	return sounds
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
