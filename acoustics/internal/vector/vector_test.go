package vector

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

func random(r *rand.Rand, n int, low, high float64) []float32 {
	v := make([]float32, n)
	for i := range v {
		v[i] = float32(low * math.Pow(high/low, r.Float64()))
	}
	return v
}

// The vector instructions give the bits of the loops in Go.
func TestSameBits(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{0, 8, 16, 72, 80, 400} {
		both(t, fmt.Sprint(n), func(t *testing.T) {
			for _, taps := range []int{1, 5, 9} {
				got, want := make([]float32, n), make([]float32, n)
				in, weights := random(r, n+taps-1, 1e-4, 1e12), random(r, n*taps, 1e-9, 1)
				Around(got, in, weights, taps)
				aroundGo(want, in, weights, taps)
				require.Equal(t, want, got)
			}

			p := &Powers{random(r, n, 1e-3, 1), random(r, n, 3, 9), random(r, n, 0.1, 1), random(r, n, 1, 2)}
			in, got, want := random(r, n, 1e-9, 1e14), make([]float32, n), make([]float32, n)
			Power(got, in, p)
			powerGo(want, in, p)
			require.Equal(t, want, got)
		})
	}
}

const testBlocks = 7

// testSpreading has seven blocks, one of which nothing reaches, and the last row at the end of the weights.
func testSpreading(r *rand.Rand, sources int) *Spreading {
	s := NewSpreading(sources)
	s.Weights = random(r, (sources+3)*testBlocks*Block, 1e-12, 1)
	s.Reach = []Reach{{0, 9}, {0, 21}, {4, 4}, {20, 21}, {3, 18}, {5, 12}, {1, 2}}
	for k := range sources {
		s.rows[k] = int32((k * 7 % (sources - 1)) * testBlocks * Block)
	}
	s.greatest = int32(len(s.Weights) - testBlocks*Block)
	s.rows[sources-1] = s.greatest
	for k, row := range s.rows[:sources] {
		for n, reach := range s.Reach {
			if k < int(reach.From) || k >= int(reach.To) {
				clear(s.Weights[int(row)+n*Block:][:Block])
			}
		}
	}
	return &s
}

// The loops over sources and over filters give the bits of the loops in Go.
func TestSpreadingSameBits(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	both(t, "blocks", func(t *testing.T) {
		const sources, n = 21, testBlocks * Block
		s := testSpreading(r, sources)
		in, got, want := [3][]float32{}, [3][]float32{}, [3][]float32{}
		for i := range in {
			in[i], got[i], want[i] = random(r, sources, 1e-4, 1e12), random(r, n, 1, 2), random(r, n, 1, 2)
		}
		in[1][5] = 0
		s.Fill3(got[0], got[1], got[2], in[0], in[1], in[2])
		s.fill3Go(want[0], want[1], want[2], in[0], in[1], in[2])
		require.Equal(t, want, got)
		s.Fill(got[1], in[2])
		require.Equal(t, want[2], got[1])
		require.Zero(t, got[0][2*Block])
		require.Panics(t, func() { s.Fill(got[0], in[0][1:]) })
		s.greatest++
		require.Panics(t, func() { s.Fill(got[0], in[0]) })

		const least = 1e-6
		v := [10][]float32{}
		for i := range v {
			v[i] = random(r, n, 1e-8, 1e8)
		}
		copy(v[0], []float32{0, least})
		v[3][2] = 1e-8
		var wide, plain [4][]float32
		for i := range wide {
			wide[i], plain[i] = make([]float32, n), make([]float32, n)
		}
		Masked(wide[0], wide[1], wide[2], v[0], v[1], v[2], v[3], least)
		setMaskedGo(plain[0], plain[1], plain[2], v[0], v[1], v[2], v[3], least)
		Partial(wide[3], v[0], wide[0], v[4], v[5], v[6], wide[2], v[3], least)
		partialGo(plain[3], v[0], plain[0], v[4], v[5], v[6], plain[2], v[3], least)
		require.Equal(t, plain, wide)
		for i := range n {
			v[7][i] = 2e8
			require.EqualValues(t, 2e8, Most(v[7]))
			v[7][i] = -1
		}
		require.Zero(t, Most(v[7]))

		Add2(wide[0], v[1], v[2])
		add2Go(plain[0], v[1], v[2])
		Add3(wide[1], v[1], v[2], v[3])
		add3Go(plain[1], v[1], v[2], v[3])
		v[4][5] = 0
		for i := range wide {
			copy(wide[i][n/2:], v[8])
			copy(plain[i][n/2:], v[8])
		}
		wide[2][5], plain[2][5] = -1e-9, -1e-9 // as rounding leaves it
		Faint(wide[2], v[4], v[5])
		faintGo(plain[2], v[4], v[5])
		require.Equal(t, plain, wide)
		require.False(t, math.Signbit(float64(wide[2][5])))
	})
}

