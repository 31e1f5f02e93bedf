package musicxml

import (
	"math"

	"afterchord/sim/score"
)

// sized is a printed length with its ticks.
type sized struct {
	piece
	ticks   score.Tick
	triplet bool
}

// printable cuts a length into printed ones: demisemiquavers and what they make
// up, with those of a triplet up to the crotchet or from the last crotchet on
// where the one end or the other needs them. nil where that does not do.
func (w *writer) printable(from, to score.Tick) []sized {
	if out := w.inUnits(to-from, float64(w.tpq)/8, false); out != nil {
		return out
	}
	next, last := (from/w.tpq+1)*w.tpq, (to-1)/w.tpq*w.tpq
	cuts := []score.Tick{from, to}
	if next < to {
		cuts = []score.Tick{from, next, to}
		if last > next {
			cuts = []score.Tick{from, next, last, to}
		}
	}
	var out []sized
	for i := range len(cuts) - 1 {
		length := cuts[i+1] - cuts[i]
		ps := w.inUnits(length, float64(w.tpq)/8, false)
		if ps == nil {
			ps = w.inUnits(length, float64(w.tpq)/12, true)
		}
		if ps == nil {
			return nil
		}
		out = append(out, ps...)
	}
	return out
}

// inUnits cuts a length that is a whole number of demisemiquavers of unit ticks.
func (w *writer) inUnits(length score.Tick, unit float64, triplet bool) (out []sized) {
	n := math.Round(float64(length) / unit)
	if n < 1 || math.Abs(n*unit-float64(length)) > 1 || n > 1<<20 {
		return nil
	}
	rest := length
	kinds := split(int(n))
	for i, k := range kinds {
		size := score.Tick(math.Round(float64(k.eights) * unit))
		if i == len(kinds)-1 {
			size = rest
		}
		out = append(out, sized{k, size, triplet})
		rest -= size
	}
	return out
}
