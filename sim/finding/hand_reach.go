package finding

import (
	"fmt"
	"math/bits"

	"afterchord/acoustics/plural"
)

var handNames = [2]string{"left hand", "right hand"}

// HandReach finds what two hands cannot do: stretches beyond a ninth, more keys than
// fingers, one hand on two manuals, and leaps with too little time. The notes are shared
// out between the hands in the best way first ([Context.handwork]), however many staves
// the page has. An octave of keys is 0.165 m (common practice); the limits are those of an
// average adult and no more than that.
func HandReach(c *Context) []Finding {
	var out []Finding
	held := c.handwork()
	for i := range held {
		h := &held[i]
		for hand := range 2 {
			if !h.touches(hand) {
				continue
			}
			if f, ok := c.handGrip(h, hand); ok {
				out = append(out, f)
			} else if f, ok := c.handLeap(h, hand); ok {
				out = append(out, f)
			}
		}
	}
	return out
}

// touches reports whether a hand puts a key down at this moment.
func (h *handed) touches(hand int) bool {
	m := h.right
	if hand == 0 {
		m = ^h.right
	}
	return h.fresh&m != 0
}

func (h *handed) of(hand int) []int32 {
	var out []int32
	for i, n := range h.notes {
		if int(h.right>>i&1) == hand {
			out = append(out, n)
		}
	}
	return out
}

func (c *Context) handGrip(h *handed, hand int) (Finding, bool) {
	notes := h.of(hand)
	g := c.grip(h, h.right, hand)
	until := c.note(notes[0]).OffS
	for _, n := range notes {
		until = min(until, c.note(n).OffS)
	}
	f := c.finding(KindHandReach, notes)
	f.AtS, f.UntilS = h.atS, max(until, h.atS+togetherS)
	f.Weight = f.UntilS - f.AtS
	f.Measured["keys"], f.Measured["stretch_semitones"] = float64(g.keys), float64(g.stretch)
	f.Measured["stretch_m"] = round(float64(g.stretch)*keyM, 3)
	from, to := keyName(g.low), keyName(g.high)
	switch {
	case g.bridges():
		return c.bridge(f, h, hand, g)
	case g.keys > c.Thresholds.HandKeys+1 || g.keys > c.Thresholds.HandKeys && float64(g.stretch) > handSpan+2:
		f.Severity = Fail
		f.Message = fmt.Sprintf("%d keys from %s to %s fall to the %s, however they are shared out; it has five fingers.", g.keys, from, to, handNames[hand])
		f.Try = []string{"leave out the doublings: the 4 and 2 ft stops sound the octaves above, the 16 ft the octave below", "give the lowest note to the pedal"}
	case float64(g.stretch) > c.Thresholds.HandStretchSemitones:
		if float64(g.stretch) > c.Thresholds.HandStretchFailSemitones {
			f.Severity = Fail
		}
		f.Message = fmt.Sprintf("The %s has to hold %s, %s to %s (%.0f mm), however the notes are shared out; there is no pedal to catch a note that it lets go.",
			handNames[hand], interval(g.stretch), from, to, float64(g.stretch)*keyM*1000)
		f.Try = []string{"put the outer note an octave nearer", "give the lowest note to the pedal", "break the chord and let the lowest key go when the others are down", teacherWord}
	default:
		return f, false
	}
	return f, true
}

// bridge judges one hand on two manuals: the thumb of the hand that plays the upper one may reach
// down to the next manual.
func (c *Context) bridge(f Finding, h *handed, hand int, g grip) (Finding, bool) {
	var per [8][]int
	for _, n := range h.of(hand) {
		x := c.note(n)
		per[x.Division&7] = append(per[x.Division&7], x.Key)
	}
	lower := bits.TrailingZeros(uint(g.manuals))
	upper := bits.Len(uint(g.manuals)) - 1
	names := list([]string{c.Organ.Divisions[lower].Name, c.Organ.Divisions[upper].Name})
	f.Measured["manuals"] = float64(bits.OnesCount(uint(g.manuals)))
	between := 0
	for d := lower + 1; d < upper; d++ {
		if !c.Organ.Divisions[d].Pedal {
			between++
		}
	}
	// the thumb is the right hand's lowest finger and the left hand's highest
	side := true
	for _, t := range per[lower] {
		for _, k := range per[upper] {
			if hand == 1 && t > k || hand == 0 && t < k {
				side = false
			}
		}
	}
	thumb, fingers := len(per[lower]), len(per[upper])
	fits := between == 0 && side && thumb <= 2 && fingers <= 2 && thumb+fingers <= c.Thresholds.ThumbKeys &&
		float64(g.stretch) <= handSpan
	f.Measured["thumb_keys"], f.Measured["finger_keys"] = float64(thumb), float64(fingers)
	if fits {
		f.Severity = Notice
		f.Message = fmt.Sprintf("The %s has keys on two manuals at once (%s): the thumb can bridge them, %s below and %d above, but no legato is left.",
			handNames[hand], names, plural.Count(thumb, "key"), fingers)
		f.Try = []string{"play both lines on one manual at this place", teacherWord}
		return f, true
	}
	f.Severity = Fail
	why := fmt.Sprintf("%s below and %d above, and a hand whose thumb bridges has about three", plural.Count(thumb, "key"), fingers)
	switch {
	case between > 0:
		why = "another manual lies between"
	case !side:
		why = "the thumb is on the wrong side"
	case g.stretch > handSpan:
		why = fmt.Sprintf("they lie %s apart", interval(g.stretch))
	}
	f.Message = fmt.Sprintf("The %s needs keys on two manuals at once (%s) because the other hand is taken: %s.", handNames[hand], names, why)
	f.Try = []string{"bring the accompaniment to one hand: close position, three notes at the most", "give its lowest note to the pedal", "play both lines on one manual"}
	return f, true
}

func (c *Context) handLeap(h *handed, hand int) (Finding, bool) {
	need, have := h.needS[hand], h.haveS[hand]
	if need == 0 || have >= need*0.98 {
		return Finding{}, false
	}
	f := c.finding(KindHandReach, h.of(hand))
	f.AtS = h.atS
	f.Severity = Warning
	if have < need*0.5 {
		f.Severity = Fail
	}
	f.Weight = need - have
	f.Measured["needs_s"], f.Measured["has_s"] = round(need, 3), round(max(0, have), 3)
	f.Measured["leap_semitones"] = h.leap[hand]
	what := fmt.Sprintf("move %s beyond its reach", interval(int(h.leap[hand])))
	if h.moved[hand] {
		what = "change to the " + f.Division
		if h.leap[hand] > 0 {
			what += fmt.Sprintf(" and %s further", interval(int(h.leap[hand])))
		}
	}
	f.Message = fmt.Sprintf("The %s must %s in %s; it needs about %s, however the notes are shared out.", handNames[hand], what, secs(have), secs(need))
	f.Try = []string{"leave a rest before the leap", "stay in the same octave: a 4 or 16 ft stop gives the other one", "take a slower tempo"}
	return f, true
}
