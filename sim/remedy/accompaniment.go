package remedy

import (
	"fmt"
	"strings"

	"afterchord/sim/score"
	"afterchord/voicing"
)

// AccompanimentDown takes what goes with a solo down instead of the solo up: one dynamic mark, or two, on its own manual; or
// one flute of 8 ft alone for it, against the solo's stops.
func AccompanimentDown(c *Case) []Draft {
	notes := c.Notes()
	if len(notes) == 0 {
		return nil
	}
	solo := notes[0].Part
	others := c.accompanists(solo)
	if len(others) == 0 {
		return nil // on one keyboard there is one loudness
	}
	var out []Draft
	for down := 1; down <= 2; down++ {
		d := c.pen()
		c.ownMarks(d)
		c.lower(d, solo, down)
		if x, ok := d.finish(true, "What goes with the solo in %s is marked %s down. It costs the accompaniment its fullness.", c.bars(), marks(down)); ok {
			x.Price = 0.1 * float64(down-1)
			out = append(out, x)
		}
	}
	return append(out, c.onFlutes(solo, others)...)
}

// accompanists lists the manuals that other parts play in the passage, but for the solo's own.
func (c *Case) accompanists(solo int) []int {
	from, to := c.span()
	plays := make([]bool, len(c.Input.Organ.Divisions))
	overlapping(c.Score(), from, to, func(n score.Note) { plays[c.Division(n.Part)] = true })
	var out []int
	for d, yes := range plays {
		if yes && d != c.Division(solo) && !c.Input.Organ.Divisions[d].Pedal {
			out = append(out, d)
		}
	}
	return out
}

// onFlutes are the drafts that leave each accompanying manual one flute for the passage, and give it back what it had.
func (c *Case) onFlutes(solo int, divisions []int) []Draft {
	o := c.Input.Organ
	from, to := c.passage(solo)
	var out []Draft
	for _, div := range divisions {
		stops := o.Divisions[div].Stops
		drawn := c.drawnAt(div, c.Notes()[0].On)
		for i := range stops {
			if st := &stops[i]; st.Family != voicing.Flute || st.Feet != 8 || st.Mixture() || st.DetuneCents != 0 {
				continue
			}
			if len(drawn) == 1 && drawn[0] == stops[i].Name {
				break
			}
			d := c.pen()
			name := o.Divisions[div].Name
			d.word(score.Word{At: from, Part: c.partOn(div), Kind: c.textKind(), Text: fmt.Sprintf("%s: %s", name, stops[i].Name)})
			if to < d.End && len(drawn) > 0 {
				d.word(score.Word{At: to, Part: c.partOn(div), Kind: c.textKind(), Text: fmt.Sprintf("%s: %s", name, strings.Join(drawn, ", "))})
			}
			if x, ok := d.finish(true, "The %s has the %s alone for the accompaniment in %s. It costs a change of stops before and after, and the accompaniment its fullness.", name, stops[i].Name, c.bars()); ok {
				x.Price = 0.2
				out = append(out, x)
			}
			break
		}
	}
	return out
}

// drawnAt are the names of the stops that a division has drawn at a place.
func (c *Case) drawnAt(division int, at score.Tick) []string {
	was := c.Performance.RegistrationAt(c.Score().Seconds(at) + 1e-6)
	var out []string
	for i, st := range c.Input.Organ.Divisions[division].Stops {
		if was.Stops[division]>>i&1 == 1 {
			out = append(out, st.Name)
		}
	}
	return out
}

// partOn is the first part that plays on a division in the passage.
func (c *Case) partOn(division int) int {
	from, to := c.span()
	best := -1
	overlapping(c.Score(), from, to, func(n score.Note) {
		if c.Division(n.Part) == division && (best < 0 || n.Part < best) {
			best = n.Part
		}
	})
	return best
}
