package finding

import (
	"fmt"

	"afterchord/acoustics/lazyregexp"
	"afterchord/sim/score"
)

// OpenArticulation finds full chords, loud and in quick succession, of which neither a sign nor a word on the page says how long
// they are to be held: struck again and again, or changing several times a bar. At the organ nothing but length gives them
// drive. It is a remark: there is no mistake, only a choice that the player has to make.
func OpenArticulation(c *Context) []Finding {
	_, hands := c.limbsOf()
	ms := c.moments(hands)
	told := c.firstWordOfTouch()
	var out []Finding
	var run []moment
	flush := func() {
		if f, ok := c.openRun(run); ok {
			out = append(out, f)
		}
		run = nil
	}
	for i, m := range ms {
		if m.atS >= told || !c.denseChord(m) || i+1 < len(ms) && !c.fullLength(m, ms[i+1].atS) {
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

// touchWord is how a page says in words that notes are joined or parted (English, German, French, Italian).
var touchWord = lazyregexp.New(`(?i)\b(legat|stacc|marc(\.|ato\b)|ten(\.|uto\b)|portato|détach|detach|parted|lié|gebunden|abgesetzt|gestoßen|gestossen|getragen|sciolt|separat|martellato)`)

// SaysTouch reports whether words say how notes are touched.
func SaysTouch(words string) bool { return touchWord.MatchString(words) }

// firstWordOfTouch is when the page first says in words how notes are touched, s; after the end where it never does.
func (c *Context) firstWordOfTouch() float64 {
	for _, w := range c.Score.Words {
		switch w.Kind {
		case score.Text, score.Direction, score.Marker:
			if SaysTouch(w.Text) {
				return c.Score.Seconds(w.At) - togetherS
			}
		}
	}
	return c.Score.Seconds(c.Score.End) + 1
}

// denseChord reports whether a moment is a loud chord of many keys.
func (c *Context) denseChord(m moment) bool {
	loud := 0
	for _, i := range m.notes {
		if c.note(i).Dynamic >= score.F {
			loud++
		}
	}
	return len(m.notes) >= c.Thresholds.OpenKeys && 2*loud > len(m.notes)
}

// fullLength reports whether the chord is written to last until the next and no sign says that it shall: nothing on the page
// parts them or joins them.
func (c *Context) fullLength(m moment, nextS float64) bool {
	full := 0
	for _, i := range m.notes {
		n := c.Score.Notes[c.note(i).Score]
		if c.Score.Seconds(n.Off) >= m.atS+0.85*(nextS-m.atS) && n.Off-n.On == n.Written && !n.Articulated {
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
	if len(run) < c.Thresholds.OpenChords {
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
	again := float64(repeats) >= c.Thresholds.OpenRepeats*float64(len(run)-1)
	mean := float64(keys) / float64(len(run))
	if !again && (mean < c.Thresholds.OpenChangingKeys || !c.severalABar(run)) {
		return Finding{}, false
	}
	f := c.finding(KindOpenArticulation, notes)
	f.Severity = Notice
	f.Count = len(run)
	f.Weight = 0.1 * (f.UntilS - f.AtS)
	apart := (run[len(run)-1].atS - run[0].atS) / float64(len(run)-1)
	f.Measured["chords"], f.Measured["keys"] = float64(len(run)), round(mean, 1)
	f.Measured["between_onsets_s"] = round(apart, 3)
	how := "most of them struck again"
	if !again {
		how = "most of them on new keys"
	}
	f.Message = fmt.Sprintf("%d loud chords of about %.0f keys, %.2f s apart, %s: the page does not say how they are to be articulated. Legato, detached, or a slur and a detached pair: say which.",
		len(run), mean, apart, how)
	f.Try = []string{"detached: half the value and a rest, in plain values", "in pairs: two under a slur, the second short", "shared between the hands as a toccata figure"}
	return f, true
}

// severalABar reports whether chords follow each other more than once a bar: one to the bar is held, not struck.
func (c *Context) severalABar(run []moment) bool {
	at := func(m moment) score.Tick { return c.Score.TickAt(m.atS) }
	span := at(run[len(run)-1]) - at(run[0])
	bar := c.Score.Bars[c.Score.BarAt(at(run[0]))].Length
	return 10*span <= 7*bar*score.Tick(len(run)-1)
}
