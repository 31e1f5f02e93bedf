package hearing

import (
	"math"
	"slices"
	"sort"
	"sync"
	"sync/atomic"

	"afterchord/acoustics/internal/vector"
)

// Options choose the ear's input. The zero value is a diffuse field and bands half
// an ERB apart.
type Options struct {
	Field Field
	Step  float64 // band spacing, Cam; 0 for 0.5, else 0.25 to 1
}

// Model is an ear for spectra in bands on the ERB-number scale, from about 15 Hz to 15 kHz: evenly spaced, and
// closer at the bottom (see bandCams). It is read-only once made and may be shared.
//
// Inside it computes in float32, in planes: a value per band, padded for the vector instructions.
type Model struct {
	field    Field
	step     float64
	bands    []float64 // centre, Hz
	cams     []float64 // the same, Cam
	edges    []float64 // upper end of each, Hz
	transfer []float64 // power ratio, field to oval window
	entry    []float64 // [Model.entrance] at the centres
	divided  []bool    // whether components between a band and the next above are
	width    []float32 // Cam that each filter stands for in the sum over the scale
	plane    int       // length of a plane
	reach    int       // neighbours on either side that shape a band's skirt
	near     []float32 // their weights, a plane for each neighbour
	skirts   *skirtShapes
	laws     laws
}

const (
	levels        = 241 // of the level per ERB, 0 to 120 dB
	levelsPerDB   = 2
	dbPerOctave   = 3.0102999566398120 // 10·lg 2
	inaudible     = 1e-4               // power re E0 that excites nothing that is heard
	mostPower     = 1e20               // power re E0, 200 dB: louder than any sound in air, and far within float32
	negligible    = 1e-3               // excitation re E0 at which a skirt is cut off
	neighbourCams = 2.0
)

// lowCams are the bands below the lowest filter of the ear, from 15.3 Hz (the lowest pipe of a 32 ft stop has 16.4 Hz).
var lowCams = []float64{0.6, 0.95, 1.27, 1.57}

// bandCams are the centres of the bands, Cam. They lie a step apart out to 38.95 Cam (15 kHz), the end of the standard's scale;
// a half at the lowest filter (50 Hz), and closer still below it, as the middle ear's transfer there climbs by 20 dB an
// octave and more.
func bandCams(step float64) []float64 {
	cams := append(slices.Clone(lowCams), lowestCam, lowestCam+step/2)
	for i := 1.0; lowestCam+step*i < highestCam+exactStep/2; i++ {
		cams = append(cams, lowestCam+step*i)
	}
	return cams
}

// span is the part of the scale that belongs to a band, Cam.
func (m *Model) span(band int) (from, to float64) {
	below, above := max(0, band-1), min(len(m.cams)-1, band+1)
	cam := m.cams[band]
	from, to = (m.cams[below]+cam)/2, (cam+m.cams[above])/2
	if below == band {
		from = 2*cam - to
	}
	if above == band {
		to = 2*cam - from
	}
	return from, to
}

// New makes an ear.
func New(opts Options) *Model {
	m := &Model{field: opts.Field, step: opts.Step}
	if m.step == 0 {
		m.step = 0.5
	}
	m.step = min(1, max(0.25, m.step))
	m.cams = bandCams(m.step)
	n := len(m.cams)
	for i, cam := range m.cams {
		hz := HzOfCam(cam)
		m.bands = append(m.bands, hz)
		m.transfer = append(m.transfer, math.Pow(10, transferDB(hz, m.field)/10))
		m.entry = append(m.entry, m.entrance(hz))
		from, to := m.span(i)
		m.edges = append(m.edges, HzOfCam(to))
		low, high := max(lowestCam-exactStep/2, from), min(highestCam+exactStep/2, to)
		m.width = append(m.width, float32(max(0, high-low)))
	}
	m.divided = make([]bool, n)
	for i := range n - 1 {
		m.divided[i] = math.Abs(10*math.Log10(m.entry[i+1]/m.entry[i])) >= divideDB
	}
	m.reach = int(neighbourCams / m.step)
	m.plane = vector.Padded(n)
	taps := 2*m.reach + 1
	m.near = make([]float32, taps*m.plane)
	for i, hz := range m.bands {
		for d := range taps {
			if j := i + d - m.reach; j >= 0 && j < n {
				m.near[d*m.plane+i] = float32(roex(slope51(hz) * math.Abs(m.bands[j]-hz) / hz))
			}
		}
	}
	m.laws = newLaws(m.bands, m.plane)
	m.skirts = newSkirts(m.bands, m.plane)
	return m
}

// skirtShapes is what rows are made of. A row is how a unit of power in one band, at one level per ERB, excites the filters: a plane.
type skirtShapes struct {
	weights atomic.Pointer[[]float32] // the rows one behind the other, made when they are first asked for; the first is empty
	rows    *vector.Choice            // where each begins
	making  sync.Mutex
	free    int              // where the next begins
	reach   [][]vector.Reach // [level] which bands reach each block of filters, none of them louder than the level
	scale   [levels]float32  // on y
	floor   [levels]float32  // weight at which a skirt ends
	end     [levels]float32  // a y at which it has
	above   [][]float32      // [band] y in the filters from its own up, before the scale
	below   [][]float32      // [band] weight in the filters below its own, the same at all levels
	space   skirtSpace       // held with making
}

// firstRows is how many rows there is room for at first.
const firstRows = 1 << 11

