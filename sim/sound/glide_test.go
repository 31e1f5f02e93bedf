package sound

import (
	"math"
	"testing"

	"afterchord/voicing"

	"github.com/stretchr/testify/require"
)

// A pipe begins as many cents off as it is said to, has come to its pitch when its glide is over, and begins with silence; where the
// loop takes over there is no step.
func TestPitchGlides(t *testing.T) {
	const rate, hz, tau = 48000, 400.0, 0.05
	for _, cents := range []float64{-40, 30} {
		p := sinePipe(hz, 1)(voicing.PipeID{})
		p.Partials[0].RiseS = tau
		p.Speech.GlideCents, p.Speech.GlideS = cents, tau
		s := newPipeSound(p, rate, 5)
		wave := sounded(s, s.onset, s.loop)
		var crossings []float64 // upwards, s
		for i := 1; i < len(wave); i++ {
			if a, b := wave[i-1], wave[i]; a < 0 && b >= 0 {
				crossings = append(crossings, (float64(i)-float64(b)/float64(b-a))/rate)
			}
		}
		steady := 1 / hz
		for i := 1; i < len(crossings); i++ {
			at := (crossings[i] + crossings[i-1]) / 2
			want := cents * math.Exp(-at/tau)
			got := -1200 * math.Log2((crossings[i]-crossings[i-1])/steady)
			if i > 4 { // the rise itself bends the first periods
				require.InDelta(t, want, got, 2, "%g cents, %.3f s", cents, at)
			}
		}
		require.Less(t, math.Abs(float64(wave[0])), 0.01)
		most, across := 0.0, 0.0
		for i := len(s.onset) - 200; i < len(s.onset)+200; i++ {
			d := math.Abs(float64(wave[i+1] - 2*wave[i] + wave[i-1]))
			if most = max(most, d); i >= len(s.onset)-2 && i <= len(s.onset)+1 {
				across = max(across, d)
			}
		}
		require.LessOrEqual(t, across, most)
		require.Less(t, most, 1.1*math.Sqrt2*math.Pow(2*math.Pi*hz/rate, 2))
	}
}

// Flues begin flat by some tens of cents and with an edge tone that is no harmonic; reeds begin within a few cents of their pitch.
func TestFluesBeginFlat(t *testing.T) {
	o, _ := voicing.BuiltIn("minster")
	for d := range o.Divisions {
		for i := range o.Divisions[d].Stops {
			stop := &o.Divisions[d].Stops[i]
			p := o.Pipe(voicing.PipeID{Division: uint8(d), Stop: uint8(i), Key: uint8((stop.LowKey + stop.HighKey) / 2)})
			if stop.Family == voicing.Reed {
				require.InDelta(t, 0, p.Speech.GlideCents, 3, stop.Name)
				require.Zero(t, p.Noise.EdgePower, stop.Name)
				continue
			}
			require.True(t, p.Speech.GlideCents < -5 && p.Speech.GlideCents > -50, "%s: %g", stop.Name, p.Speech.GlideCents)
			if p.Noise.EdgePower > 0 {
				off := 1200 * math.Log2(p.Noise.EdgeHz/(math.Round(p.Noise.EdgeHz/p.Hz)*p.Hz))
				require.True(t, off > 10 && off < 80, "%s: edge tone %g cents over a harmonic", stop.Name, off)
			}
		}
	}
}
