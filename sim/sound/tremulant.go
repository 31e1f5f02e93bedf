package sound

import (
	"math"

	"afterchord/voicing"
)

// tremulant moves pitch and level of a division's sound to and fro: a delay that swings by
// A·cos(2πft), so that the pitch swings by 2πfA (in parts of it), and a gain in step with the pitch.
type tremulant struct {
	hz, swing, db float64 // Hz; samples; dB peak
	rate          int
	past          []float64 // what came before this block
	joined        []float64
}

func newTremulant(d *voicing.Division, rate int) *tremulant {
	hz := d.TremulantHz
	if !(hz > 0) {
		return nil
	}
	t := &tremulant{hz: hz, db: d.TremulantDB, rate: rate}
	t.swing = (math.Exp2(math.Abs(d.TremulantCent)/1200) - 1) / (2 * math.Pi * hz) * float64(rate)
	t.past = make([]float64, int(2*t.swing)+sincTaps+2)
	return t
}

// process shakes x in place; its first sample is the absolute sample at.
func (t *tremulant) process(x []float64, at int64) {
	h := len(t.past)
	if len(t.joined) != h+len(x) {
		t.joined = make([]float64, h+len(x))
	}
	copy(t.joined, t.past)
	copy(t.joined[h:], x)
	copy(t.past, t.joined[len(x):])
	w, table := 2*math.Pi*t.hz/float64(t.rate), sincTable()
	for i := range x {
		s, c := math.Sincos(w * float64(at+int64(i)))
		// Delay of at least half the taps, so that the kernel has its right side.
		pos := float64(h+i) - sincTaps/2 - t.swing*(1+c)
		x[i] = between(table, t.joined, pos) * math.Exp(math.Ln10/20*t.db*s)
	}
}
