package sound

import (
	"math"
	"sort"

	"afterchord/acoustics/octave"
	"afterchord/sim/performance"
	"afterchord/voicing"
)

// boxSteps is how finely the filters of a box are tabulated between shut and open.
const boxSteps = 16

// shelves is how many first-order shelving filters shape the box: one at each edge
// between two octave bands.
const shelves = octave.N - 1

// box filters a division's sound by the standing of its swell box: ClosedDB·(1-open)
// in each octave band, by a broad-band gain and first-order shelves whose gains are fitted
// to the bands.
type box struct {
	moves []performance.BoxMove
	rate  int
	table [boxSteps + 1][octave.N]float64 // dB: broad-band, then each shelf
	warp  [shelves]float64                // tan(π·edge/rate)
	state [shelves]float64
}

// newBox returns nil where the division has no box or its box never moves from open.
func newBox(d *voicing.Division, division int, all []performance.BoxMove, rate int) *box {
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
	b.fit(d.Box.ClosedDB)
	return b
}

// shelfDB is the response in dB at hz of the shelf i of gain db.
func (b *box) shelfDB(i int, db, hz float64) float64 {
	g := math.Pow(10, db/20)
	w, k := math.Tan(math.Pi*math.Min(hz, 0.45*float64(b.rate))/float64(b.rate)), b.warp[i]
	r := k * math.Sqrt(g)
	return 20 * math.Log10(math.Hypot(g*w, r)/math.Hypot(w, r))
}

// fit finds for each step the gains that give the wanted level at the band centres:
// Newton's method on the least squares, with the matrix of small gains.
func (b *box) fit(closed octave.Bands) {
	var m, normal [octave.N][octave.N]float64
	for i, hz := range octave.Centres {
		m[i][0] = 1
		for k := range shelves {
			m[i][k+1] = b.shelfDB(k, 1, hz)
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
	for step := range b.table {
		gains := b.table[max(0, step-1)]
		for range 8 {
			var right [octave.N]float64
			for i := range right {
				right[i] = -ridge * gains[i]
			}
			for i, hz := range octave.Centres {
				rest := closed[i]*float64(step)/boxSteps - gains[0]
				for k := range shelves {
					rest -= b.shelfDB(k, gains[k+1], hz)
				}
				for k := range right {
					right[k] += m[i][k] * rest
				}
			}
			for i, d := range solve(normal, right) {
				gains[i] += d
			}
		}
		for k := range b.table[step] {
			b.table[step][k] = math.Max(-80, math.Min(80, gains[k]))
		}
	}
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

// process filters x in place; its first sample is the absolute sample at.
func (b *box) process(x []float64, at int64) {
	var n0, n1, d1 [shelves]float64
	last := math.Inf(1)
	gain, step := b.gains(b.shutAt(float64(at) / float64(b.rate)))[0], 0.0
	gain = math.Pow(10, gain/20)
	for len(x) > 0 {
		n := min(boxGrid, len(x))
		shut := b.shutAt(float64(at+int64(n)) / float64(b.rate))
		step = 0
		if shut != last {
			g := b.gains(shut)
			step = (math.Pow(10, g[0]/20) - gain) / float64(n)
			for k := range shelves {
				hi := math.Pow(10, g[k+1]/20)
				r := b.warp[k] * math.Sqrt(hi)
				n0[k], n1[k], d1[k] = (hi+r)/(1+r), (r-hi)/(1+r), (r-1)/(1+r)
			}
			last = shut
		}
		for i, v := range x[:n] {
			v *= gain
			gain += step
			for k := range shelves { // transposed direct form II
				y := n0[k]*v + b.state[k]
				b.state[k] = n1[k]*v - d1[k]*y
				v = y
			}
			x[i] = v
		}
		x = x[n:]
		at += int64(n)
	}
	for k := range b.state {
		if math.Abs(b.state[k]) < 1e-30 {
			b.state[k] = 0
		}
	}
}

// gains of the filters for a box shut so far.
func (b *box) gains(shut float64) [octave.N]float64 {
	p := shut * boxSteps
	i := min(boxSteps-1, int(p))
	f := p - float64(i)
	g := b.table[i]
	for k := range g {
		g[k] += f * (b.table[i+1][k] - g[k])
	}
	return g
}
