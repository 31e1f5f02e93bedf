package voicing

import "sync/atomic"

// pipeBook keeps the pipes of an organ that have been built, for all who ask.
type pipeBook struct {
	base  [][]int // [division][stop] -> first slot in pipes, keysOfRank to each rank
	pipes []atomic.Pointer[Pipe]
}

const keysOfRank = 128

func newPipeBook(o *Organ) *pipeBook {
	b := &pipeBook{base: make([][]int, len(o.Divisions))}
	n := 0
	for d := range o.Divisions {
		for _, s := range o.Divisions[d].Stops {
			b.base[d] = append(b.base[d], n)
			n += keysOfRank * len(s.Ranks)
		}
	}
	b.pipes = make([]atomic.Pointer[Pipe], n)
	return b
}

// slot is the place of a pipe that there is.
func (b *pipeBook) slot(id PipeID) *atomic.Pointer[Pipe] {
	return &b.pipes[b.base[id.Division][id.Stop]+int(id.Rank)*keysOfRank+int(id.Key)%keysOfRank]
}
