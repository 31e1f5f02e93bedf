package musicxml

// repeats are the repeat signs of the page, matched as brackets are: an end goes back to the last beginning that
// is still open, else to the bar after the end before it and its voltas, or to the beginning of the movement. An end under a later
// volta goes back where the first one does.
type repeats struct {
	from   []int  // by bar: where the repeat that ends here goes back to; -1 where none ends
	begins []bool // by bar: a repeat begins here, by a sign or without one
}

func (r *reader) matchRepeats(voltas []volta, m movements) repeats {
	x := repeats{from: make([]int, len(r.bars)), begins: make([]bool, len(r.bars))}
	var open []int
	free := 0
	for i := range r.bars {
		b := &r.bars[i]
		x.from[i] = -1
		if m.certain[i] {
			open, free = nil, i
		}
		if b.forward {
			open = append(open, i)
		}
		if !b.backward {
			continue
		}
		to, v := free, voltas[i]
		first := -1
		if v.in && v.start > v.group {
			first = x.ofGroup(voltas, v.group, i)
		}
		switch n := len(open); {
		case n > 0 && (first < 0 || open[n-1] >= v.start):
			to, open = open[n-1], open[:n-1]
			if n > 1 {
				r.remark(i, 0, -1, "one repeat is inside another: the inner one is played each time")
			}
		case first >= 0:
			to = first
		}
		x.from[i], x.begins[to] = to, true
		free = i + 1
		if v.in { // later voltas are part of what was repeated
			free = max(free, v.groupEnd+1)
		}
	}
	return x
}

// ofGroup is where an earlier volta of a group goes back to, -1 where none does.
func (x repeats) ofGroup(voltas []volta, group, before int) int {
	for k := group; k < before; k++ {
		if voltas[k].in && voltas[k].group == group && x.from[k] >= 0 {
			return x.from[k]
		}
	}
	return -1
}
