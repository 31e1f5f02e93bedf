package hearing

import (
	"afterchord/acoustics/internal/vector"
)

// laws is [place] for all the filters of a Model at once.
type laws struct {
	law      *vector.Powers // (G·E+A)^α − A^α
	fade     *vector.Powers // to the power 0.3
	quiet, k []float32
	quietLaw []float32
}

func newLaws(bands []float64, plane int) laws {
	l := laws{law: vector.NewPowers(plane), fade: vector.NewPowers(plane),
		quiet: make([]float32, plane), k: make([]float32, plane), quietLaw: make([]float32, plane)}
	for i := range plane {
		p := newPlace(bands[min(i, len(bands)-1)]) // what fills the plane up is like the last
		l.law.Gain[i], l.law.Add[i], l.law.Exponent[i] = float32(p.gain), float32(p.a), float32(p.alpha)
		l.quiet[i], l.k[i] = float32(p.quiet), float32(p.k)
		l.fade.Exponent[i] = 0.3
	}
	less := make([]float32, plane)
	vector.Power(less, less, l.law) // so that nothing gives 0
	l.law.Less = less
	vector.Power(l.quietLaw, l.quiet, l.law)
	return l
}

// compress is [place.law] of each excitation.
func (l *laws) compress(dst, e []float32) {
	vector.Power(dst, e, l.law)
	if vector.Most(e) <= highLevel {
		return
	}
	for k, v := range e {
		if v > highLevel {
			dst[k] = max(dst[k], float32(pow(float64(v)/1.0707, 0.2)))
		}
	}
}

// specifics is [place.specific] of each excitation.
func (l *laws) specifics(dst, e []float32) {
	l.compress(dst, e)
	vector.Faint(dst, e, l.quiet)
}

// leastExcitation is E/E0 below which a filter has no signal.
const leastExcitation = 1e-6

// partials is [place.partial] of each excitation s in masker; w.both is the law of their sum.
func (l *laws) partials(dst, s, masker []float32, w *Work) {
	vector.Masked(w.rest, w.edge, w.ratio, s, masker, l.k, l.quiet, leastExcitation)
	vector.Power(w.ratio, w.ratio, l.fade)
	l.compress(w.edgeLaw, w.edge)
	l.compress(w.restLaw, masker)
	vector.Partial(dst, s, w.rest, w.both, w.edgeLaw, w.restLaw, w.ratio, l.quietLaw, leastExcitation)
}

// loudness is the sum over the scale of specific loudness over C, sone at both ears.
func (m *Model) loudness(specific []float32) float64 {
	sum := float32(0)
	specific = specific[:len(m.width)]
	for k, w := range m.width {
		sum += float32(w * specific[k])
	}
	return bothEars * calibration * float64(sum)
}

// loudnesses is loudness of three at once.
func (m *Model) loudnesses(a, b, c []float32) (x, y, z float64) {
	n := len(m.width)
	a, b, c = a[:n], b[:n], c[:n]
	var p, q, r float32
	for k, w := range m.width {
		p += float32(w * a[k])
		q += float32(w * b[k])
		r += float32(w * c[k])
	}
	const sone = bothEars * calibration
	return sone * float64(p), sone * float64(q), sone * float64(r)
}
