package hearing

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Equation 17 of Moore, Glasberg & Baer (1997) well above threshold in one filter with
// exponent 0.2 and K = 0.5: the share worked out by hand from (r+1)^0.2 −
// 1.5^0.2·(0.5/r)^0.3 over r^0.2, r the ratio of signal to masker.
func TestShareWellAboveThreshold(t *testing.T) {
	p := newPlace(2000)
	p.k = 0.5
	for db, want := range map[float64]float64{-3.0103: 0, 0: 0.27, 3: 0.46, 5: 0.56, 10: 0.74} {
		const masker = 1e8
		s := masker * math.Pow(10, db/10)
		assert.InDelta(t, want, p.partial(s, masker)/p.specific(s), 0.015, "%g dB", db)
	}
}

// The four regimes meet: at masked threshold the partial loudness is that of threshold in quiet.
func TestRegimesMeet(t *testing.T) {
	for _, hz := range []float64{60, 200, 1000, 5000} {
		p := newPlace(hz)
		for _, m := range []float64{0, 1, 1e3, 1e8, 1e10, 1e11} {
			edge := p.k*m + p.quiet
			assert.InEpsilon(t, p.quietLaw, p.partial(edge, m), 1e-4, "%g Hz, masker %g", hz, m)
			assert.InEpsilon(t, p.quietLaw, p.partial(edge*(1-1e-9), m), 1e-4, "%g Hz, masker %g", hz, m)
		}
	}
}

// Within one filter: louder signal never heard less, more masker never heard more,
// never more than alone.
func TestPartialOrderedInOnePlace(t *testing.T) {
	for _, hz := range []float64{50, 100, 300, 1000, 4000} {
		p := newPlace(hz)
		for mdb := -10.0; mdb <= 108; mdb += 2 {
			m := math.Pow(10, mdb/10)
			last := 0.0
			for sdb := -10.0; sdb <= 108; sdb++ {
				s := math.Pow(10, sdb/10)
				n := p.partial(s, m)
				assert.GreaterOrEqual(t, n, last*(1-1e-9), "%g Hz masker %g signal %g dB", hz, mdb, sdb)
				assert.LessOrEqual(t, p.partial(s, m*1.1), n*(1+1e-6), "%g Hz masker %g signal %g dB", hz, mdb, sdb)
				assert.LessOrEqual(t, n, p.specific(s)*(1+1e-6))
				last = n
			}
		}
	}
}

// A 1 kHz tone in white noise of 40 dB/Hz (1 Hz bandwidth 132.6 Hz: 61.2 dB in the
// ear's filter) is at masked threshold some 3 dB below the noise in its ERB (K at 1 kHz, Moore,
// Glasberg & Baer 1997): near zero there, clear 30 dB above.
func TestToneAtMaskedThreshold(t *testing.T) {
	masker := noise(100, 8000, 40, 0)
	edge := 40 + 10*math.Log10(ERB(1000)) - 3
	at, _ := PartialOf(tones(edge, 1000), masker, Free)
	above, alone := PartialOf(tones(edge+30, 1000), masker, Free)
	assert.Less(t, Phon(at), 5.0)
	assert.Greater(t, above/alone, 0.5)
	below, _ := PartialOf(tones(edge-10, 1000), masker, Free)
	assert.Less(t, below, at/5)
}

// Partial loudness tends to loudness as the masker goes, and falls as it grows.
func TestPartialFromClearToCovered(t *testing.T) {
	signal := tones(50, 250, 500, 750, 1000)
	_, alone := PartialOf(signal, nil, Diffuse)
	assert.InEpsilon(t, LoudnessOf(signal, Diffuse), alone, 1e-12)
	faint, _ := PartialOf(signal, noise(100, 4000, -60, 0), Diffuse)
	assert.InEpsilon(t, alone, faint, 0.001)
	last := alone * 1.0001
	for db := -40.0; db <= 60; db += 5 {
		n, _ := PartialOf(signal, noise(100, 4000, db, 0), Diffuse)
		assert.LessOrEqual(t, n, last)
		last = n
	}
	assert.Less(t, last, 0.01*alone)
}

