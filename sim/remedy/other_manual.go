package remedy

import (
	"cmp"
	"slices"
	"strings"

	"afterchord/sim/score"
)

// SoloManual takes the solo to a manual of its own: to each other manual, there with the mark it has, or one up where its
// accompaniment has the same; and leaves it with the accompaniment one mark down.
func SoloManual(c *Case) []Draft {
	notes := c.Notes()
	if len(notes) == 0 {
		return nil
	}
	part := notes[0].Part
	o := c.Input.Organ
	var out []Draft
	for d := range o.Divisions {
		if o.Divisions[d].Pedal || d == c.Division(part) || c.busy(d, part) {
			continue
		}
		for _, by := range [][2]int{{1, 0}, {1, 1}, {2, 2}, {1, 3}, {3, 3}} {
			x, ok := c.raise(part, by[0])
			if !ok {
				continue
			}
			p := &draft{Score: x.Score.Clone()}
			from, _ := c.passage(part)
			p.word(score.Word{At: min(from, notes[0].On), Part: part, Kind: c.textKind(), Text: o.Divisions[d].Name})
			softer := ""
			if by[1] > 0 {
				c.lower(p, part, by[1])
				softer = ", the accompaniment " + marks(by[1]) + " down"
			}
			y, ok := p.finish(true, "The solo in %s goes to the %s, %s up%s, so that it has a sound of its own. It costs a second manual: prepare a colour that the accompaniment lacks.",
				c.bars(), o.Divisions[d].Name, marks(by[0]), softer)
			if !ok {
				continue
			}
			y.Price = 0.15 * float64(by[0]+by[1])
			if z, ok := c.uncoupledFrom(y, part, d); ok {
				y = z
			}
			out = append(out, y)
		}
	}
	// a solo that is masked on its new manual has gained little: the drafts that leave the passage best come first
	cost := map[*score.Score]float64{}
	for _, x := range out {
		cost[x.Score] = c.judge(x.Score).all.Cost + x.Price
	}
	slices.SortStableFunc(out, func(a, b Draft) int { return cmp.Compare(cost[a.Score], cost[b.Score]) })
	return out
}

// lower takes the other parts of the passage down by so many marks.
func (c *Case) lower(d *draft, solo, down int) {
	from, to := c.span()
	for _, p := range c.Performance.Passages {
		if p.Part == solo || p.From >= to || p.To <= from {
			continue
		}
		softer := max(p.Dynamic-score.Dynamic(down), score.PPP)
		for i := range d.Words {
			if w := &d.Words[i]; w.Kind == score.Mark && w.Part == p.Part && w.At == p.From {
				w.Text = softer.String()
			}
		}
		for i := range d.Notes {
			if n := &d.Notes[i]; n.Part == p.Part && n.On >= p.From && n.On < p.To && strings.HasPrefix(p.Source, "velocity") {
				n.Velocity = max(8, n.Velocity-velocityMark*down)
			}
		}
	}
}

// textKind is how words over a staff are written in the score's format.
func (c *Case) textKind() score.WordKind {
	if len(c.Score().Format) >= 3 && c.Score().Format[:3] == "SMF" {
		return score.Text
	}
	return score.Direction
}

// busy reports whether another part plays on a division within the finding's bars.
func (c *Case) busy(d, part int) bool {
	from, to := c.span()
	for _, n := range c.Performance.Notes {
		x := c.Score().Notes[n.Score]
		if n.Division == d && n.Part != part && x.On < to && x.Off > from {
			return true
		}
	}
	return false
}

// PreparedManual plays the passage after a change of stops on a manual that stands idle, prepared beforehand, and takes
// the hands back after it. What the pedal needs must still change.
func PreparedManual(c *Case) []Draft {
	at, ok := c.changeAt()
	if !ok {
		return nil
	}
	o := c.Input.Organ
	type move struct {
		part int
		to   score.Tick
	}
	var moves []move
	var from []int
	for _, p := range c.Performance.Passages {
		if p.From == at && p.To > at && !o.Divisions[p.Division].Pedal && c.sounds(p.Part, at, p.To) {
			moves = append(moves, move{p.Part, p.To})
			from = append(from, p.Division)
		}
	}
	if len(moves) == 0 {
		return nil
	}
	var out []Draft
	for d := range o.Divisions {
		if o.Divisions[d].Pedal || slices.Contains(from, d) || c.playedIn(d, at-4*c.Score().TicksPerCrotchet, moves[0].to) {
			continue
		}
		p := c.pen()
		for i, m := range moves {
			p.word(score.Word{At: at, Part: m.part, Kind: c.textKind(), Text: o.Divisions[d].Name})
			if m.to < p.End {
				p.word(score.Word{At: m.to, Part: m.part, Kind: c.textKind(), Text: o.Divisions[from[i]].Name})
			}
		}
		name := o.Divisions[d].Name
		if x, ok := p.finish(true, "The passage from %s is played on the %s, prepared beforehand, and the hands go back after it (%s). It costs the %s its place in what comes before.",
			c.Score().Position(at), name, c.movesLeft(p.Score, at, false), name); ok {
			out = append(out, x)
		}
	}
	return out
}

// changeAt is the place of the change of stops that the finding is about.
func (c *Case) changeAt() (score.Tick, bool) {
	s := c.Score()
	for _, ch := range c.Performance.Changes {
		if p := s.Position(ch.Tick); ch.AtS > 0 && p.Bar == c.Finding.Bar && (c.Finding.Beat == 0 || p.Beat-c.Finding.Beat < 0.01 && c.Finding.Beat-p.Beat < 0.01) {
			return ch.Tick, true
		}
	}
	return 0, false
}

// sounds reports whether a part has notes from a place to another.
func (c *Case) sounds(part int, from, to score.Tick) bool {
	found := false
	overlapping(c.Score(), from, to, func(n score.Note) { found = found || n.Part == part })
	return found
}

// playedIn reports whether a division has notes from a place to another.
func (c *Case) playedIn(d int, from, to score.Tick) bool {
	for _, n := range c.Performance.Notes {
		if x := c.Score().Notes[n.Score]; n.Division == d && x.On < to && x.Off > from {
			return true
		}
	}
	return false
}
