package hearing

import "math"

// Options choose the ear's input. The zero value is a diffuse field and bands half
// an ERB apart.
type Options struct {
	Field Field
	Step  float64 // band spacing, Cam; 0 for 0.5, else 0.25 to 1
}

// Model is an ear for spectra in bands evenly spaced on the ERB-number scale, from
// about 20 Hz to 15 kHz. It is read-only once made and may be shared.
type Model struct {
	field    Field
	step     float64
	bands    []float64 // centre, Hz
	transfer []float64 // power ratio, field to oval window
	width    []float64 // Cam that each filter stands for in the sum over the scale
	places   []place
	near     [][]float64 // weights of a band's neighbours in the level that shapes its skirt
	rows     []row       // [band*levels + level]
}

// row is how a unit of power in one band, at one level per ERB, excites the filters
// from first on.
type row struct {
	first  int
	weight []float64
}

const (
	firstCam      = 0.8 // 20.6 Hz
	levels        = 241 // of the level per ERB, 0 to 120 dB
	levelsPerDB   = 2
	dbPerOctave   = 3.0102999566398120 // 10·lg 2
	inaudible     = 1e-4               // power re E0 that excites nothing that is heard
	negligible    = 1e-3               // excitation re E0 at which a skirt is cut off
	neighbourCams = 2.0
)

// New makes an ear.
func New(opts Options) *Model {
	m := &Model{field: opts.Field, step: opts.Step}
	if m.step == 0 {
		m.step = 0.5
	}
	m.step = min(1, max(0.25, m.step))
	// Bands run out to 38.95 Cam (15 kHz), the end of the standard's scale.
	n := 1 + int((highestCam+exactStep/2-firstCam)/m.step)
	for i := range n {
		cam := firstCam + m.step*float64(i)
		hz := HzOfCam(cam)
		m.bands = append(m.bands, hz)
		m.transfer = append(m.transfer, math.Pow(10, transferDB(hz, m.field)/10))
		m.places = append(m.places, newPlace(hz))
		low, high := max(lowestCam-exactStep/2, cam-m.step/2), min(highestCam+exactStep/2, cam+m.step/2)
		m.width = append(m.width, max(0, high-low))
	}
	reach := int(neighbourCams / m.step)
	for i, hz := range m.bands {
		w := make([]float64, 2*reach+1)
		for d := -reach; d <= reach; d++ {
			if j := i + d; j >= 0 && j < n {
				w[d+reach] = roex(slope51(hz) * math.Abs(m.bands[j]-hz) / hz)
			}
		}
		m.near = append(m.near, w)
	}
	m.rows = make([]row, 0, n*levels)
	for i := range n {
		m.addRows(i)
	}
	return m
}

// addRows appends the rows of one band, all levels.
func (m *Model) addRows(band int) {
	hz, n := m.bands[band], len(m.bands)
	above := make([]float64, n) // y of the skirt before its scale
	below := make([]float64, n) // weight in the filters below hz, the same at all levels
	for i, fc := range m.bands {
		if hz > fc {
			below[i] = skirts(hz, 0, fc)
		} else {
			above[i] = slope51(fc) * (math.Abs(hz-fc) / fc)
		}
	}
	buf := make([]float64, 0, 16*levels) // of several rows; a full one is replaced, not grown
	for l := range levels {
		if cap(buf)-len(buf) < n {
			buf = make([]float64, 0, 16*levels)
		}
		from := len(buf)
		level := float64(l) / levelsPerDB
		floor := negligible / math.Pow(10, (level+0.5/levelsPerDB)/10)
		first, scale := band, skirtScale(level)
		for first > 0 && below[first-1] > floor {
			first--
		}
		buf = append(buf, below[first:band]...)
		for i := band; i < n; i++ {
			y := min(above[i]*scale, 200)
			v := (1 + y) * exp2(-math.Log2E*y) // roex
			if i > band && v <= floor {
				break
			}
			buf = append(buf, v)
		}
		m.rows = append(m.rows, row{first, buf[from:len(buf):len(buf)]})
	}
}

// N is the number of bands.
func (m *Model) N() int { return len(m.bands) }

// Bands are the centres of the input bands, Hz. The slice is the model's own; leave
// it unchanged.
func (m *Model) Bands() []float64 { return m.bands }

// Band is the band nearest to hz on the ERB-number scale; what lies outside the range
// belongs to the first or last.
func (m *Model) Band(hz float64) int {
	if !(hz > 0) {
		return 0
	}
	cam := camsPerDecade / math.Log2(10) * log2(0.004368*hz+1)
	return min(len(m.bands)-1, max(0, int((cam-firstCam)/m.step+0.5)))
}

// Work is scratch for one goroutine's calls on one Model.
type Work struct {
	signal, masker, third, total  []float64 // power at the oval window, re E0
	alone, excited, masked, noisy []float64 // excitation re E0
}

// NewWork makes scratch for m.
func (m *Model) NewWork() *Work {
	n := len(m.bands)
	buf := make([]float64, 8*n)
	part := func(i int) []float64 { return buf[i*n : (i+1)*n : (i+1)*n] }
	return &Work{part(0), part(1), part(2), part(3), part(4), part(5), part(6), part(7)}
}