func randomSpectrum(r *rand.Rand, n int) []float64 {
	p := make([]float64, n)
	for range 1 + r.Intn(12) {
		p[r.Intn(n)] += math.Pow(10, (20+60*r.Float64())/10)
	}
	return p
}

// Over random spectra: share within 0 and 1; louder never heard less; a stronger masker
// of the same shape never helps (beyond the half-decibel steps of the skirts).
func TestSharesOfRandomSpectra(t *testing.T) {
	m := New(Options{})
	w, r := m.NewWork(), rand.New(rand.NewSource(1))
	up := make([]float64, m.N())
	worst := 0.0
	for range 400 {
		s, k := randomSpectrum(r, m.N()), randomSpectrum(r, m.N())
		last := 0.0
		for db := -20.0; db <= 20; db += 4 {
			for i := range up {
				up[i] = s[i] * math.Pow(10, db/10)
			}
			part, alone := m.Partial(up, k, w)
			assert.GreaterOrEqual(t, part, 0.0)
			assert.LessOrEqual(t, part, alone)
			assert.GreaterOrEqual(t, part, last*0.995)
			last = part
		}
		last = math.Inf(1)
		for db := -60.0; db <= 20; db += 4 {
			for i := range up {
				up[i] = k[i] * math.Pow(10, db/10)
			}
			part, alone := m.Partial(s, up, w)
			if db == -60 {
				worst = max(worst, 1-part/alone)
			}
			assert.LessOrEqual(t, part, last+0.01*alone+1e-9*thresholdSone)
			last = part
		}
	}
	t.Logf("largest loss to a masker 60 dB down: %.3f", worst)
}

// The banded and the exact path agree on random complexes.
func TestBandsAgainstComponents(t *testing.T) {
	m := New(Options{})
	w, r := m.NewWork(), rand.New(rand.NewSource(2))
	worstLoud, worstShare := 0.0, 0.0
	for range 60 {
		draw := func() (c []Component) {
			f := 40 * math.Pow(2, 5*r.Float64())
			level := 40 + 40*r.Float64()
			for h := 1.0; h <= 8; h++ {
				c = append(c, Component{f * h, level - 4*h})
			}
			return c
		}
		a, b := draw(), draw()
		loud, exact := m.Loudness(bandPower(m, a), w), LoudnessOf(a, Diffuse)
		worstLoud = max(worstLoud, math.Abs(loud/exact-1))
		share := m.HeardShare(bandPower(m, a), bandPower(m, b), w)
		worstShare = max(worstShare, math.Abs(share-PartialShare(PartialOf(a, b, Diffuse))))
	}
	t.Logf("largest difference: loudness %.1f %%, share %.3f", 100*worstLoud, worstShare)
	assert.Less(t, worstLoud, 0.08)
	assert.Less(t, worstShare, 0.1)
}

func TestSilence(t *testing.T) {
	m := New(Options{})
	w, nothing, noise := m.NewWork(), make([]float64, m.N()), organLike(m, 60)
	assert.Zero(t, m.Loudness(nothing, w))
	assert.Zero(t, m.HeardShare(nothing, noise, w))
	assert.InDelta(t, 1, m.HeardShare(noise, nothing, w), 1e-9)
	assert.Zero(t, LoudnessOf(nil, Free))
	assert.Zero(t, Phon(0))
}

func TestBandIsNearest(t *testing.T) {
	m := New(Options{})
	for i, hz := range m.Bands() {
		assert.Equal(t, i, m.Band(hz))
		if i > 0 {
			between := (m.cams[i-1] + m.cams[i]) / 2
			assert.Equal(t, i-1, m.Band(HzOfCam(between-0.01)), "%g Hz", hz)
			assert.Equal(t, i, m.Band(HzOfCam(between+0.01)), "%g Hz", hz)
		}
	}
	assert.Equal(t, 0, m.Band(-1))
	assert.Equal(t, 0, m.Band(10))
	assert.Equal(t, m.N()-1, m.Band(20000))
}

