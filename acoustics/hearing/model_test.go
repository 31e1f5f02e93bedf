package hearing

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The banded filters give the standard's excitation pattern, where it is above threshold.
func TestExcitationAgainstComponents(t *testing.T) {
	m := New(Options{Field: Free})
	w, e := m.NewWork(), make([]float64, m.N())
	for _, db := range []float64{30, 60, 90} {
		b := m.Band(500)
		power := make([]float64, m.N())
		power[b] = math.Pow(10, db/10)
		m.Excitation(e, power, w)
		_, want := ExcitationOf(tones(db, m.Bands()[b]), Free)
		for i := range e {
			k := int(math.Round((m.cams[i] - lowestCam) / exactStep))
			onGrid := math.Abs(lowestCam+exactStep*float64(k)-m.cams[i]) < 1e-9
			if onGrid && k >= 0 && k < len(want) && want[k] > 0 {
				assert.InDelta(t, want[k], 10*math.Log10(e[i]), 0.5, "%g dB, band %d", db, i)
			}
		}
	}
}

// The curve for drawing holds the same loudness as the number.
func TestSpecificPartialSumsToPartial(t *testing.T) {
	m := New(Options{})
	w, s, k, n := m.NewWork(), organLike(m, 60), organLike(m, 50), make([]float64, m.N())
	sum := func() (total float64) {
		for i, v := range n {
			total += v * float64(m.width[i])
		}
		return total
	}
	partial, alone := m.Partial(s, k, w)
	m.SpecificPartial(n, s, k, w)
	assert.InEpsilon(t, partial, sum(), 1e-6)
	m.SpecificPartial(n, s, nil, w)
	assert.InEpsilon(t, alone, sum(), 1e-6)
}

// The result hardly depends on how far apart the bands are (same density of power):
// within 3 % up to half a Cam, 6 % at one.
func TestBandSpacing(t *testing.T) {
	for _, step := range []float64{0.25, 0.5, 1} {
		t.Run(fmt.Sprint(step), func(t *testing.T) {
			m := New(Options{Step: step})
			p := bandPower(m, noise(50, 15000, 20, 3))
			assert.InEpsilon(t, LoudnessOf(noise(50, 15000, 20, 3), Diffuse), m.Loudness(p, m.NewWork()), 0.06)
		})
	}
}

// Closed form of a church: a new sound with the spectrum of the old tail. Above 1 kHz,
// well above threshold, K = 0.5, share 0.1 is reached at −2 dB and 0.5 at +4 dB
// (equation 17 solved by hand; see TestShareWellAboveThreshold).
func TestSharePassesItsThresholds(t *testing.T) {
	m := New(Options{})
	w, now, old := m.NewWork(), make([]float64, m.N()), make([]float64, m.N())
	at := func(share float64) float64 {
		low, high := -20.0, 30.0
		for range 40 {
			mid := (low + high) / 2
			for i, hz := range m.Bands() {
				now[i], old[i] = 0, 0
				if hz > 900 && hz < 6000 {
					now[i], old[i] = 1e7, 1e7*math.Pow(10, -mid/10)
				}
			}
			if m.HeardShare(now, old, w) < share {
				low = mid
			} else {
				high = mid
			}
		}
		return high
	}
	t.Logf("0.1 at %.1f dB, 0.5 at %.1f dB", at(0.1), at(0.5))
	assert.InDelta(t, -2, at(0.1), 0.5)
	assert.InDelta(t, 3.7, at(0.5), 0.7)
}
