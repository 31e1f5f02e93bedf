package remedy

import (
	"fmt"

	"afterchord/sim/score"
	"afterchord/voicing"
)

// SoloOnReed draws an 8 ft reed of the solo's division for the passage, in words that a player reads too: a
// reed has harmonics where the accompaniment has none. Drafts are one for each such reed, then one for each flute that is not
// drawn: a colour of its own against principals or strings.
func SoloOnReed(c *Case) []Draft {
	notes := c.Notes()
	if len(notes) == 0 {
		return nil
	}
	part := notes[0].Part
	div := c.Division(part)
	o := c.Input.Organ
	from, to := c.passage(part)
	reg := c.Performance.RegistrationAt(c.Score().Seconds(notes[0].On) + 1e-6)
	var out []Draft
	var stops []int
	for _, family := range []voicing.Family{voicing.Reed, voicing.Flute} {
		for i := range o.Divisions[div].Stops {
			if st := &o.Divisions[div].Stops[i]; st.Family == family && st.Feet == 8 && reg.Stops[div]>>i&1 == 0 {
				stops = append(stops, i)
			}
		}
	}
	for _, i := range stops {
		st := &o.Divisions[div].Stops[i]
		d := c.pen()
		d.word(score.Word{At: from, Part: part, Kind: score.Text, Text: fmt.Sprintf("%s: + %s", o.Divisions[div].Name, st.Name)})
		if to < d.End {
			d.word(score.Word{At: to, Part: part, Kind: score.Text, Text: fmt.Sprintf("%s: - %s", o.Divisions[div].Name, st.Name)})
		}
		if x, ok := d.finish(true, "%s is drawn on the %s for the solo in %s. It costs a knob drawn before it and taken in after it.", st.Name, o.Divisions[div].Name, c.bars()); ok {
			out = append(out, x)
			if y, ok := c.uncoupled(x, part); ok {
				out = append(out, y)
			}
		}
	}
	return out
}