// Whatever power comes, a loudness is a number, and an absurd one disturbs no later call.
func TestAbsurdPowers(t *testing.T) {
	m := New(Options{})
	w, ordinary, absurd := m.NewWork(), organLike(m, 60), make([]float64, m.N())
	want := m.Loudness(ordinary, w)
	silent, loudest := []float64{0, -1, -1e300, 1e-320, math.NaN(), math.Inf(-1)}, []float64{1e30, 1e38, 1e300, math.Inf(1)}
	for i, v := range slices.Concat(silent, loudest) {
		for k := range absurd {
			absurd[k] = v
		}
		loud := m.Loudness(absurd, w)
		partial, alone := m.Partial(absurd, ordinary, w)
		beside, ordinaryAlone, left := m.Beside(ordinary, absurd, ordinary, w)
		for _, x := range []float64{loud, partial, alone, beside, left} {
			require.False(t, math.IsNaN(x) || math.IsInf(x, 0) || x < 0, "%g: %g", v, x)
		}
		require.Equal(t, want, ordinaryAlone)
		require.Equal(t, want, m.Loudness(ordinary, w))
		if i < len(silent) {
			require.Zero(t, loud)
		} else {
			require.Greater(t, loud, 1e4)
		}
	}
}

func TestNoAllocation(t *testing.T) {
	m := New(Options{})
	w, a, b, lag := m.NewWork(), organLike(m, 60), organLike(m, 70), NewTemporal(m.N())
	held := make([]float64, m.N())
	assert.Zero(t, testing.AllocsPerRun(10, func() {
		m.HeardShare(a, b, w)
		lag.StepLoudness(m.Loudness(a, w), 0.02)
		lag.StepMasker(held, a, 0.02)
	}))
}

func TestFastPowers(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	for range 100000 {
		x, y := math.Pow(10, -9+24*r.Float64()), r.Float64()
		if e := pow(x, y)/math.Pow(x, y) - 1; math.Abs(e) > 1e-9 {
			t.Fatalf("%g^%g off by %g", x, y, e)
		}
	}
}

// Beside is two Partials in one pass: the sounds shape the filters together either way.
func TestBesideAgreesWithPartial(t *testing.T) {
	m := New(Options{})
	w := m.NewWork()
	noise := organLike(m, 25)
	for _, a := range []float64{10, 40, 60, 80, 95} {
		for _, b := range []float64{-20, 30, 60, 90} {
			now, old := organLike(m, a), organLike(m, b)
			mask := make([]float64, m.N())
			for i := range mask {
				now[i] *= 1 + 0.9*math.Sin(float64(i))
				mask[i] = old[i] + noise[i]
			}
			part, alone := m.Partial(now, mask, w)
			gotPart, gotAlone, gotOther := m.Beside(now, old, noise, w)
			assert.InDelta(t, alone, gotAlone, 1e-9*alone)
			assert.InDelta(t, part, gotPart, 1e-3*alone+1e-9)
			for i := range mask {
				mask[i] = now[i] + noise[i]
			}
			other, otherAlone := m.Partial(old, mask, w)
			assert.InDelta(t, other, gotOther, 1e-2*otherAlone+1e-9, "%g beside %g dB", b, a)
		}
	}
}

// A keener ear hears no less, and what it hears at masked threshold is audible to it sooner.
func TestKeenerAndAudible(t *testing.T) {
	m := New(Options{})
	keen, w := m.Keener(5), m.NewWork()
	signal, masker := make([]float64, m.N()), make([]float64, m.N())
	band := m.Band(500)
	masker[band] = 1e6 // 60 dB
	first := func(ear *Model) (db float64) {
		for db = 0; db < 80; db++ {
			signal[band] = math.Pow(10, db/10)
			if ear.Audible(signal, masker, w) {
				return db
			}
		}
		return db
	}
	mean, best := first(m), first(keen)
	require.Greater(t, mean, 40.0)
	require.InDelta(t, 5, mean-best, 2)
	for db := 20.0; db < 90; db += 7 {
		signal[band] = math.Pow(10, db/10)
		a, alone := m.Partial(signal, masker, w)
		b, same := keen.Partial(signal, masker, w)
		require.GreaterOrEqual(t, b, a)
		require.Equal(t, alone, same)
	}
}
