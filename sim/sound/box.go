package sound

import (
	"math"
	"sort"

	"afterchord/acoustics/octave"
	"afterchord/acoustics/radiation"
	"afterchord/sim/performance"
	"afterchord/voicing"
)

// boxSteps is how finely the filters of a box are tabulated between shut and open.
const boxSteps = 16

// shelves is how many first-order shelving filters shape the box: one at each edge
// between two octave bands.
const shelves = octave.N - 1

// box filters a division's sound by the standing of its swell box: ClosedDB·(1-open) in each octave band, and the direct sound as it points
// ([radiation.Toward]) besides.
type box struct {
	moves         []performance.BoxMove
	rate          int
	warp          [shelves]float64 // tan(π·edge/rate)
	around, ahead boxFilter        // ahead goes on from what around gives
}

// aimShelves are those of the shelves that shape the direct sound besides: it changes little from octave to octave.
var aimShelves = [...]int{1, 3, 5}

// boxFilter is a broad-band gain and first-order shelves whose gains are fitted to the octave bands.
type boxFilter struct {
	edges      []int                           // which of the shelves there are
	table      [boxSteps + 1][octave.N]float64 // dB: broad-band, then each shelf
	state      [shelves]float64
	gain, step float64
	n0, n1, d1 [shelves]float64
}

// newBox returns nil where the division has no box or its box never moves from open. cos is [room.Room.Ahead] of the seat.
func newBox(d *voicing.Division, division int, all []performance.BoxMove, cos float64, rate int) *box {
	if !d.Enclosed {
		return nil
	}
	b := &box{rate: rate}
	shut := false
	for _, m := range all {
		if m.Division == division {
			m.Open = math.Max(0, math.Min(1, m.Open))
			b.moves = append(b.moves, m)
			shut = shut || m.Open < 1
		}
	}
	if !shut {
		return nil
	}
	sort.SliceStable(b.moves, func(i, j int) bool { return b.moves[i].AtS < b.moves[j].AtS })
	for i := range b.warp {
		edge := math.Min(octave.Centres[i]*math.Sqrt2, 0.45*float64(rate))
		b.warp[i] = math.Tan(math.Pi * edge / float64(rate))
	}
	open := radiation.Toward(cos, 0)
	each := make([]int, shelves)
	for i := range each {
		each[i] = i
	}
	b.around = b.fit(each, func(shut float64) (db octave.Bands) {
		for i, closed := range d.Box.ClosedDB {
			db[i] = closed * shut
		}
		return db
	})
	b.ahead = b.fit(aimShelves[:], func(shut float64) (db octave.Bands) {
		for i, x := range radiation.Toward(cos, shut) {
			db[i] = 10 * math.Log10(x/open[i])
		}
		return db
	})
	return b
}

// shelfDB is the response in dB at hz of the shelf i of gain db.
func (b *box) shelfDB(i int, db, hz float64) float64 {
	g := math.Pow(10, db/20)
	w, k := math.Tan(math.Pi*math.Min(hz, 0.45*float64(b.rate))/float64(b.rate)), b.warp[i]
	r := k * math.Sqrt(g)
	return 20 * math.Log10(math.Hypot(g*w, r)/math.Hypot(w, r))
}

// fit finds for each step the gains that give the wanted levels, dB, at the band centres:
// Newton's method on the least squares, with the matrix of small gains.
func (b *box) fit(edges []int, want func(shut float64) octave.Bands) boxFilter {
	f := boxFilter{edges: edges}
	var m, normal [octave.N][octave.N]float64
	for i, hz := range octave.Centres {
		m[i][0] = 1
		for k, edge := range edges {
			m[i][k+1] = b.shelfDB(edge, 1, hz)
		}
	}
	// Exact agreement at nine points asks for huge opposite gains of neighbours; the ridge trades
	// it for a few hundredths of a decibel.
	const ridge = 0.002
	for i := range octave.N {
		for j := range octave.N {
			for k := range octave.N {
				normal[i][j] += m[k][i] * m[k][j]
			}
		}
		normal[i][i] += ridge
	}
	for step := range f.table {
		gains := f.table[max(0, step-1)]
		db := want(float64(step) / boxSteps)
		for range 8 {
			var right [octave.N]float64
			for i := range right {
				right[i] = -ridge * gains[i]
			}
			for i, hz := range octave.Centres {
				rest := db[i] - gains[0]
				for k, edge := range edges {
					rest -= b.shelfDB(edge, gains[k+1], hz)
				}
				for k := range right {
					right[k] += m[i][k] * rest
				}
			}
			for i, d := range solve(normal, right) {
				gains[i] += d
			}
		}
		for k := range f.table[step] {
			f.table[step][k] = math.Max(-80, math.Min(80, gains[k]))
		}
	}
	return f
}

