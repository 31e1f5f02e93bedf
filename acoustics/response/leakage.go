package response

import (
	"math"
	"sync"

	"afterchord/acoustics/measure"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/room"
)

// leakage is what a measurement in octave bands hears of the tail's bands: leakage()[b][c] is the share of
// the tail's band c in the band b of [measure.Channel], re band b alone in itself, for noise equally strong per hertz.
var leakage = sync.OnceValue(func() (share [octave.N]octave.Bands) {
	const steps = 600
	for b := range octave.N {
		for i := range steps {
			hz := octave.Exact(b) * math.Pow(2, 2*float64(i)/steps-1)
			g := octave.Gain(b, hz)
			for c := max(0, b-1); c <= min(octave.N-1, b+1); c++ {
				w := octave.Weight(c, hz, tailCrossover)
				share[b][c] += g * g * w * w * hz
			}
		}
		own := share[b][b]
		for c := range share[b] {
			share[b][c] /= own
		}
	}
	return share
})

// unmixed is the path to ask for so that a measurement in octave bands finds the times of path although
// it hears a little of the neighbours: where the treble of a large room falls from band to band,
// the slower neighbour below would else lengthen T30 by some per cent.
func unmixed(path room.Path) room.Path {
	share := leakage()
	asked := path
	var want, got [400]float64
	for range 4 {
		before := asked
		for b := range octave.N {
			if len(path.Tail[b]) != 1 {
				continue
			}
			dt := 4 * math.Ln10 / path.Tail[b][0].Rate / float64(len(got)) // 40 dB in all
			for i := range got {
				t := float64(i) * dt
				want[i] = math.Exp(-path.Tail[b][0].Rate * t)
				got[i] = 0
				for c := max(0, b-1); c <= min(octave.N-1, b+1); c++ {
					for _, x := range before.Tail[c] {
						got[i] += share[b][c] * x.Gain * math.Exp(-x.Rate*t)
					}
				}
			}
			f := measure.DecayTime(got[:], 1, -5, -35) / measure.DecayTime(want[:], 1, -5, -35)
			if f > 0 {
				term := before.Tail[b][0]
				term.Rate *= min(1.2, f)
				asked.Tail[b] = []room.Term{term}
			}
		}
	}
	return asked
}
