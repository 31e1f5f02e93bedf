package finding

import (
	"fmt"
	"math"

	"afterchord/sim/performance"
)

// teacherWord closes the advice wherever a reach is at the limit.
const teacherWord = "reaches are those of an average adult: try it at the console, and let your teacher's word and your own comfort decide"

// PedalReach finds what two feet cannot do: a foot that has too little time for its
// leap, both feet in octaves that should be joined over more than about a third, three
// keys and more at once, feet crossed far, and runs beyond trained feet. Who plays what
// is the best of all footings with heel and toe ([Context.footwork]), so that a verdict
// means that no better one is there. Dimensions and times are common practice or working
// figures, see the table of thresholds.
func PedalReach(c *Context) []Finding {
	feet, _ := c.limbsOf()
	ms := c.moments(feet)
	if len(ms) == 0 {
		return nil
	}
	out := c.pedalCrowds(ms, feet)
	out = append(out, c.pedalOctaves(ms)...)
	for _, t := range c.footwork(ms, either) {
		if f, ok := c.pedalLeap(t); ok {
			out = append(out, f)
		}
	}
	return append(out, c.pedalSpeed(ms)...)
}

func (c *Context) pedalLeap(t tread) (Finding, bool) {
	if t.fromKey < 0 || !t.busy && !t.crossed && t.haveS >= t.needS*0.98 {
		return Finding{}, false
	}
	n := c.note(t.note)
	f := c.finding(KindPedalReach, []int32{t.note})
	f.Measured["leap_m"] = round(t.leapM, 3)
	f.Measured["has_s"] = round(max(0, t.haveS), 3)
	f.Measured["needs_s"] = round(t.needS, 3)
	move := fmt.Sprintf("%s (%s to %s, %.2f m)", interval(n.Key-t.fromKey), keyName(t.fromKey), keyName(n.Key), t.leapM)
	switch {
	case t.busy:
		f.Severity = Fail
		f.Measured["still_held_s"] = round(max(0, -t.gapS), 3)
		f.Message = fmt.Sprintf("The %s has to take %s while it still holds %s for %s, and the other foot is no freer.",
			t.foot, keyName(n.Key), keyName(t.fromKey), secs(-t.gapS))
		f.Try = []string{"let go of the held pedal note earlier", "give one of the two notes to the left hand, with the manual coupled to the pedal"}
		f.Weight = n.OffS - n.OnS
	case t.haveS < t.needS*0.98:
		if t.haveS < t.needS*c.Thresholds.PedalLeapFailShare {
			f.Severity = Fail
		}
		f.Message = fmt.Sprintf("The %s must leap %s with %s to get there; it needs about %s, and the other foot does no better.",
			t.foot, move, secs(t.haveS), secs(t.needS))
		f.Try = []string{"bring the notes nearer by an octave", "lengthen the note before the leap or take a slower tempo",
			"leave out the note that the foot cannot reach, or give it to the left hand"}
		f.Weight = n.OffS - n.OnS
	default:
		f.Message = fmt.Sprintf("The feet stand crossed: the %s takes %s on the far side of the other foot, which is holding its key.", t.foot, keyName(n.Key))
		f.Try = []string{"exchange the two voices or let go of the held note", teacherWord}
	}
	return f, true
}

// pedalOctaves finds octaves in both feet that should be joined but leap.
func (c *Context) pedalOctaves(ms []moment) []Finding {
	var out []Finding
	isOctave := func(m moment) bool {
		return len(m.notes) == 2 && c.note(m.notes[1]).Key-c.note(m.notes[0]).Key == 12
	}
	for i := 1; i < len(ms); i++ {
		a, b := ms[i-1], ms[i]
		if !isOctave(a) || !isOctave(b) {
			continue
		}
		from, to := c.note(a.notes[0]), c.note(b.notes[0])
		off := max(from.OffS, c.note(a.notes[1]).OffS)
		gap := to.OnS - off
		semis := int(math.Abs(float64(to.Key - from.Key)))
		if float64(semis) <= c.Thresholds.PedalOctaveThird || gap >= c.Thresholds.PedalJoinS {
			continue
		}
		leap := math.Abs(pedalX(to.Key) - pedalX(from.Key))
		need := c.Thresholds.PedalLeapS + float64(c.Thresholds.PedalLeapSPerM*leap)
		f := c.finding(KindPedalReach, b.notes)
		f.Measured["leap_m"], f.Measured["needs_s"] = round(leap, 3), round(need, 3)
		f.Measured["gap_s"], f.Measured["leap_semitones"] = round(max(0, gap), 3), float64(semis)
		f.Weight = need
		f.Message = fmt.Sprintf("Both feet leap %s together in octaves (%s to %s) and cannot join the notes: the page leaves no gap, the feet need about %s.",
			interval(semis), keyName(from.Key), keyName(to.Key), secs(need))
		f.Try = []string{"drop one of the octaves and draw a 16 or 32 ft stop instead: then one voice can be joined",
			fmt.Sprintf("write the octaves detached, with %s of rest before the leap", secs(need)),
			"move the octaves by no more than a third"}
		out = append(out, f)
	}
	return out
}

