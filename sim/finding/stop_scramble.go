package finding

import (
	"fmt"
	"math/bits"
	"slices"
	"sort"

	"afterchord/acoustics/plural"
	"afterchord/sim/performance"
	"afterchord/sim/score"
	"afterchord/voicing"
)

// StopScramble finds changes of registration for which the hands have too little rest. It
// counts the knobs of each change, by division, and the time that each hand and the feet
// have; pistons make one press of any change. Where another manual stands idle, two prepared
// manuals do without the change.
func StopScramble(c *Context) []Finding {
	var out []Finding
	changes := c.Performance.Changes
	if len(changes) < 2 {
		return nil
	}
	limbs := c.limbs()
	for i := 1; i < len(changes); i++ {
		if f, ok := c.scramble(i, limbs); ok {
			out = append(out, f)
		}
	}
	return out
}

// limb is what one hand or the feet hold, by time.
type limb struct {
	name    string
	spans   []span  // in order of their beginnings
	longest float64 // of them, s
}

func (l *limb) add(s span) {
	l.spans = append(l.spans, s)
	l.longest = max(l.longest, s.to-s.from)
}

// rest is the silence of a limb around t, s: from the last key up to the next key down.
func (l *limb) rest(t float64) (from, to float64) {
	from, to = t-8, t+8 // nobody counts further than a few bars
	first := sort.Search(len(l.spans), func(i int) bool { return l.spans[i].from >= from-l.longest })
	for _, s := range l.spans[first:] {
		if s.from > to {
			break
		}
		if s.from < t-0.01 && s.to > t+0.01 {
			return t, t
		}
		if s.to <= t+0.01 {
			from = max(from, s.to)
		}
		if s.from >= t-0.01 {
			to = min(to, s.from)
		}
	}
	return min(from, t), max(to, t)
}

func (c *Context) limbs() [3]limb {
	out := [3]limb{{name: "left hand"}, {name: "right hand"}, {name: "feet"}}
	hands := c.handOf()
	feet, _ := c.limbsOf()
	for i := range c.Performance.Notes {
		n := &c.Performance.Notes[i]
		s := span{n.OnS, n.OffS}
		switch {
		case feet(n):
			out[2].add(s)
		case hands[i] >= 0:
			out[hands[i]].add(s)
		}
	}
	return out
}

// knobs counts what a change moves.
type knobs struct {
	all      int
	stops    []int // by division
	couplers int
	pedal    int // the pedal's stops, and couplers played from it
	manuals  int // manuals whose stops or couplers change
}

func (c *Context) knobs(a, b voicing.Registration) knobs {
	k := knobs{stops: make([]int, len(c.Organ.Divisions))}
	touched := make([]bool, len(c.Organ.Divisions))
	for d := range c.Organ.Divisions {
		n := bits.OnesCount64(a.Stops[d] ^ b.Stops[d])
		n += int((a.Tremulants ^ b.Tremulants) >> d & 1)
		k.stops[d] = n
		k.all += n
		touched[d] = n > 0
		if c.Organ.Divisions[d].Pedal {
			k.pedal += n
		}
	}
	for i, cp := range c.Organ.Couplers {
		if (a.Couplers^b.Couplers)>>i&1 != 0 {
			k.couplers++
			k.all++
			touched[cp.From] = true
			if c.Organ.Divisions[cp.From].Pedal {
				k.pedal++
			}
		}
	}
	for d, t := range touched {
		if t && !c.Organ.Divisions[d].Pedal {
			k.manuals++
		}
	}
	return k
}

