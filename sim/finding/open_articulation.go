package finding

import (
	"fmt"

	"afterchord/sim/score"
)

// OpenArticulation finds full chords, loud and struck again and again, of which the page does not say how long they are to
// be held. At the organ nothing but length gives them drive. It is a remark: there is no mistake, only a choice that the
// player has to make.
func OpenArticulation(c *Context) []Finding {
	_, hands := c.limbsOf()
	ms := c.moments(hands)
	var out []Finding
	var run []moment
	flush := func() {
		if f, ok := c.openRun(run); ok {
			out = append(out, f)
		}
		run = nil
	}
	for i, m := range ms {
		if !c.denseChord(m) || i+1 < len(ms) && !c.fullLength(m, ms[i+1].atS) {
			flush()
			continue
		}
		if k := len(run) - 1; k >= 0 && m.atS-run[k].atS > c.Thresholds.OpenApartS {
			flush()
		}
		run = append(run, m)
	}
	flush()
	return out
}

// denseChord reports whether a moment is a loud chord of many keys.
func (c *Context) denseChord(m moment) bool {
	loud := 0
	for _, i := range m.notes {
		if c.note(i).Dynamic >= score.F {
			loud++
		}
	}
	return float64(len(m.notes)) >= c.Thresholds.OpenKeys && 2*loud > len(m.notes)
}

// fullLength reports whether the chord is written to last until the next: nothing on the page parts them.
func (c *Context) fullLength(m moment, nextS float64) bool {
	full := 0
	for _, i := range m.notes {
		n := c.Score.Notes[c.note(i).Score]
		if c.Score.Seconds(n.Off) >= m.atS+0.85*(nextS-m.atS) && n.Off-n.On == n.Written {
			full++
		}
	}
	return 10*full >= 8*len(m.notes)
}

// again is the share of a chord's keys that the chord before it had.
func (c *Context) again(a, b moment) float64 {
	n := 0
	for _, i := range b.notes {
		for _, j := range a.notes {
			if c.note(i).Key == c.note(j).Key {
				n++
				break
			}
		}
	}
	return float64(n) / float64(len(b.notes))
}

func (c *Context) openRun(run []moment) (Finding, bool) {
	if float64(len(run)) < c.Thresholds.OpenChords {
		return Finding{}, false
	}
	repeats := 0
	var notes []int32
	keys := 0
	for i, m := range run {
		notes = append(notes, m.notes...)
		keys += len(m.notes)
		if i > 0 && c.again(run[i-1], m) >= 0.75 {
			repeats++
		}
	}
	if float64(repeats) < c.Thresholds.OpenRepeats*float64(len(run)-1) {
		return Finding{}, false
	}
	f := c.finding(KindOpenArticulation, notes)
	f.Severity = Notice
	f.Count = len(run)
	f.Weight = 0.1 * (f.UntilS - f.AtS)
	apart := (run[len(run)-1].atS - run[0].atS) / float64(len(run)-1)
	f.Measured["chords"], f.Measured["keys"] = float64(len(run)), round(float64(keys)/float64(len(run)), 1)
	f.Measured["between_onsets_s"] = round(apart, 3)
	f.Message = fmt.Sprintf("%d loud chords of about %.0f keys, %.2f s apart, most of them struck again: the page does not say how they are to be articulated. Detached, or a slur and a detached pair: say which.",
		len(run), float64(keys)/float64(len(run)), apart)
	f.Try = []string{"detached: half the value and a rest, in plain values", "in pairs: two under a slur, the second short", "shared between the hands as a toccata figure"}
	return f, true
}