// pedalCrowds finds three pedal keys and more at once.
func (c *Context) pedalCrowds(ms []moment, feet func(n *performance.Note) bool) []Finding {
	var out []Finding
	down := c.heldKeys()
	for _, m := range ms {
		held := down.at(m.atS+togetherS+0.03, feet)
		if len(held) < 3 {
			continue
		}
		f := c.finding(KindPedalReach, held)
		f.AtS = m.atS
		f.Weight = f.UntilS - f.AtS
		f.Measured["keys"] = float64(len(held))
		pairs := c.footGroups(held)
		f.Measured["feet_wanted"] = float64(pairs)
		if pairs > 2 {
			f.Severity = Fail
			f.Message = fmt.Sprintf("%d pedal keys are held at once and lie too far apart for two feet, even with heel and toe: they want %d feet.", len(held), pairs)
		} else {
			f.Message = fmt.Sprintf("%d pedal keys are held at once: two feet can do it only with heel and toe of one foot on keys no more than a third apart.", len(held))
		}
		f.Try = []string{"keep two notes in the pedal and give the rest to the left hand", "draw a coupler or a higher pedal stop in place of the upper notes", teacherWord}
		out = append(out, f)
	}
	return out
}

// footGroups is how many feet a set of keys wants, heel and toe a third apart on naturals.
func (c *Context) footGroups(held []int32) int {
	groups := 0
	for i := 0; i < len(held); {
		groups++
		k := c.note(held[i]).Key
		i++
		if i < len(held) {
			k2 := c.note(held[i]).Key
			if pedalX(k2)-pedalX(k) <= pivotM && !(sharp(k) && sharp(k2) && k2-k > 2) {
				i++
			}
		}
	}
	return groups
}

// speedRun is how many notes in a row make a run.
const speedRun = 6

// pedalSpeed finds runs that are quicker than trained feet.
func (c *Context) pedalSpeed(ms []moment) []Finding {
	var out []Finding
	for i := 0; i+speedRun <= len(ms); i++ {
		rate := float64(speedRun-1) / (ms[i+speedRun-1].atS - ms[i].atS)
		if rate <= c.Thresholds.PedalNotesPerS {
			continue
		}
		j := i + speedRun
		for j < len(ms) && 1/(ms[j].atS-ms[j-1].atS) > c.Thresholds.PedalNotesPerS {
			j++
		}
		var notes []int32
		for _, m := range ms[i:j] {
			notes = append(notes, m.notes...)
		}
		rate = float64(j-i-1) / (ms[j-1].atS - ms[i].atS)
		f := c.finding(KindPedalReach, notes)
		if rate > c.Thresholds.PedalNotesFailPerS {
			f.Severity = Fail
		}
		f.Measured["notes_per_s"] = round(rate, 1)
		f.Weight = f.UntilS - f.AtS
		f.Message = fmt.Sprintf("%d pedal notes run at %.1f a second; trained feet manage about %.0f.", j-i, rate, c.Thresholds.PedalNotesPerS)
		f.Try = []string{"let the pedal play the main notes and the left hand the run",
			fmt.Sprintf("take it at crotchet = %.0f or slower", c.tempoAt(ms[i].atS)*c.Thresholds.PedalNotesPerS/rate)}
		out = append(out, f)
		i = j - 1
	}
	return out
}
