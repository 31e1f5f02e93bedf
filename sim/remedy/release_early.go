package remedy

import (
	"afterchord/acoustics/plural"
	"afterchord/sim/score"

	"afterchord/sim/finding"
)

// ReleaseEarly lets go what sounds before the entry early, so that a plain rest stands there, and marks the
// place with a comma. Drafts go from the shortest rest that the piece's values have to a semibreve; a note
// keeps at least a quarter of its length.
func ReleaseEarly(c *Case) []Draft {
	if len(c.Onsets()) == 0 {
		return nil
	}
	var out []Draft
	last := score.Tick(0)
	for _, rest := range rests(c.Score()) {
		d := c.pen()
		longest := score.Tick(0)
		for _, at := range c.Onsets() {
			released := score.Tick(0)
			for _, n := range c.soundingInto(at, rest) {
				r := restBefore(c.Score(), n.On, at, rest)
				if d.note(n.ID).Off > at-r && r > 0 {
					d.shorten(n.ID, at-r)
					released = max(released, r)
				}
			}
			if released > 0 {
				d.word(score.Word{At: max(0, at-released), Part: -1, Kind: score.Text, Text: ","})
			}
			longest = max(longest, released)
		}
		if longest <= last {
			continue
		}
		last = longest
		each := ""
		if len(c.Onsets()) > 1 {
			each = "each "
		}
		x, ok := d.finish(false, "%s before %s %s %sreleased %s early (%.2f s). It costs the end of the chord.", plural.Count(len(d.touched), "note"), c.change(), isAre(len(d.touched)),
			each, aValue(c.Score(), longest), c.lasts(longest, c.Onsets()[0]))
		if ok {
			x.Price = restPrice * float64(longest) / float64(c.Score().TicksPerCrotchet)
			out = append(out, x)
		}
	}
	return out
}

// restPrice is what each crotchet of rest costs the music beyond the change itself.
const restPrice = 0.03

// change names what the finding begins with: "the entry in bar 7", "the changes of harmony in bars 3–5".
func (c *Case) change() string {
	what := "the entry"
	switch several := len(c.Onsets()) > 1; {
	case c.Finding.Kind == finding.KindBlurredHarmony && several:
		what = "the changes of harmony"
	case c.Finding.Kind == finding.KindBlurredHarmony:
		what = "the change of harmony"
	case several:
		what = "the entries"
	}
	return what + " in " + c.bars()
}

// soundingInto lists the notes that sound less than most before an onset and that nothing of their line
// follows before it. What is held on through it belongs to both.
func (c *Case) soundingInto(at, most score.Tick) []score.Note {
	s := c.Score()
	var near, out []score.Note
	overlapping(s, at-most, at, func(n score.Note) { near = append(near, n) })
	for _, n := range near {
		last := n.Off <= at+grid(s)
		for _, m := range near {
			last = last && !(lineOf(m) == lineOf(n) && m.On > n.On && n.Off <= m.On+grid(s))
		}
		if last {
			out = append(out, n)
		}
	}
	return out
}
