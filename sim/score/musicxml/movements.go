package musicxml

// movements are the bars at which a movement may begin: where the bars are counted from 1 again (certain), and after a
// final bar line that no repeat belongs to (possible; the first part of a dance ends so too).
type movements struct {
	certain, possible []bool
}

func (r *reader) movements() movements {
	m := movements{make([]bool, len(r.bars)), make([]bool, len(r.bars))}
	for i := range r.bars {
		b := &r.bars[i]
		if i == 0 {
			m.certain[0], m.possible[0] = true, true
			continue
		}
		before := &r.bars[i-1]
		// A pickup is bar 0 or 1, as a first bar is.
		again := b.number <= 1 && before.number > 1
		m.certain[i] = again && !b.trio
		m.possible[i] = again || before.final && !before.backward && len(before.ending) == 0 && !before.endingEnd
	}
	return m
}

// capo is where a da capo in bar j goes back to, and the bar in which its second playing ends (-1 where a Fine or the
// bar of the da capo itself says so).
func (r *reader) capo(m movements, j int) (to, last int) {
	first := j
	for first > 0 && !m.certain[first] {
		first--
	}
	// What ends the part that comes back: a Fine, else the heading of the trio, else a possible beginning.
	end := -1
	for k := first; k <= j; k++ {
		if r.bars[k].fine {
			end = k
		}
	}
	part := end
	last = -1
	if end < 0 {
		for k := j; k > first && end < 0; k-- {
			if r.bars[k].trio {
				end = k - 1
			}
		}
		for k := j; k > first && end < 0; k-- {
			if m.possible[k] {
				end = k - 1
			}
		}
		part, last = end, end
	}
	if part < 0 {
		return first, -1
	}
	for to = part; to > first && !m.possible[to] && !r.bars[to].dance; to-- {
	}
	return to, last
}
