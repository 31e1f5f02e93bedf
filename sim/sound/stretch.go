package sound

import "sync"

// stretch is the sound of every bus in one stretch of time.
type stretch struct {
	in    [][]float64 // as [renderer.mix] leaves it
	n     int         // samples
	pipes int         // most that sounded at once
	over  bool        // no event is left, and no pipe sounds
}

// mixed computes the next stretch; in receives it.
func (r *renderer) mixed(in [][]float64) stretch {
	r.n = block
	if r.at < beginsIn {
		r.n = firstBlock
	}
	r.admit()
	r.mix(in)
	s := stretch{in, r.n, r.most(), r.next >= len(r.job.Events) && r.drained()}
	r.at += int64(r.n)
	return s
}

// aheadOfTime mixes each stretch while what came before it is heard in the room: take gives them in order, each valid until the next is
// taken. stop must be called at the end.
func (r *renderer) aheadOfTime(inputs int) (take func() stretch, stop func()) {
	ready, quit, ended := make(chan stretch), make(chan struct{}), make(chan struct{})
	sets := [2][][]float64{make([][]float64, inputs), make([][]float64, inputs)}
	go func() {
		defer close(ended)
		for i := 0; ; i ^= 1 {
			for k := range r.buses {
				r.buses[k].swap()
			}
			select {
			case ready <- r.mixed(sets[i]):
			case <-quit:
				return
			}
		}
	}()
	return func() stretch { return <-ready }, sync.OnceFunc(func() {
		close(quit)
		<-ended
	})
}

// swap lets the next stretch be computed beside the one that was handed out.
func (b *bus) swap() {
	b.out, b.spareOut = b.spareOut, b.out
	if b.out == nil {
		b.out = make([]float64, block)
	}
	if b.ahead == nil {
		return
	}
	b.ahead, b.spareAhead = b.spareAhead, b.ahead
	if b.ahead == nil {
		b.ahead = make([]float64, block)
	}
}

// outlet hands out stretches, in order, while the next ones are computed.
type outlet struct {
	emit    func(l, r []float64) error
	pending chan error // of the stretch that is being handed out; nil where none is
}

// settled waits for what is being handed out.
func (o *outlet) settled() error {
	if o.pending == nil {
		return nil
	}
	err := <-o.pending
	o.pending = nil
	return err
}

// hand hands out l and r, which are not to be touched before settled.
func (o *outlet) hand(l, r []float64) {
	o.pending = make(chan error, 1)
	go func(to chan<- error) { to <- o.emit(l, r) }(o.pending)
}
