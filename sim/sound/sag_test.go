package sound

import (
	"math"
	"testing"

	"afterchord/voicing"

	"github.com/stretchr/testify/require"
)

// sagging is the pitch in cents, every breathGrid samples, of a division whose pipes of these voices draw wind, in blocks of the given length.
func sagging(s *sag, voices []voice, seconds, block int) (cents, db []float64) {
	const rate = 48000
	before := 0.0
	for at := 0; at+block <= seconds*rate; at += block {
		s.gather(int64(at), block, voices)
		for i := range block / breathGrid {
			delay, gain := s.step(i)
			if len(cents) > 0 || i > 0 {
				cents = append(cents, -1200*math.Log2(1+(delay-before)/breathGrid))
			} else {
				cents = append(cents, 0)
			}
			before = delay
			db = append(db, 20*math.Log10(gain))
		}
	}
	return cents, db
}

// The full chord of the Great on all its stops pulls the pitch a few cents flat as it starts, swings, and has it back with the reservoir; as
// it ends it swings to the other side. A treble flute alone leaves it alone. However often that happens, the delay stays small.
func TestWindSags(t *testing.T) {
	const rate, great = 48000, 1
	o, _ := voicing.BuiltIn("minster")
	held := func(draws float64, from, to int64) voice {
		return voice{sound: &pipeSound{draws: draws}, start: from, off: to, end: to + 1}
	}
	full := fullWind(o, great)
	at := func(x []float64, from, to float64) []float64 {
		return x[int(from*rate/breathGrid):int(to*rate/breathGrid)]
	}
	least := func(x []float64) float64 {
		m := math.Inf(1)
		for _, v := range x {
			m = min(m, v)
		}
		return m
	}
	chord := []voice{held(full, rate/2, 5*rate)}
	cents, db := sagging(newSag(o, great, rate), chord, 8, 1280)
	t.Logf("%.1f cents, %.2f dB", least(cents), least(db))
	require.InDelta(t, -3, least(at(cents, 0.5, 1)), 1.2)
	require.InDelta(t, -0.45, least(at(db, 0.5, 1)), 0.2, "far below what a listener notices")
	require.Zero(t, least(at(cents, 0, 0.45)))
	require.Greater(t, least(at(cents, 4, 5)), -0.3)
	up := 0.0
	for _, c := range at(cents, 5, 5.5) {
		up = max(up, c)
	}
	require.InDelta(t, 3, up, 1.2)

	whole, _ := sagging(newSag(o, great, rate), chord, 8, 128000)
	require.Equal(t, cents[:len(whole)], whole, "in blocks of any length")

	flute, _ := sagging(newSag(o, great, rate), []voice{held(windOf(1046), rate/2, 5*rate)}, 8, 1280)
	require.Greater(t, least(flute), -0.05)

	var repeated []voice
	for k := range int64(200) {
		repeated = append(repeated, held(2*full, k*rate/5, k*rate/5+rate/10))
	}
	s := newSag(o, great, rate)
	for at := 0; at < 50*rate; at += 1280 {
		s.gather(int64(at), 1280, repeated)
		for i := range 10 {
			delay, _ := s.step(i)
			require.True(t, delay >= 0 && delay < s.longest())
		}
	}
	s.rest(20 * rate)
	require.InDelta(t, 0, s.at, 1e-6)
}
