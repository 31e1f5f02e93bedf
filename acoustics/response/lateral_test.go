package response

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/geometry"
	"afterchord/acoustics/impulse"
	"afterchord/acoustics/internal/fft"
	"afterchord/acoustics/longtest"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/room"
)

// figureOfEight hears what comes from the sides on the left and the rest on the right; the power of both is that of an omnidirectional microphone.
func figureOfEight(rate int) receiver {
	return func(from geometry.Point, delayS float64) [2]wavelet {
		at := int(math.Round(delayS * float64(rate)))
		side := from.X / math.Sqrt(from.X*from.X+from.Y*from.Y+from.Z*from.Z)
		return [2]wavelet{{at, []float64{math.Sqrt2 * side}}, {at, []float64{math.Sqrt(2 * (1 - side*side))}}}
	}
}

// Early lateral energy fraction, 5 to 80 ms from the sides of 0 to 80 ms in all, 125 Hz to 1 kHz: 0.05 to 0.35 is the typical range in halls
// (ISO 3382-1:2009, table A.1, from memory). A diffuse field has a third, the mean of cos² over all directions.
func TestEarlySoundComesFromTheSides(t *testing.T) {
	for _, church := range room.BuiltIns() {
		r, _ := room.BuiltIn(church)
		for _, name := range []string{"middle", "front", "back"}[:longtest.Of(1, 3)] {
			t.Run(church+" "+name, func(t *testing.T) {
				seat, err := r.Seat(name)
				require.NoError(t, err)
				whole, err := Late(t.Context(), r, seat, 48000)
				require.NoError(t, err)
				late := whole.Beginning()
				tail := &impulse.Response{Rate: late.Rate, L: scaled(late.L, math.Sqrt(2.0/3)), R: scaled(late.R, math.Sqrt(4.0/3))}
				source := Source{At: r.OrganMiddle(), InCase: true}
				both := sum(tail, earlyBy(r, source, seat, tail.Rate, tail, figureOfEight(tail.Rate)).Whole())
				from := int(r.Path(r.Fit(source.At), seat).DelayS * float64(tail.Rate))
				ms := func(v int) int { return from + v*tail.Rate/1000 }
				fraction := 0.0
				for _, centre := range octave.Centres[1:5] {
					side := bandEnergy(both.L[ms(5):ms(80)], centre, tail.Rate)
					fraction += side / (bandEnergy(both.L[ms(-1):ms(80)], centre, tail.Rate) + bandEnergy(both.R[ms(-1):ms(80)], centre, tail.Rate)) / 4
				}
				t.Logf("%.2f", fraction)
				require.Greater(t, fraction, 0.05)
				require.Less(t, fraction, 0.35)
			})
		}
	}
}

func scaled(x []float64, by float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = v * by
	}
	return out
}

// bandEnergy is the energy of x in the octave about centre (Hz).
func bandEnergy(x []float64, centre float64, rate int) (sum float64) {
	n := fft.PowerOfTwo(len(x))
	padded := make([]float64, n)
	copy(padded, x)
	for k, v := range fft.NewReal(n).Coefficients(nil, padded) {
		if hz := float64(k) * float64(rate) / float64(n); hz >= centre/math.Sqrt2 && hz < centre*math.Sqrt2 {
			sum += real(v)*real(v) + imag(v)*imag(v)
		}
	}
	return sum
}
