package hearing

import (
	"math"
	"sort"
)

// Field is how the sound reaches the listener; it sets the outer ear's transfer.
type Field int

const (
	Diffuse Field = iota // from all sides: a church, away from the organ
	Free                 // a plane wave from in front
	Eardrum              // levels are those at the eardrum (earphones)
)

// transferDB is the level at the oval window less the level in the field, dB
// (ISO 532-2:2017, 7.2 and 7.3).
func transferDB(hz float64, field Field) float64 {
	t := transferTable
	i := sort.Search(len(t), func(i int) bool { return t[i].hz > hz })
	i = min(max(i, 1), len(t)-1)
	a, b := t[i-1], t[i]
	u := min(1, max(0, (hz-a.hz)/(b.hz-a.hz)))
	at := func(x, y float64) float64 { return x + u*(y-x) }
	db := at(a.middle, b.middle)
	switch field {
	case Free:
		db += at(a.free, b.free)
	case Diffuse:
		db += at(a.diffuse, b.diffuse)
	}
	return db
}

// slope51 is the roex parameter p of the auditory filter at hz for an input of 51 dB
// per ERB, and of its upper skirt at all levels: 4·fc/ERB (ISO 532-2:2017, 7.4).
func slope51(hz float64) float64 { return 4 * hz / ERB(hz) }

// skirtScale is the factor on the lower skirt's p for an input of x dB per ERB:
// 1 − 0.35·(x−51)/p(51 dB, 1 kHz) (ISO 532-2:2017, Formula 5, divided by p(51 dB, fc)).
func skirtScale(x float64) float64 { return max(0.02, 1-0.35*(x-51)/slope51(1000)) }

// roex is the rounded exponential (1+y)·e^(−y) at y = p·g (ISO 532-2:2017, Formula 2).
func roex(y float64) float64 { return (1 + y) * math.Exp(-y) }

// skirts is the weight of a component at hz with x dB in the ERB about it, in the
// auditory filter centred on fc.
func skirts(hz, x, fc float64) float64 {
	g, p := math.Abs(hz-fc)/fc, slope51(fc)
	if hz > fc {
		if g > 4 {
			return 0
		}
		return roex(p * g)
	}
	return roex(p * g * skirtScale(x))
}

// calibration is C of ISO 532-2:2017, Formula 7: sone per Cam, one ear.
const calibration = 0.0617

// bothEars is the loudness of a sound at both ears over that at one
// (ISO 532-2:2017, 8.1: 2·(1+sech(1)^1.5978)/2).
const bothEars = 1.5

// place is one auditory filter's law from excitation to specific loudness.
type place struct {
	gain     float64 // G, low-level gain re 500 Hz and above
	alpha    float64 // α
	a, aPow  float64 // A and A^α
	quiet    float64 // E_THRQ/E0, excitation at the threshold in quiet
	quietLaw float64 // law(quiet)
	k        float64 // K, signal to masker at masked threshold
}

// highLevel is E/E0 above which ISO 532-2:2017, Formula 9, holds.
const highLevel = 1e10

func newPlace(hz float64) place {
	excitationDB, gainDB := thresholdTable[0].excitationDB, thresholdTable[0].gainDB
	for i := 1; i < len(thresholdTable); i++ {
		a, b := thresholdTable[i-1], thresholdTable[i]
		if hz >= a.hz {
			u := min(1, (hz-a.hz)/(b.hz-a.hz))
			excitationDB, gainDB = a.excitationDB+u*(b.excitationDB-a.excitationDB), a.gainDB+u*(b.gainDB-a.gainDB)
		}
	}
	k := detectionTable[0].db
	for i := 1; i < len(detectionTable); i++ {
		a, b := detectionTable[i-1], detectionTable[i]
		if hz >= a.hz {
			k = a.db + min(1, (hz-a.hz)/(b.hz-a.hz))*(b.db-a.db)
		}
	}
	p := place{
		gain:  math.Pow(10, gainDB/10),
		alpha: evenTable(exponentTable, (gainDB+25)/5),
		a:     evenTable(linearTable, (gainDB+25)/0.5),
		quiet: math.Pow(10, excitationDB/10),
		k:     math.Pow(10, k/10),
	}
	p.aPow = pow(p.a, p.alpha)
	p.quietLaw = p.law(p.quiet)
	return p
}

// evenTable reads table at x rows from its start, linearly between rows.
func evenTable(table []float64, x float64) float64 {
	x = min(float64(len(table)-1), max(0, x))
	i := min(len(table)-2, int(x))
	return table[i] + (x-float64(i))*(table[i+1]-table[i])
}

// law is the compressive law without its threshold factor: (G·E+A)^α − A^α, and
// above 1e10 (E/1.0707)^0.2 where that is more (ISO 532-2:2017, Formulae 7 and 9;
// the greater of the two keeps the law rising where they do not meet, below 500 Hz).
func (p *place) law(e float64) float64 {
	n := pow(p.gain*e+p.a, p.alpha) - p.aPow
	if e > highLevel {
		n = max(n, pow(e/1.0707, 0.2))
	}
	return n
}

// specific is the specific loudness over C of excitation e alone
// (ISO 532-2:2017, Formulae 7 to 9).
func (p *place) specific(e float64) float64 {
	if e < 1e-9 {
		return 0
	}
	n := p.law(e)
	if e < p.quiet {
		r := 2 * e / (e + p.quiet)
		n *= r * math.Sqrt(r)
	}
	return n
}

// partial is the partial specific loudness over C of signal excitation s in masker
// excitation m (Moore, Glasberg & Baer 1997): equations 17 and 19 above masked
// threshold, 18 and 20 below it; 19 and 20 are 17 and 18 with the high-level law. The
// excitation at masked threshold is K·m + E_THRQ, at which all four give the loudness
// at threshold in quiet.
func (p *place) partial(s, m float64) float64 {
	if m < 1e-9 {
		return p.specific(s)
	}
	if s < 1e-9 {
		return 0
	}
	both, masked := p.law(s+m), p.k*m+p.quiet
	edge := p.law(m + masked)
	if s >= masked {
		return max(0, both-(edge-p.quietLaw)*pow(masked/s, 0.3))
	}
	alone := p.law(m)
	r := 2 * s / (s + masked)
	return max(0, r*math.Sqrt(r)*p.quietLaw*(both-alone)/(edge-alone))
}
