package finding

import (
	"math"
	"slices"
	"sync"

	"afterchord/acoustics/hearing"
)

// disturbances is what a tone that still rings does to another n semitones away, by the roughness of
// the two as complex tones (Vassilakis 2001) over that of a semitone, 0 to 1: a fifth or an octave little, a semitone all.
var disturbances = sync.OnceValue(func() [25]float64 {
	const partials, levelDB, middle = 6, 60, 262.0 // C4; the partials fall by 20·lg n dB
	tone := func(semitones int) []hearing.Component {
		var out []hearing.Component
		for n := 1; n <= partials; n++ {
			out = append(out, hearing.Component{Hz: middle * math.Exp2(float64(semitones)/12) * float64(n), LevelDB: levelDB - 20*math.Log10(float64(n))})
		}
		return out
	}
	var out [25]float64
	both := func(semitones int) float64 { // beyond what each has alone
		a, b := tone(0), tone(semitones)
		return max(0, hearing.Roughness(append(slices.Clone(a), b...))-hearing.Roughness(a)-hearing.Roughness(b))
	}
	for i := range out {
		out[i] = min(1, both(i)/both(1))
	}
	return out
})

// disturbance is the share of what still rings at a change of harmony that disturbs the new one, 0 to
// 1, and how many tones that is: each old note by its roughness against the new keys, weighted by how much of it
// the room has kept. A tone that belongs to the new harmony, in whatever octave, counts as its octave does.
func (c *Context) disturbance(old, now []int32, at float64) (share, tones float64) {
	table := disturbances()
	rt := c.Field.Hall.Room.RT(500)
	var belongs [12]bool
	for _, n := range now {
		belongs[c.Performance.Notes[n].Key%12] = true
	}
	sum, all := 0.0, 0.0
	for _, n := range old {
		x := c.Performance.Notes[n]
		kept := (1 - math.Exp(-6*math.Ln10*(x.OffS-x.OnS)/rt)) * math.Exp(-6*math.Ln10*max(0, at-x.OffS)/rt)
		worst := 0.0
		if belongs[x.Key%12] {
			worst = table[12]
		} else {
			for _, m := range now {
				if d := max(x.Key, c.Performance.Notes[m].Key) - min(x.Key, c.Performance.Notes[m].Key); d < len(table) {
					worst = max(worst, table[d])
				}
			}
		}
		sum += kept * worst
		all += kept
	}
	if all == 0 {
		return 0, 0
	}
	return sum / all, sum
}