// skirtSpace is room for one row.
type skirtSpace struct {
	y     []float32
	two   []float32 // e^(-y) is taken as a power of 2
	fall  []float32
	power *vector.Powers
}

func newSkirts(bands []float64, plane int) *skirtShapes {
	s := &skirtShapes{rows: vector.NewChoice(len(bands), levels, dbPerOctave*levelsPerDB), free: plane}
	first := make([]float32, firstRows*plane)
	s.weights.Store(&first)
	for l := range levels {
		level := float64(l) / levelsPerDB
		s.scale[l] = float32(skirtScale(level))
		floor := negligible / math.Pow(10, (level+0.5/levelsPerDB)/10)
		s.floor[l] = float32(floor)
		fall := -math.Log(floor)
		s.end[l] = float32(fall + math.Log(2+2*fall)) // more than y of (1+y)·e^(-y) = floor
	}
	for i, hz := range bands {
		below, above := make([]float32, i), make([]float32, 0, len(bands)-i)
		for k, fc := range bands[:i] {
			below[k] = float32(skirts(hz, 0, fc))
		}
		for _, fc := range bands[i:] {
			above = append(above, float32(slope51(fc)*(math.Abs(hz-fc)/fc)))
		}
		s.below, s.above = append(s.below, below), append(s.above, above)
	}
	s.reach = make([][]vector.Reach, levels)
	for l := range levels {
		s.reach[l] = make([]vector.Reach, plane/vector.Block)
		for k := range s.reach[l] {
			s.reach[l][k] = s.reachOf(l, k*vector.Block, min(len(bands), (k+1)*vector.Block))
		}
	}
	s.space = skirtSpace{make([]float32, plane), make([]float32, plane), make([]float32, plane), vector.NewPowers(plane)}
	for i := range s.space.two {
		s.space.two[i] = 2
	}
	return s
}

// reachOf is which bands excite the filters from one on, before another, where none is louder than a level.
func (s *skirtShapes) reachOf(level, from, before int) vector.Reach {
	r := vector.Reach{From: int32(from), To: int32(before)}
	for b := from - 1; b >= 0; b-- {
		if y := s.above[b][from-b] * s.scale[level]; y <= s.end[level] {
			r.From = int32(b)
		}
	}
	for int(r.To) < len(s.below) && s.below[r.To][before-1] > s.floor[level] {
		r.To++
	}
	return r
}

// make makes the rows that bands of such powers per ERB lack.
func (s *skirtShapes) make(powers []float32) {
	s.making.Lock()
	defer s.making.Unlock()
	for band, power := range powers {
		if level := s.rows.Level(power); s.rows.Row(band, level) == 0 {
			s.row(band, level)
		}
	}
}

// row makes the row of a band at a level.
func (s *skirtShapes) row(band, level int) {
	w, at := &s.space, s.free
	s.free += len(w.y)
	weights := *s.weights.Load()
	if s.free > len(weights) { // those who look at the rows so far go on doing so
		more := make([]float32, 2*len(weights))
		copy(more, weights)
		s.weights.Store(&more)
		weights = more
	}
	row := weights[at:s.free]
	below, floor := s.below[band], s.floor[level]
	first := band
	for first > 0 && below[first-1] > floor {
		first--
	}
	count := 0
	for _, a := range s.above[band] {
		y := a * s.scale[level]
		if y > s.end[level] {
			break
		}
		w.y[count], w.power.Exponent[count] = y, -math.Log2E*y
		count++
	}
	vector.Power(w.fall[:vector.Padded(count)], w.two, w.power)
	copy(row[first:], below[first:])
	for i, y := range w.y[:count] {
		v := (1 + y) * w.fall[i] // roex
		if i > 0 && v <= floor {
			break
		}
		row[band+i] = v
	}
	s.rows.SetRow(band, level, int32(at))
}

// N is the number of bands.
func (m *Model) N() int { return len(m.bands) }

// Bands are the centres of the input bands, Hz. The slice is the model's own; leave
// it unchanged.
func (m *Model) Bands() []float64 { return m.bands }

// Cams is how many Cam of the scale a band stands for, halfway to its neighbours.
func (m *Model) Cams(band int) float64 {
	from, to := m.span(band)
	return to - from
}

// Band is the band nearest to hz on the ERB-number scale; what lies outside the range
// belongs to the first or last.
func (m *Model) Band(hz float64) int {
	return sort.SearchFloat64s(m.edges[:len(m.edges)-1], hz)
}

// Work is scratch for one goroutine's calls on one Model.
type Work struct {
	signal, masker, noise            []float32        // power at the oval window, re E0
	total                            []float32        // of those, with room for a band's neighbours at both ends
	level                            []float32        // power that shapes each band's skirt
	spreading                        vector.Spreading // and the skirts
	alone, excited, masked, noisy    []float32        // excitation re E0
	rest, edge, ratio                []float32        // excitation; see partials
	both, restLaw, edgeLaw, specific []float32        // specific loudness over C
}

// NewWork makes scratch for m.
func (m *Model) NewWork() *Work {
	var w Work
	for _, p := range []*[]float32{&w.signal, &w.masker, &w.noise, &w.level, &w.alone, &w.excited, &w.masked, &w.noisy,
		&w.rest, &w.edge, &w.ratio, &w.both, &w.restLaw, &w.edgeLaw, &w.specific} {
		*p = make([]float32, m.plane)
	}
	w.spreading = vector.NewSpreading(len(m.bands))
	w.spreading.Weights = *m.skirts.weights.Load()
	w.total = make([]float32, m.plane+2*m.reach)
	return &w
}
