package finding

import (
	"fmt"
	"math"

	"afterchord/acoustics/plural"
	"afterchord/sim/performance"
)

// SteppedCrescendo finds stops that come on or go off under a held chord: the level moves in a
// step, not gradually. The step is the steady level at the seat of the keys that are held,
// with the stops after against the stops before.
func SteppedCrescendo(c *Context) []Finding {
	if c.Field == nil {
		return nil
	}
	var out []Finding
	graduals := c.graduals()
	down := c.heldKeys()
	changes := c.Performance.Changes
	for i := 1; i < len(changes); i++ {
		a, b := changes[i-1], changes[i]
		held := down.at(b.AtS-0.01, func(n *performance.Note) bool { return n.OnS < b.AtS-0.05 && n.OffS > b.AtS+0.1 })
		during := false
		for _, g := range graduals {
			during = during || b.AtS > g.from+0.05 && b.AtS < g.to-0.05
		}
		if len(held) == 0 && during {
			held = down.at(b.AtS-0.02, func(n *performance.Note) bool { return true })
		}
		if len(held) == 0 {
			continue
		}
		step := c.levelOf(b, held, b.AtS) - c.levelOf(a, held, b.AtS)
		if math.Abs(step) < c.Thresholds.SteppedDB {
			continue
		}
		on, off := c.Organ.Diff(a.Registration, b.Registration)
		f := c.finding(KindSteppedCrescendo, held)
		f.AtS = b.AtS
		f.Severity = Notice
		if math.Abs(step) >= c.Thresholds.SteppedWarnDB {
			f.Severity = Warning
		}
		f.Weight = math.Abs(step) / 10 * (f.UntilS - f.AtS)
		f.Measured["step_db"] = round(step, 1)
		f.Measured["stops_on"], f.Measured["stops_off"] = float64(len(on)), float64(len(off))
		f.Message = fmt.Sprintf("%s %s under %s: the level at the seat %s by %.1f dB in one step.",
			stopsOrCouplers(len(on)+len(off)), comeGo(len(on), len(off)), heldChord(len(held)), risesFalls(step), math.Abs(step))
		f.Try = []string{"change the stops at a breath between two chords", "add a voice at a time instead: the chord thickens in smaller steps",
			"use the box of an enclosed division"}
		out = append(out, f)
	}
	return out
}

func stopsOrCouplers(n int) string {
	return plural.Count(n, "stop or coupler", "stops or couplers")
}

func heldChord(keys int) string {
	if keys == 1 {
		return "a held key"
	}
	return fmt.Sprintf("a held chord of %d keys", keys)
}

func risesFalls(stepDB float64) string {
	if stepDB < 0 {
		return "falls"
	}
	return "rises"
}

func comeGo(on, off int) string {
	switch {
	case off == 0 && on == 1:
		return "comes on"
	case off == 0:
		return "come on"
	case on == 0 && off == 1:
		return "goes off"
	case on == 0:
		return "go off"
	}
	return fmt.Sprintf("change (%d on, %d off)", on, off)
}

// levelOf is the steady level of keys under a registration, dB re 20 µPa.
func (c *Context) levelOf(ch performance.Change, notes []int32, atS float64) float64 {
	sum := 0.0
	for _, v := range c.steadyBands(c.pipesOf(ch.Registration, notes), atS) {
		sum += v
	}
	return 10 * math.Log10(max(sum, 1e-10))
}
