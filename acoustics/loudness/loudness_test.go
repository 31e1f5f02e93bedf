package loudness

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// tone is interleaved stereo: left and right amplitudes of a sine, for seconds.
func tone(rate int, hz, left, right, seconds float64) []float32 {
	x := make([]float32, 2*int(seconds*float64(rate)))
	for i := range len(x) / 2 {
		s := math.Sin(2 * math.Pi * hz * float64(i) / float64(rate))
		x[2*i], x[2*i+1] = float32(left*s), float32(right*s)
	}
	return x
}

func db(v float64) float64 { return math.Pow(10, v/20) }

// ITU-R BS.1770: a 997 Hz sine of 0 dBFS in one channel reads -3.01 LKFS. The standard gives its
// filters for 48 kHz; at other rates the bilinear transform moves the shelf by some hundredths of a decibel.
func TestReferenceTone(t *testing.T) {
	for rate, slack := range map[int]float64{44100: 0.01, 48000: 0.005, 96000: 0.03, 192000: 0.03} {
		t.Run(fmt.Sprint(slack), func(t *testing.T) {
			require.InDelta(t, -3.01, Integrated(tone(rate, 997, 1, 0, 5), rate), slack)
			require.InDelta(t, -3.01, Integrated(tone(rate, 997, 0, 1, 5), rate), slack)
			require.InDelta(t, 0, Integrated(tone(rate, 997, 1, 1, 5), rate), slack)
		})
	}
}

// The coefficients of ITU-R BS.1770, Tables 1 and 2 (48 kHz).
func TestCoefficients(t *testing.T) {
	s, c := headShelf(48000), lowCut(48000)
	for _, row := range [][2]float64{
		{1.53512485958697, s.b0}, {-2.69169618940638, s.b1}, {1.19839281085285, s.b2}, {-1.69065929318241, s.a1}, {0.73248077421585, s.a2},
		{-1.99004745483398, c.a1}, {0.99007225036621, c.a2},
	} {
		t.Run(fmt.Sprint(row), func(t *testing.T) {
			require.InDelta(t, row[0], row[1], 1e-9)
		})
	}
}

// EBU Tech 3341, minimum requirements, test signals 1 to 5: stereo 1 kHz sines at stated levels, ±0.1 LU.
func TestGates(t *testing.T) {
	type part struct{ db, seconds float64 }
	for name, c := range map[string]struct {
		parts []part
		want  float64
	}{
		"1": {[]part{{-23, 20}}, -23},
		"2": {[]part{{-33, 20}}, -33},
		"3": {[]part{{-36, 10}, {-23, 60}, {-36, 10}}, -23},
		"4": {[]part{{-72, 10}, {-36, 10}, {-23, 60}, {-36, 10}, {-72, 10}}, -23},
		"5": {[]part{{-26, 20}, {-20, 20.1}, {-26, 20}}, -23},
	} {
		t.Run(name, func(t *testing.T) {
			m := NewMeter(48000)
			for _, p := range c.parts {
				m.Add(tone(48000, 1000, db(p.db), db(p.db), p.seconds))
			}
			require.InDelta(t, c.want, m.Integrated(), 0.1, name)
		})
	}
}

func TestSilence(t *testing.T) {
	require.True(t, math.IsInf(Integrated(nil, 48000), -1))
	require.True(t, math.IsInf(Integrated(make([]float32, 96000), 48000), -1))
	require.True(t, math.IsInf(Integrated(tone(48000, 1000, db(-80), db(-80), 5), 48000), -1))
}

// Integrated is the loudness of a whole interleaved stereo signal, LKFS.
func Integrated(stereo []float32, rate int) float64 {
	m := NewMeter(rate)
	m.Add(stereo)
	return m.Integrated()
}
