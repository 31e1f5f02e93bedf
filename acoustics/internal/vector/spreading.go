package vector

import (
	"math"
	"sync/atomic"
)

// Block is how many values of a [Reach] go together: what one pass over the sources fills.
const Block = 2 * Lanes

// Padded is n rounded up to a multiple of Block.
func Padded(n int) int { return (n + Block - 1) &^ (Block - 1) }

// Reach is which sources give a block anything: those from From on, before To. What others have for it in Weights is 0.
type Reach struct{ From, To int32 }

// Spreading is how sources fill planes. The weights of a source, one for each value of a plane, stand in Weights from its row
// on, which [Spreading.Choose] chooses; a plane is a whole number of blocks, and Reach has what each of them takes.
type Spreading struct {
	Weights  []float32
	Reach    []Reach
	rows     []int32 // of each source
	greatest int32   // of rows
}

// NewSpreading is a spreading of so many sources, with room for a whole number of blocks.
func NewSpreading(sources int) Spreading { return Spreading{rows: make([]int32, Padded(sources))} }

// Greatest is where the last of the chosen rows begins.
func (s *Spreading) Greatest() int { return int(s.greatest) }

// Fill fills x with what sources give it, x[i] = Σ a[k]·Weights[row of k + i], in their order.
func (s *Spreading) Fill(x, a []float32) {
	if s.checked(len(a)) {
		s.fill(x[:len(s.Reach)*Block], a)
	}
}

// Fill3 is [Spreading.Fill] for three sounds: a fills x, b fills y and c fills z.
func (s *Spreading) Fill3(x, y, z, a, b, c []float32) {
	if n := len(s.Reach) * Block; s.checked(min(len(a), len(b), len(c))) {
		s.fill3(x[:n], y[:n], z[:n], a, b, c)
	}
}

// checked reports whether there is anything to fill. It panics where a reach goes beyond the sources, or a row beyond the weights.
func (s *Spreading) checked(sources int) bool {
	sources = min(sources, len(s.rows))
	for _, r := range s.Reach {
		if r.From < 0 || int(r.To) > sources {
			panic("vector: reach beyond the sources")
		}
	}
	if int(s.greatest) > len(s.Weights)-len(s.Reach)*Block {
		panic("vector: row beyond the weights")
	}
	return len(s.Reach) > 0 && sources > 0
}

func (s *Spreading) fillGo(x, a []float32) {
	for n, r := range s.Reach {
		x := x[n*Block:][:Block]
		clear(x)
		for k := r.From; k < r.To; k++ {
			a := a[k]
			for i, v := range s.Weights[int(s.rows[k])+n*Block:][:Block] {
				x[i] += float32(a * v)
			}
		}
	}
}

func (s *Spreading) fill3Go(x, y, z, a, b, c []float32) {
	s.fillGo(x, a)
	s.fillGo(y, b)
	s.fillGo(z, c)
}

// Choice is which row each source has at each of a number of levels, evenly spaced by the logarithm of its power. The lowest is that of a
// power of 1 and of what is less.
type Choice struct {
	made   []int32 // [source*count + level], 0 where there is none yet
	count  int     // of levels
	steps  float32 // of them in an octave
	levels []uint8 // of each power from 1 on, in steps of 1/256 of an octave, past the highest
}

// powerBits is how many bits of a power's mantissa tell its level, mostOctaves how many octaves above 1 are told apart, and leastPower the
// bits of 1, as far as they count.
const (
	powerBits   = 8
	mostOctaves = 40
	leastPower  = 127 << powerBits
)

// NewChoice is a choice among so many levels, no more than 256, of which steps make an octave of power. It has no rows yet.
func NewChoice(sources, count int, steps float32) *Choice {
	c := &Choice{made: make([]int32, Padded(sources)*count), count: count, steps: steps, levels: make([]uint8, mostOctaves<<powerBits)}
	for i := range c.levels { // by what lies in the middle of what has the same bits
		lb := float32(i>>powerBits) + float32(math.Log2(1+(float64(i&(1<<powerBits-1))+0.5)/(1<<powerBits)))
		c.levels[i] = uint8(min(count-1, int(float32(lb*steps)+0.5)))
	}
	for i := sources * count; i < len(c.made); i++ { // what fills up the last block is never looked for
		c.made[i] = 1
	}
	return c
}

// Level is which of the levels a power is nearest to.
func (c *Choice) Level(power float32) int {
	at := int(math.Float32bits(power)>>(23-powerBits)) - leastPower
	return int(c.levels[max(0, min(len(c.levels)-1, at))])
}

// Row is the row of a source at a level, 0 where there is none yet.
func (c *Choice) Row(source, level int) int32 { return atomic.LoadInt32(&c.made[source*c.count+level]) }

// SetRow gives a source a row, which is not 0 and whose weights stand where they will stay.
func (c *Choice) SetRow(source, level int, row int32) {
	atomic.StoreInt32(&c.made[source*c.count+level], row)
}

// Choose chooses the row of each source by its power, of which level has a plane, and gives the highest level. all is false where a source
// has no row at its level yet.
func (s *Spreading) Choose(level []float32, c *Choice) (most int, all bool) {
	n := len(s.rows)
	if n == 0 {
		return 0, true
	}
	return s.choose(level[:n], c)
}

func (s *Spreading) chooseGo(level []float32, c *Choice) (most int, all bool) {
	s.greatest, all = 0, true
	for i, power := range level {
		l := c.Level(power)
		row := c.Row(i, l)
		s.rows[i], s.greatest = row, max(s.greatest, row)
		most, all = max(most, l), all && row != 0
	}
	return most, all
}
