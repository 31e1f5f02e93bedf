package remedy

import (
	"slices"
	"strings"

	"afterchord/acoustics/plural"
	"afterchord/sim/performance"
	"afterchord/sim/score"
)

// SoloUp puts the solo one dynamic mark up, or as many as it takes up to three: a solo wants at
// least one mark more than its accompaniment (common practice).
func SoloUp(c *Case) []Draft {
	notes := c.Notes()
	if len(notes) == 0 {
		return nil
	}
	part := notes[0].Part
	if c.oneLoudness(part) {
		return nil
	}
	var out []Draft
	for up := 1; up <= 3; up++ {
		if x, ok := c.raise(part, up); ok {
			out = append(out, x)
			if y, ok := c.uncoupled(x, part); ok {
				out = append(out, y)
			}
		}
	}
	return out
}

// oneLoudness reports whether a solo and all that goes with it are played on one keyboard: what is drawn for the one sounds
// in the other.
func (c *Case) oneLoudness(solo int) bool {
	if len(c.accompanists(solo)) > 0 {
		return false
	}
	from, to := c.span()
	feet := slices.ContainsFunc(c.pedalParts(), func(p int) bool { return c.sounds(p, from, to) })
	return !feet || c.busy(c.Division(solo), solo)
}

// uncoupled is the draft with the solo's division taken off the other keyboards: through a coupler
// what strengthens the solo strengthens the accompaniment or the bass as well.
func (c *Case) uncoupled(x Draft, part int) (Draft, bool) {
	return c.uncoupledFrom(x, part, c.Division(part))
}

// uncoupledFrom is uncoupled for a solo that is on another division by now.
func (c *Case) uncoupledFrom(x Draft, part, div int) (Draft, bool) {
	perf, err := performance.Build(x.Score, c.Input.Organ, c.Input.Player)
	if err != nil {
		return x, false
	}
	o := c.Input.Organ
	from, to := c.passage(part)
	reg := perf.RegistrationAt(c.Score().Seconds(c.Notes()[0].On) + 1e-6)
	d := &draft{Score: x.Score.Clone()}
	var names []string
	for i, k := range o.Couplers {
		if reg.Couplers>>i&1 == 0 || k.Fixed || k.To != div || k.From == div {
			continue
		}
		names = append(names, k.Name)
		d.word(score.Word{At: from, Part: -1, Kind: score.Text, Text: "- " + k.Name})
		if to < d.End {
			d.word(score.Word{At: to, Part: -1, Kind: score.Text, Text: "+ " + k.Name})
		}
	}
	if len(names) == 0 {
		return x, false
	}
	comes := "comes"
	if len(names) > 1 {
		comes = "come"
	}
	y, ok := d.finish(true, "%s %s %s off; it costs a change of couplers before and after.", x.What, strings.Join(names, ", "), comes)
	y.Price = x.Price + 0.2
	return y, ok
}

// passage is the stretch of a part's dynamics that the finding touches: what is marked or drawn for a solo
// holds for all of it.
func (c *Case) passage(part int) (from, to score.Tick) {
	first, last := c.span()
	from, to = first, last
	for _, p := range c.Performance.Passages {
		if p.Part == part && p.From < last && p.To > first {
			from, to = min(from, p.From), max(to, p.To)
		}
	}
	return from, to
}

// velocityMark is the velocity between neighbouring marks as notation programs export them.
const velocityMark = 16

// raise lifts the passages of a part that the finding touches by so many marks.
func (c *Case) raise(part, up int) (Draft, bool) {
	from, to := c.span()
	d := c.pen()
	was, is := score.None, score.None
	hit := func(p performance.Passage) bool { return p.Part == part && p.From < to && p.To > from }
	byVelocity := false
	for _, p := range c.Performance.Passages {
		if !hit(p) || p.Dynamic+score.Dynamic(up) > score.FFF {
			continue
		}
		was, is = p.Dynamic, p.Dynamic+score.Dynamic(up)
		byVelocity = strings.HasPrefix(p.Source, "velocity")
	}
	if is == score.None {
		return Draft{}, false
	}
	if byVelocity {
		for _, p := range c.Performance.Passages {
			if !hit(p) {
				continue
			}
			for i := range d.Notes {
				n := &d.Notes[i]
				if n.Part == part && n.On >= p.From && n.On < p.To {
					n.Velocity = min(127, n.Velocity+velocityMark*up)
					d.touched[n.ID] = true
				}
			}
		}
		return d.finish(false, "The solo on the %s plays %s up in %s, %s where it was %s (by velocity). It costs the passage its softness.",
			c.divisionName(part), marks(up), c.bars(), is, was)
	}
	c.ownMarks(d)
	for _, p := range c.Performance.Passages {
		if !hit(p) {
			continue
		}
		for i := range d.Words {
			w := &d.Words[i]
			if w.Kind == score.Mark && w.Part == part && (w.At == p.From || p.From == 0 && firstMark(d.Words, i)) {
				w.Text = min(p.Dynamic+score.Dynamic(up), score.FFF).String()
			}
		}
	}
	return d.finish(true, "The solo on the %s is marked %s up in %s, %s where it was %s. It costs the passage its softness.", c.divisionName(part), marks(up), c.bars(), is, was)
}

// firstMark reports whether word i is the first mark of its part.
func firstMark(words []score.Word, i int) bool {
	for _, w := range words[:i] {
		if w.Kind == score.Mark && w.Part == words[i].Part {
			return false
		}
	}
	return true
}

// ownMarks gives every part the marks that hold for it, so that one can change alone.
func (c *Case) ownMarks(d *draft) {
	own := make([]bool, len(d.Parts))
	shared := false
	for _, w := range d.Words {
		if w.Kind == score.Mark {
			if w.Part >= 0 && w.Part < len(own) {
				own[w.Part] = true
			} else {
				shared = true
			}
		}
	}
	if shared { // marks for all become marks of each
		d.Words = slices.DeleteFunc(d.Words, func(w score.Word) bool { return w.Kind == score.Mark })
		clear(own)
	}
	for _, p := range c.Performance.Passages {
		if !own[p.Part] {
			d.word(score.Word{At: p.From, Part: p.Part, Kind: score.Mark, Text: p.Dynamic.String()})
		}
	}
	slices.SortStableFunc(d.Words, func(a, b score.Word) int { return int(a.At - b.At) })
}

func marks(n int) string { return plural.Count(n, "dynamic mark") }
