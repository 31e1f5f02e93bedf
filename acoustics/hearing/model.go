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
		for l := range levels {
			m.rows = append(m.rows, m.newRow(i, float64(l)/levelsPerDB))
		}
	}
	return m
}

func (m *Model) newRow(band int, levelDB float64) row {
	floor := negligible / math.Pow(10, (levelDB+0.5/levelsPerDB)/10)
	first, last := band, band
	hz := m.bands[band]
	for first > 0 && skirts(hz, levelDB, m.bands[first-1]) > floor {
		first--
	}
	for last+1 < len(m.bands) && skirts(hz, levelDB, m.bands[last+1]) > floor {
		last++
	}
	w := make([]float64, last-first+1)
	for i := range w {
		w[i] = skirts(hz, levelDB, m.bands[first+i])
	}
	return row{first, w}
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
	signal, masker, total  []float64 // power at the oval window, re E0
	alone, excited, masked []float64 // excitation re E0
}

// NewWork makes scratch for m.
func (m *Model) NewWork() *Work {
	n := len(m.bands)
	buf := make([]float64, 6*n)
	part := func(i int) []float64 { return buf[i*n : (i+1)*n : (i+1)*n] }
	return &Work{part(0), part(1), part(2), part(3), part(4), part(5)}
}