// solve gives x of a·x = y for a symmetric positive definite a, by Cholesky's decomposition.
func solve(a [octave.N][octave.N]float64, y [octave.N]float64) [octave.N]float64 {
	for i := range y {
		for j := range i + 1 {
			for k := range j {
				a[i][j] -= a[i][k] * a[j][k]
			}
			if i == j {
				a[i][i] = math.Sqrt(a[i][i])
			} else {
				a[i][j] /= a[j][j]
			}
		}
		for k := range i {
			y[i] -= a[i][k] * y[k]
		}
		y[i] /= a[i][i]
	}
	for i := octave.N - 1; i >= 0; i-- {
		for k := i + 1; k < octave.N; k++ {
			y[i] -= a[k][i] * y[k]
		}
		y[i] /= a[i][i]
	}
	return y
}

// shutAt is how far the box is shut at t seconds, 0 … 1.
func (b *box) shutAt(t float64) float64 {
	i := sort.Search(len(b.moves), func(i int) bool { return b.moves[i].AtS > t })
	if i == 0 {
		return 1 - b.moves[0].Open
	}
	p := b.moves[i-1]
	if i == len(b.moves) {
		return 1 - p.Open
	}
	q := b.moves[i]
	return 1 - (p.Open + (q.Open-p.Open)*(t-p.AtS)/(q.AtS-p.AtS))
}

// boxGrid is how often the filters follow the box, samples.
const boxGrid = 32

// process filters x in place; its first sample is the absolute sample at. ahead becomes the sound that goes straight to the seat; nil: it is
// not asked for.
func (b *box) process(x, ahead []float64, at int64) {
	last := math.Inf(1)
	now := b.shutAt(float64(at) / float64(b.rate))
	b.around.begin(now)
	if ahead != nil {
		b.ahead.begin(now)
	}
	for len(x) > 0 {
		n := min(boxGrid, len(x))
		shut := b.shutAt(float64(at+int64(n)) / float64(b.rate))
		b.around.turn(shut, shut != last, n, &b.warp)
		b.around.run(x[:n])
		if ahead != nil {
			b.ahead.turn(shut, shut != last, n, &b.warp)
			b.ahead.runAim(ahead, x[:n])
			ahead = ahead[n:]
		}
		last = shut
		x = x[n:]
		at += int64(n)
	}
	b.around.rest()
	b.ahead.rest()
}

// amplitude is 10^(db/20), several times as fast as a general power.
func amplitude(db float64) float64 { return math.Exp(db * (math.Ln10 / 20)) }

// begin sets the gain for a box shut so far.
func (f *boxFilter) begin(shut float64) {
	gains := f.gains(shut)
	f.gain, f.step = amplitude(gains[0]), 0
}

// turn sets the filter for the next n samples, at whose end the box is shut so far.
func (f *boxFilter) turn(shut float64, moved bool, n int, warp *[shelves]float64) {
	f.step = 0
	if !moved {
		return
	}
	g := f.gains(shut)
	f.step = (amplitude(g[0]) - f.gain) / float64(n)
	for k, edge := range f.edges {
		hi := amplitude(g[k+1])
		r := warp[edge] * math.Sqrt(hi)
		f.n0[k], f.n1[k], f.d1[k] = (hi+r)/(1+r), (r-hi)/(1+r), (r-1)/(1+r)
	}
}

func (f *boxFilter) run(x []float64) {
	for i, v := range x {
		v *= f.gain
		f.gain += f.step
		for k := range shelves { // transposed direct form II
			y := f.n0[k]*v + f.state[k]
			f.state[k] = f.n1[k]*v - f.d1[k]*y
			v = y
		}
		x[i] = v
	}
}

// runAim is run of a filter with aimShelves from x into y.
func (f *boxFilter) runAim(y, x []float64) {
	y = y[:len(x)]
	for i, v := range x {
		v *= f.gain
		f.gain += f.step
		for k := range aimShelves {
			z := f.n0[k]*v + f.state[k]
			f.state[k] = f.n1[k]*v - f.d1[k]*z
			v = z
		}
		y[i] = v
	}
}

// rest brings what has died away to nothing.
func (f *boxFilter) rest() {
	for k := range f.state {
		if math.Abs(f.state[k]) < 1e-30 {
			f.state[k] = 0
		}
	}
}

// gains of the filter for a box shut so far.
func (f *boxFilter) gains(shut float64) [octave.N]float64 {
	p := shut * boxSteps
	i := min(boxSteps-1, int(p))
	u := p - float64(i)
	g := f.table[i]
	for k := range g {
		g[k] += u * (f.table[i+1][k] - g[k])
	}
	return g
}
