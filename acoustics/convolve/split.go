package convolve

// split takes responses of their own that are short by short blocks, and what all share by long ones: each input is transformed in the
// cache, and but their sum in long blocks.
type split[T real] struct {
	own     *level[T]
	shared  *level[T]
	sharing int // how many inputs, the first ones, go into the sum
	views   [][]float64
	sum     []float64
	l, r    []float64
}

// shortest is the shortest of the short blocks.
const shortest = 1 << 12

// newSplit is nil where the responses are not such.
func newSplit[T real](own []Response, shared Response, o Options) *split[T] {
	longest := 0
	for _, r := range own {
		longest = max(longest, r.len())
	}
	n := shortest
	for n < longest {
		n *= 2
	}
	if o.Block < longBlock || 4*n > o.Block || shared.len() <= o.Block {
		return nil
	}
	alone := o
	alone.Apart = 0
	return &split[T]{
		own:     newLevel[T](own, Response{}, n, 0, longest, o),
		shared:  newLevel[T]([]Response{shared}, Response{}, o.Block, 0, shared.len(), alone),
		sharing: len(own) - o.Apart,
		views:   make([][]float64, len(own)),
		sum:     make([]float64, o.Block),
		l:       make([]float64, o.Block),
		r:       make([]float64, o.Block),
	}
}

func (s *split[T]) process(l, r []float64, in [][]float64) {
	for at := 0; at < len(l); at += s.own.n {
		to := at + s.own.n
		for i, x := range in {
			s.views[i] = nil
			if x != nil {
				s.views[i] = x[at:to]
			}
		}
		s.own.process(l[at:to], r[at:to], s.views)
	}
	clear(s.views)
	var sum []float64 // nil for silence
	for _, x := range in[:s.sharing] {
		switch {
		case x == nil:
		case sum == nil:
			sum = s.sum
			copy(sum, x)
		default:
			add(sum, x)
		}
	}
	s.shared.process(s.l, s.r, [][]float64{sum})
	add(l, s.l)
	add(r, s.r)
}

func (s *split[T]) reset() {
	s.own.reset()
	s.shared.reset()
}
