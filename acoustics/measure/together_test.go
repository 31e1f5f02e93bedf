package measure

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/impulse"
	"afterchord/acoustics/octave"
)

// Five claps in so much noise that none alone gives a time give one together; it is said how it was read, and it is never called T30.
func TestNoisyClapsTogether(t *testing.T) {
	c := clapping{rt: 3.2, takes: 5, near: -10, noise: -29, centreHz: 1200, seed: 21}
	j, err := Takes([]*impulse.Response{c.record()})
	require.NoError(t, err)
	band := j.Result.Bands[octave.Index(1000)]
	name, within, ok := j.Averaged(octave.Index(1000))
	require.True(t, ok, "%v", j.Cautions)
	require.LessOrEqual(t, within, twoSigma)
	require.InEpsilon(t, c.rt, band.RT().Value, 0.1)
	require.Equal(t, band.RT(), map[string]Figure{"T15": band.T15, "T20": band.T20}[name])
	require.False(t, band.T30.Reliable)
	require.Contains(t, strings.Join(j.Cautions, "\n"), "measured from 5 of 5 claps or bursts\n")
	require.Contains(t, strings.Join(j.Cautions, "\n"), "at 1 kHz "+map[string]string{"T15": "noise leaves T15 alone", "T20": "T20 is read with the noise taken off"}[name])
}

// Where noise leaves less than 15 dB nothing is read.
func TestTooMuchNoiseForAnything(t *testing.T) {
	c := clapping{rt: 3.2, takes: 5, near: -10, noise: -16, centreHz: 1200, seed: 21}
	j, err := Takes([]*impulse.Response{c.record()})
	require.NoError(t, err)
	for _, band := range j.Result.Bands {
		require.False(t, band.RT().Reliable)
	}
}

// decaying is the energy, per frame, of a noise that decays by two exponentials, the second of which has the share slow, in a noise.
func decaying(frames int, rate, slow, slowRate, noise float64) []float64 {
	rng := rand.New(rand.NewPCG(1, 2))
	x := make([]float64, frames)
	for i := range x {
		x[i] = rng.ExpFloat64()*((1-slow)*math.Exp(-rate*float64(i))+slow*math.Exp(-slowRate*float64(i))+noise) - noise
	}
	return x
}

// What chance leaves of a decay without noise is what the standard says of it: σ(T20) = 0.88·T·√((1+1.90/n)/(B·T)), where an integrated
// response counts as n = 10 decays (ISO 3382-2:2008, Clause 7; from memory).
func TestChanceAgreesWithTheStandard(t *testing.T) {
	const band, rt = 5, 4.0
	h := heard{stepS: frameOf(band), noise: 1e-7, takes: 1}
	rate := 6 * math.Ln10 / (rt / h.stepS)
	h.signal = make([]float64, int(1.2*rt/h.stepS))
	sigma, _, _ := h.chance(exponential{level: 1, rate: rate, cut: len(h.signal)}, toT20, band)
	want := 0.88 * math.Sqrt((1+1.90/10)/(rt/h.stepS))
	require.InEpsilon(t, want, sigma, 0.35, "σ of 40 decays is itself sure to some 11 %")
}

// A straight decay is read, one that turns into a slower slope is said to bend.
func TestABendPastTheRangeIsSeen(t *testing.T) {
	const band, rt = 5, 3.0
	h := heard{stepS: frameOf(band), noise: 3e-4, takes: 4}
	rate := 6 * math.Ln10 / (rt / h.stepS)
	h.signal = decaying(int(1.1*rt/h.stepS), rate, 0, rate, h.noise)
	r := h.time(band)
	require.True(t, r.ok, "%+v", r)
	require.InEpsilon(t, rt, r.time, 0.1)
	h.signal = decaying(int(1.5*rt/h.stepS), rate, 0.03, rate/2.5, h.noise)
	r = h.time(band)
	require.False(t, r.ok)
	require.Equal(t, bends, r.why)
}

// Noise that changes from before the claps to after them tells no level.
func TestNoiseThatChanges(t *testing.T) {
	h := heard{drift: noiseDrift + 1}
	require.Contains(t, h.time(5).why, "differs by 3 dB")
}
