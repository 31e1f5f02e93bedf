package hearing

import (
	"math"
	"sort"
	"sync"
)

// Component is a sinusoid: frequency, Hz, and level, dB re 20 µPa at the listener.
type Component struct{ Hz, LevelDB float64 }

// The filters of ISO 532-2:2017, 7.4: from 1.8 to 38.9 Cam in steps of 0.1 Cam.
const (
	lowestCam, highestCam = 1.8, 38.9
	exactStep             = 0.1
	exactFilters          = 372
)

var exactPlaces = sync.OnceValue(func() *[exactFilters]place {
	p := new([exactFilters]place)
	for i := range p {
		p[i] = newPlace(HzOfCam(lowestCam + exactStep*float64(i)))
	}
	return p
})

// line is a component at the oval window: power re E0, and the level of all within
// the ERB about it, dB.
type line struct{ hz, power, levelDB float64 }

func lines(components []Component, field Field) []line {
	l := make([]line, 0, len(components))
	for _, c := range components {
		if c.Hz > 0 && c.LevelDB > -200 {
			l = append(l, line{hz: c.Hz, power: math.Pow(10, (c.LevelDB+transferDB(c.Hz, field))/10)})
		}
	}
	sort.Slice(l, func(i, j int) bool { return l[i].hz < l[j].hz })
	return l
}

// setLevels fills in the level per ERB that shapes each line's skirt, from all the
// lines in total (sorted by frequency): those about it, weighted by a roex filter
// of slope 4·f/ERB (ISO 532-2:2017, Formulae 2 to 4).
func setLevels(l, total []line) {
	for i := range l {
		p, sum := slope51(l[i].hz), 0.0
		reach := 20 * l[i].hz / p
		first := sort.Search(len(total), func(j int) bool { return total[j].hz >= l[i].hz-reach })
		for _, t := range total[first:] {
			if t.hz > l[i].hz+reach {
				break
			}
			sum += t.power * roex(p*math.Abs(t.hz-l[i].hz)/l[i].hz)
		}
		l[i].levelDB = 10 * math.Log10(sum)
	}
}

func excitation(l []line) []float64 {
	e := make([]float64, exactFilters)
	for i := range e {
		fc := HzOfCam(lowestCam + exactStep*float64(i))
		for _, c := range l {
			e[i] += c.power * skirts(c.hz, c.levelDB, fc)
		}
	}
	return e
}

// ExcitationOf is the excitation pattern, dB re E0, of a list of components at the
// ERB numbers cam (ISO 532-2:2017, 7.4). Where nothing excites it is −Inf.
func ExcitationOf(components []Component, field Field) (cam, db []float64) {
	l := lines(components, field)
	setLevels(l, l)
	db = excitation(l)
	cam = make([]float64, len(db))
	for i := range db {
		cam[i], db[i] = lowestCam+exactStep*float64(i), 10*math.Log10(db[i])
	}
	return cam, db
}

// LoudnessOf is the loudness, sone, of a list of components heard with both ears
// (ISO 532-2:2017). Noise is a list of components 10 Hz apart (5.3).
func LoudnessOf(components []Component, field Field) float64 {
	return bothEars * LoudnessMonauralOf(components, field)
}

// LoudnessMonauralOf is LoudnessOf for one ear, the other hearing nothing.
func LoudnessMonauralOf(components []Component, field Field) float64 {
	l := lines(components, field)
	setLevels(l, l)
	sum, places := 0.0, exactPlaces()
	for i, e := range excitation(l) {
		sum += places[i].specific(e)
	}
	return sum * calibration * exactStep
}

// PartialOf is the loudness, sone, with both ears of signal in the presence of
// masker, and its loudness alone (Moore, Glasberg & Baer 1997). Both excitation patterns are
// taken with the filters as the two sounds together shape them.
func PartialOf(signal, masker []Component, field Field) (partial, alone float64) {
	s, m := lines(signal, field), lines(masker, field)
	total := append(append(make([]line, 0, len(s)+len(m)), s...), m...)
	sort.Slice(total, func(i, j int) bool { return total[i].hz < total[j].hz })
	places := exactPlaces()
	setLevels(s, s)
	for i, e := range excitation(s) {
		alone += places[i].specific(e)
	}
	setLevels(s, total)
	setLevels(m, total)
	es, em := excitation(s), excitation(m)
	for i := range es {
		partial += places[i].partial(es[i], em[i])
	}
	const scale = bothEars * calibration * exactStep
	return min(partial, alone) * scale, alone * scale
}