func (c *Context) scramble(i int, limbs [3]limb) (Finding, bool) {
	a, b := c.Performance.Changes[i-1], c.Performance.Changes[i]
	k := c.knobs(a.Registration, b.Registration)
	if k.all == 0 || c.assisted(b.Tick) {
		return Finding{}, false
	}
	var free [3]float64
	for l := range limbs {
		lo, hi := limbs[l].rest(b.AtS)
		free[l] = hi - lo
	}
	f := Finding{Kind: KindStopScramble, Count: 1, AtS: b.AtS, UntilS: b.AtS + 0.1, Division: c.changedDivisions(k),
		Measured: map[string]float64{"knobs": float64(k.all), "couplers": float64(k.couplers), "pedal_knobs": float64(k.pedal),
			"left_hand_free_s": round(free[0], 2), "right_hand_free_s": round(free[1], 2), "feet_free_s": round(free[2], 2)}}
	if c.Organ.Pistons > 0 {
		return c.withPistons(f, k, free, i)
	}
	able := 0
	for l := range 2 {
		if t := free[l] - c.Thresholds.StopReturnS; t > 0 {
			able += int(t/c.Thresholds.StopMoveS + 1e-9)
		}
	}
	if able >= k.all {
		return f, false
	}
	need := c.Thresholds.StopReturnS + float64(c.Thresholds.StopMoveS*float64((k.all+1)/2))
	f.Measured["knobs_possible"], f.Measured["needs_s"] = float64(able), round(need, 2)
	f.Severity = Warning
	if 2*able < k.all && c.marksApart(b.Tick) != 1 { // who leaves out a step of one mark still plays the piece
		f.Severity = Fail
	}
	f.Weight = float64(k.all-able) * c.Thresholds.StopMoveS
	f.Message = fmt.Sprintf("%s must move here (%s) and there are no pistons: the left hand has %s, the right %s, which is time for %d; both hands free would need %s.",
		plural.Count(k.all, "knob"), c.knobList(k), secs(free[0]), secs(free[1]), able, secs(need))
	if k.pedal == k.all {
		f.Message = fmt.Sprintf("The hands have their stops prepared, but the pedal and its couplers must change too: %s (%s), and there are no pistons; the left hand has %s, the right %s, which is time for %d.",
			plural.Count(k.all, "knob"), c.knobList(k), secs(free[0]), secs(free[1]), able)
	}
	f.Try = c.scrambleTry(i, k, need)
	return f, true
}

// marksApart is by how many dynamic marks the music changes at a place, 0 where no mark does.
func (c *Context) marksApart(at score.Tick) int {
	most := 0
	for _, a := range c.Performance.Passages {
		if a.To != at {
			continue
		}
		for _, b := range c.Performance.Passages {
			if a.Part == b.Part && b.From == at {
				most = max(most, abs(int(b.Dynamic)-int(a.Dynamic)))
			}
		}
	}
	return most
}

// withPistons: one press does it, if a thumb or a toe is free for it and the pistons suffice.
func (c *Context) withPistons(f Finding, k knobs, free [3]float64, i int) (Finding, bool) {
	distinct, before := c.registrations(i), c.registrations(i-1)
	f.Measured["pistons"], f.Measured["registrations"] = float64(c.Organ.Pistons), float64(distinct)
	if distinct > c.Organ.Pistons && before <= c.Organ.Pistons {
		f.Severity = Warning
		f.Weight = 1
		f.Message = fmt.Sprintf("Here the piece asks for its registration number %d, and the organ has %d general pistons: %s must be moved by hand or another memory be called up.",
			distinct, c.Organ.Pistons, plural.Count(k.all, "knob"))
		f.Try = []string{"write fewer different dynamics", "use the box for the smaller changes"}
		return f, true
	}
	most := max(free[0], free[1], free[2])
	if most >= c.Thresholds.PistonS || k.all <= 1 && most > 0 {
		return f, false
	}
	f.Severity = Notice
	f.Weight = 0.1
	f.Message = fmt.Sprintf("%s to change at once (%s) on one piston, but neither hand nor foot is free for it: %s.",
		plural.Count(k.all, "knob"), c.knobList(k), tooShort(most, c.Thresholds.PistonS))
	f.Try = []string{fmt.Sprintf("write a breath of %s before the change", secs(c.Thresholds.PistonS)), "free one hand for a moment: let the other take its notes", "have an assistant press the piston"}
	return f, true
}