func TestEnterSameBits(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	const n, least, most = 23, 1e-4, 1e20
	power, transfer := make([]float64, n), make([]float64, n)
	for i := range n {
		power[i], transfer[i] = math.Pow(10, 30*r.Float64()-6), r.Float64()
	}
	copy(power, []float64{math.NaN(), math.Inf(1), 0, least, 2 * most, -1})
	transfer[3], transfer[4] = 1, 1
	both(t, "bands", func(t *testing.T) {
		got, want := make([]float32, n), make([]float32, n)
		Enter(got, power, transfer, least, most)
		enterGo(want, power, transfer, least, most)
		require.Equal(t, want, got)
		require.Equal(t, []float32{0, most, 0, least, most, 0}, got[:6])
	})
}

// Every power that is told apart has the same level in vector instructions, where its logarithm comes of a series, as by table.
func TestLevelsSameBits(t *testing.T) {
	c := NewChoice(Block, 241, 6.0206)
	both(t, "levels", func(t *testing.T) {
		s, plain := NewSpreading(Block), NewSpreading(Block)
		level := make([]float32, Block)
		for l := range c.count {
			for k := range Block {
				c.SetRow(k, l, int32(1+l))
			}
		}
		for bits := uint32(0); bits < 0x68000000; bits += 1 << 14 * Block {
			for k := range level {
				level[k] = math.Float32frombits(bits + uint32(k)<<14)
			}
			s.Choose(level, c)
			plain.chooseGo(level, c)
			require.Equal(t, plain.rows, s.rows)
		}
	})
}

// The level of a power against the standard library's logarithm, and the rows that are chosen by it.
func TestChoose(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	const sources, count, steps = 41, 241, 6.0206
	c := NewChoice(sources, count, steps)
	both(t, "sources", func(t *testing.T) {
		s, plain := NewSpreading(sources), NewSpreading(sources)
		for _, high := range []float64{10, 1e6, 1e13} {
			for range 400 {
				power := append(random(r, sources, 0.1, high), make([]float32, Padded(sources)-sources)...)
				power[r.IntN(sources)] = 0
				most, all := s.Choose(power, c)
				wantMost, wantAll := plain.chooseGo(power, c)
				require.Equal(t, wantMost, most)
				require.Equal(t, wantAll, all)
				require.Equal(t, plain, s)
				for i, p := range power[:sources] {
					l := c.Level(p)
					require.InDelta(t, min(count-1, max(0, steps*math.Log2(float64(p)))), l, 0.52)
					if c.Row(i, l) == 0 {
						c.SetRow(i, l, int32(1+r.IntN(1<<20)))
					}
				}
				_, all = s.Choose(power, c)
				require.True(t, all)
			}
		}
	})
}

// Power against the standard library, over the exponents and excitations of the ear's laws.
func TestPower(t *testing.T) {
	const n = 1 << 16
	r := rand.New(rand.NewPCG(3, 4))
	p := NewPowers(n)
	x, got := random(r, n, 1e-10, 1e16), make([]float32, n)
	for i := range n {
		p.Exponent[i] = float32(r.Float64()*1.3 - 0.3)
		if i%3 == 0 {
			p.Gain[i], p.Add[i], p.Less[i] = 0.3, 4.6, 1.5
		}
	}
	Power(got, x, p)
	for i := range n {
		base := float64(p.Gain[i])*float64(x[i]) + float64(p.Add[i])
		want := math.Pow(base, float64(p.Exponent[i]))
		// the exponent's own rounding counts as often as the base is doubled
		require.InDelta(t, want-float64(p.Less[i]), float64(got[i]), want*(3e-7+1e-7*math.Abs(math.Log2(base)*float64(p.Exponent[i])))+1e-7, "%g^%g", base, p.Exponent[i])
	}
	exact := []float32{1, 2, 4, 1024, 8, 0.5, 0.25, 65536}
	Power(got[:8], exact, NewPowers(8))
	for i, v := range exact {
		require.InEpsilon(t, v, got[i], 2e-7)
	}
}

func BenchmarkPower(b *testing.B) {
	p, x := NewPowers(80), random(rand.New(rand.NewPCG(1, 1)), 80, 1e-3, 1e9)
	dst := make([]float32, 80)
	for b.Loop() {
		Power(dst, x, p)
	}
}

func BenchmarkFill3(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	s := &Spreading{Weights: random(r, 80*80, 1e-12, 1), Reach: []Reach{{0, 20}, {0, 36}, {0, 52}, {0, 68}, {0, 80}}}
	for k := range 80 {
		s.rows = append(s.rows, int32(k*80))
	}
	in, x := random(r, 80, 1, 1e6), make([]float32, 240)
	for b.Loop() {
		s.Fill3(x[:80], x[80:160], x[160:], in, in, in)
	}
}
