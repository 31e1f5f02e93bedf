package hearing

import (
	"math"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/require"
)

// The laws for all filters at once in float32 are those of one filter in float64.
func TestLawsOfAPlane(t *testing.T) {
	m := New(Options{})
	w, r := m.NewWork(), rand.New(rand.NewSource(5))
	s, k, got := make([]float32, m.plane), make([]float32, m.plane), make([]float32, m.plane)
	for range 200 {
		for i := range s {
			s[i], k[i] = float32(math.Pow(10, -5+17*r.Float64())), float32(math.Pow(10, -5+17*r.Float64()))
			w.edge[i] = s[i] + k[i]
		}
		m.laws.compress(w.both, w.edge)
		m.laws.partials(got, s, k, w)
		for i := range m.bands {
			p := newPlace(m.bands[i])
			// Where the masker is far the louder, two nearly equal numbers are subtracted.
			scale := p.law(float64(s[i] + k[i]))
			require.InDelta(t, p.partial(float64(s[i]), float64(k[i])), got[i], 2e-6*scale+1e-6, "%g in %g, filter %d", s[i], k[i], i)
		}
		m.laws.specifics(got, s)
		for i := range m.bands {
			p := newPlace(m.bands[i])
			require.InDelta(t, p.specific(float64(s[i])), got[i], 2e-6*p.specific(float64(s[i]))+1e-6)
		}
	}
}
