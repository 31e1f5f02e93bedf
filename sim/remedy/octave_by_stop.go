package remedy

import (
	"fmt"
	"math"

	"afterchord/acoustics/plural"
	"afterchord/sim/score"
	"afterchord/voicing"
)

// OctaveByStop leaves one voice of octaves in one hand and has a stop sound the other: the lower voice with a 4 ft stop, or
// the upper with one of 16 ft. Where none of that length is drawn the order to draw it is written, and to take it in after.
func OctaveByStop(c *Case) []Draft {
	notes := c.Notes()
	if len(notes) == 0 {
		return nil
	}
	var out []Draft
	for _, x := range []struct {
		keep      string
		feet      float64
		dropUpper bool
	}{{"lower", 4, true}, {"upper", 16, false}} {
		for _, stop := range c.stopsOf(notes[0], x.feet) {
			d := c.pen()
			last := score.Tick(0)
			for _, a := range notes {
				for _, b := range notes {
					if a.On != b.On || a.Part != b.Part || b.Key-a.Key != 12 {
						continue
					}
					if x.dropUpper {
						d.remove(b.ID)
					} else {
						d.remove(a.ID)
					}
					last = max(last, a.Off)
				}
			}
			is := "sounds the octave already"
			if !stop.drawn { // at a breath, so that it is no step under held keys
				is = "is drawn for it"
				name := c.divisionName(notes[0].Part)
				from := notes[0].On
				if t, ok := c.breath(from+1, false); ok {
					from = t
				}
				d.word(score.Word{At: from, Part: notes[0].Part, Kind: score.Text, Text: fmt.Sprintf("%s: + %s", name, stop.name)})
				if t, ok := c.breath(last-1, true); ok && t < d.End {
					d.word(score.Word{At: t, Part: notes[0].Part, Kind: score.Text, Text: fmt.Sprintf("%s: - %s", name, stop.name)})
				}
			}
			if y, ok := d.finish(false, "The %s voice alone is left of the octaves in %s (%s less); the %s %s. It costs the edge of two keys struck.",
				x.keep, c.bars(), plural.Count(len(d.touched), "key"), stop.name, is); ok {
				if !stop.drawn {
					y.Price = 0.3
				}
				out = append(out, y)
			}
			if stop.drawn {
				break
			}
		}
	}
	return out
}

type octaveStop struct {
	name  string
	drawn bool
}

// stopsOf lists the plain flues of a length on the division of a note, those that are drawn first.
func (c *Case) stopsOf(n score.Note, feet float64) []octaveStop {
	div := c.Division(n.Part)
	reg := c.Performance.RegistrationAt(c.Score().Seconds(n.On) + 1e-6)
	var drawn, others []octaveStop
	for i := range c.Input.Organ.Divisions[div].Stops {
		st := &c.Input.Organ.Divisions[div].Stops[i]
		switch {
		case st.Mixture() || st.DetuneCents != 0 || math.Abs(st.Feet-feet) > 1e-6:
		case reg.Stops[div]>>i&1 != 0:
			drawn = append(drawn, octaveStop{st.Name, true})
		case st.Family != voicing.Reed:
			others = append(others, octaveStop{st.Name, false})
		}
	}
	return append(drawn, others...)
}
