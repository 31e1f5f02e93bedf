package hearing

import "math"

// Share is the part of a component's power that one band takes.
type Share struct {
	Band int
	Part float64 // 0 to 1; 0 where the band takes none of it
}

// divideDB is how far apart the ear lets the sounds of two neighbouring bands in, dB, from which on a component between them is
// divided. Nearer than that its nearest band takes it whole, which errs by half of it at most.
const divideDB = 1

// Shares is how a component at hz (a partial, or a narrow band of noise) enters the bands: whole, into the nearest, where the ear
// hears neighbours alike; divided between the two about it where it does not, so that the level stays what it is and what
// the ear lets in is what it lets in at hz itself. The parts add up to 1.
func (m *Model) Shares(hz float64) [2]Share {
	nearest := m.Band(hz)
	low := nearest
	if m.bands[low] > hz {
		low--
	}
	if low < 0 || low == len(m.bands)-1 {
		return [2]Share{{nearest, 1}}
	}
	if !m.divided[low] {
		return [2]Share{{nearest, 1}}
	}
	a, b := m.entry[low], m.entry[low+1]
	up := min(1, max(0, (m.entrance(hz)-a)/(b-a)))
	return [2]Share{{low, 1 - up}, {low + 1, up}}
}

// Tones are bands of more than so much power as components at their centres, for [Roughness]; two neighbours between which components
// are divided are one tone between them.
func (m *Model) Tones(power []float64, least float64) (tones []Component) {
	for i := 0; i < len(power); i++ {
		hz, p := m.bands[i], power[i]
		if !(p > least) {
			continue
		}
		if i+1 < len(power) && power[i+1] > least && m.divided[i] {
			hz, p = (hz*p+m.bands[i+1]*power[i+1])/(p+power[i+1]), p+power[i+1]
			i++
		}
		tones = append(tones, Component{Hz: hz, LevelDB: 10 * math.Log10(p)})
	}
	return tones
}

// entrance is how much of a component's power comes to the filters that hear it: the outer and middle ear's transfer, and below
// the lowest filter of the ear (1.8 Cam) that filter's skirt, through which all that is lower is heard (ISO 532-2:2017, 7.2 to 7.4, with
// the skirt for 51 dB per ERB).
func (m *Model) entrance(hz float64) float64 {
	p := math.Pow(10, transferDB(hz, m.field)/10)
	if lowest := HzOfCam(lowestCam); hz < lowest {
		p *= skirts(hz, 51, lowest)
	}
	return p
}

// Add puts a component of so much power at hz into the bands of dst; see [Model.Shares].
func (m *Model) Add(dst []float64, hz, power float64) {
	for _, s := range m.Shares(hz) {
		dst[s.Band] += s.Part * power
	}
}
