package sound

import (
	"math"

	"afterchord/voicing"
)

const (
	sincTaps   = 16
	sincPhases = 512
)

// tremulant moves pitch and level of a division's sound to and fro: a delay that swings by
// A·cos(2πft), so that the pitch swings by 2πfA (in parts of it), and a gain in step with the pitch.
type tremulant struct {
	hz, swing, db float64 // Hz; samples; dB peak
	rate          int
	past          []float64 // what came before this block
	joined        []float64
	table         [][sincTaps]float64
}

func newTremulant(d *voicing.Division, rate int) *tremulant {
	hz := d.TremulantHz
	if !(hz > 0) {
		return nil
	}
	t := &tremulant{hz: hz, db: d.TremulantDB, rate: rate}
	t.swing = (math.Exp2(math.Abs(d.TremulantCent)/1200) - 1) / (2 * math.Pi * hz) * float64(rate)
	t.past = make([]float64, int(2*t.swing)+sincTaps+2)
	t.table = make([][sincTaps]float64, sincPhases+1)
	for p := range t.table {
		f := float64(p) / sincPhases
		sum := 0.0
		for k := range sincTaps {
			x := float64(k-sincTaps/2+1) - f
			w := math.Cos(math.Pi * x / (sincTaps + 1))
			v := w * w
			if x != 0 {
				v *= math.Sin(math.Pi*x) / (math.Pi * x)
			}
			t.table[p][k] = v
			sum += v
		}
		for k := range sincTaps {
			t.table[p][k] /= sum
		}
	}
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
	w := 2 * math.Pi * t.hz / float64(t.rate)
	for i := range x {
		s, c := math.Sincos(w * float64(at+int64(i)))
		// Delay of at least half the taps, so that the kernel has its right side.
		pos := float64(h+i) - sincTaps/2 - t.swing*(1+c)
		n := math.Floor(pos)
		p := (pos - n) * sincPhases
		k := min(sincPhases-1, int(p))
		f := p - float64(k)
		a, b := &t.table[k], &t.table[k+1]
		src := t.joined[int(n)-sincTaps/2+1:][:sincTaps:sincTaps]
		sum := 0.0
		for j := range src {
			sum += src[j] * (a[j] + f*(b[j]-a[j]))
		}
		x[i] = sum * math.Exp(math.Ln10/20*t.db*s)
	}
}
