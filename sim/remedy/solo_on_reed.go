package remedy

import (
	"fmt"

	"afterchord/sim/score"
	"afterchord/voicing"
)

// SoloOnReed draws an 8 ft reed of the solo's division for the passage, in words that a player reads too: a
// reed has harmonics where the accompaniment has none. Drafts are one for each such reed.
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
	for i := range o.Divisions[div].Stops {
		st := &o.Divisions[div].Stops[i]
		if st.Family != voicing.Reed || st.Feet != 8 || reg.Stops[div]>>i&1 == 1 {
			continue
		}
		d := c.pen()
		d.word(score.Word{At: from, Part: part, Kind: score.Text, Text: fmt.Sprintf("%s: + %s", o.Divisions[div].Name, st.Name)})
		if to < d.End {
			d.word(score.Word{At: to, Part: part, Kind: score.Text, Text: fmt.Sprintf("%s: - %s", o.Divisions[div].Name, st.Name)})
		}
		if x, ok := d.finish(true, "%s is drawn on the %s for the solo in %s.", st.Name, o.Divisions[div].Name, c.bars()); ok {
			out = append(out, x)
			if y, ok := c.uncoupled(x, part); ok {
				out = append(out, y)
			}
		}
	}
	return out
}