// registrations is how many different ones there are up to change i.
func (c *Context) registrations(i int) int {
	c.distinctOnce.Do(func() {
		seen := map[voicing.Registration]bool{}
		for _, ch := range c.Performance.Changes {
			seen[ch.Registration] = true
			c.distinct = append(c.distinct, len(seen))
		}
	})
	return c.distinct[i]
}

func (c *Context) knobList(k knobs) string {
	var parts []string
	for d, n := range k.stops {
		if n > 0 {
			parts = append(parts, plural.Count(n, c.Organ.Divisions[d].Name+" stop"))
		}
	}
	if k.couplers > 0 {
		parts = append(parts, plural.Count(k.couplers, "coupler"))
	}
	return list(parts)
}

func (c *Context) changedDivisions(k knobs) string {
	var names []string
	for d, n := range k.stops {
		if n > 0 {
			names = append(names, c.Organ.Divisions[d].Name)
		}
	}
	return list(names)
}

func (c *Context) scrambleTry(i int, k knobs, need float64) []string {
	var try []string
	if idle := c.idleManual(i); idle != "" && k.manuals == 1 {
		s := fmt.Sprintf("prepare the new sound on the %s, which is not in use, and change manuals instead of stops", idle)
		if k.pedal > 0 {
			s += fmt.Sprintf("; the pedal's %s must still change too, so write the pedal out of one of the two passages", plural.Count(k.pedal, "knob"))
		} else if c.pedalPlaysAfter(i) {
			s += "; mind that the pedal and its couplers stay as loud as they were"
		}
		try = append(try, s)
	}
	if k.pedal > 0 && len(try) == 0 {
		try = append(try, fmt.Sprintf("leave the pedal out of one of the two passages: %d of the %d are its own, and they can stay", k.pedal, k.all))
	}
	try = append(try, fmt.Sprintf("write a rest of about %s for both hands, or long pedal notes alone while they change", secs(need)),
		"make a smaller step: one or two knobs that one hand can reach", "have an assistant at the console draw them")
	return try
}

// idleManual names a manual that neither sounds nor is coupled on either side of change i.
func (c *Context) idleManual(i int) string {
	ch := c.Performance.Changes
	from, to := ch[i-1].AtS, c.Performance.EndS
	if i+1 < len(ch) {
		to = ch[i+1].AtS
	}
	for d, div := range c.Organ.Divisions {
		if div.Pedal || c.divisionPlays(d, from, to) || ch[i-1].Registration.Stops[d]|ch[i].Registration.Stops[d] != 0 {
			continue
		}
		return div.Name
	}
	return ""
}

func (c *Context) pedalPlaysAfter(i int) bool {
	t := c.Performance.Changes[i].AtS
	return len(c.heldKeys().at(t+0.5, func(n *performance.Note) bool { return c.Organ.Divisions[n.Division].Pedal })) > 0
}

// assisted reports whether the page asks for an assistant at a place, within a crotchet.
func (c *Context) assisted(at score.Tick) bool {
	c.assistantOnce.Do(func() {
		for _, w := range c.Score.Words {
			if score.AsksAssistant(w.Text) {
				c.assistant = append(c.assistant, w.At)
			}
		}
		slices.Sort(c.assistant)
	})
	near := c.Score.TicksPerCrotchet
	i, _ := slices.BinarySearch(c.assistant, at-near)
	return i < len(c.assistant) && c.assistant[i] <= at+near
}

// tooShort says how the longest rest falls short of what a press of a piston takes.
func tooShort(rest, press float64) string {
	if rest < 0.005 {
		return fmt.Sprintf("there is no rest to press it in (a press takes about %s)", secs(press))
	}
	return fmt.Sprintf("the longest rest is %s, and a press takes about %s", secs(rest), secs(press))
}
