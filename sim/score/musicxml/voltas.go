package musicxml

import (
	"slices"
)

// volta is what a bar has to do with voltas.
type volta struct {
	in, begins bool
	numbers    []int
	start, end int // its first and last bar
	group      int // first bar of the first volta of its repeat
	groupEnd   int // last bar of the last one
	last       int // highest number among them
}

// mostBracketBars is how far after the end of its bracket a first volta's repeat sign is looked for.
const mostBracketBars = 16

// voltas reads the brackets over the bars. What exporters leave out or draw short is filled in: a bracket
// without an end goes to its repeat sign or the next bracket; a first volta whose bracket ends before its repeat sign
// goes on to that; an end without a beginning is a volta of one bar; between a first and a second volta
// there is a repeat, sign or not.
func (r *reader) voltas(m movements) []volta {
	out := make([]volta, len(r.bars))
	for i := 0; i < len(r.bars); i++ {
		numbers := r.bars[i].ending
		if len(numbers) == 0 && len(r.bars[i].endingStop) > 0 && i+1 < len(r.bars) && len(r.bars[i+1].ending) > 0 && r.bars[i].backward {
			numbers = r.bars[i].endingStop
			r.remark(i, 0, -1, "a volta ends here but begins nowhere: it is taken as this bar alone")
		}
		if len(numbers) == 0 {
			continue
		}
		end := r.voltaEnd(i, m)
		for j := i; j <= end; j++ {
			out[j] = volta{in: true, begins: j == i, numbers: numbers, start: i, end: end}
		}
		i = end
	}
	r.groupVoltas(out)
	return out
}

// voltaEnd is the last bar of the volta that begins at i.
func (r *reader) voltaEnd(i int, m movements) int {
	begins := func(j int) bool { return j >= len(r.bars) || len(r.bars[j].ending) > 0 || m.certain[j] }
	end := i
	for !begins(end+1) && !r.bars[end].endingEnd && !r.bars[end].backward && !r.bars[end+1].forward {
		end++
	}
	if r.bars[end].backward || slices.Min(r.bars[i].ending0()) > 1 || begins(end+1) {
		return end
	}
	for j := end + 1; j < min(end+1+mostBracketBars, len(r.bars)) && !begins(j) && !r.bars[j].forward; j++ {
		if r.bars[j].backward {
			r.remark(i, 0, -1, "the bracket of the first volta ends before its repeat sign: it is taken as far as that")
			return j
		}
	}
	return end
}

// ending0 is the numbers of the volta that begins here; 1 where only its end is in the file.
func (b *barInfo) ending0() []int {
	if len(b.ending) > 0 {
		return b.ending
	}
	return []int{1}
}

// groupVoltas finds which voltas belong to one repeat.
func (r *reader) groupVoltas(out []volta) {
	for i := 0; i < len(out); i++ {
		if !out[i].begins {
			continue
		}
		group, last, end := i, slices.Max(out[i].numbers), out[i].end
		for end+1 < len(out) && out[end+1].begins && slices.Max(out[end+1].numbers) > last {
			if !r.bars[end].backward {
				r.bars[end].backward = true
				r.remark(end, 0, -1, "there is no repeat sign at the end of a volta before the next one: it is repeated all the same")
			}
			last, end = slices.Max(out[end+1].numbers), out[end+1].end
		}
		for j := group; j <= end; j++ {
			out[j].group, out[j].groupEnd, out[j].last = group, end, last
		}
		i = end
	}
}

// lone tells a first volta whose second is not marked.
func (v volta) lone() bool {
	return v.in && v.end == v.groupEnd && v.start == v.group && slices.Contains(v.numbers, 1)
}

// plays tells whether the volta v is played, on which time through its repeat (0: there is no repeat), after a jump or not.
func (r *reader) plays(all []volta, v volta, pass int, after bool) bool {
	final := v.end == v.groupEnd
	repeated := r.bars[v.end].backward
	switch {
	case after && !r.bars[v.end].afterJump:
		return final && !(v.lone() && repeated)
	case pass == 0 || slices.Contains(v.numbers, pass):
		return true
	}
	next := 0 // the lowest number above the pass
	for j := v.group; j <= v.groupEnd; j = all[j].end + 1 {
		if slices.Contains(all[j].numbers, pass) {
			return false
		}
		if low := slices.Min(all[j].numbers); low > pass && (next == 0 || low < next) {
			next = low
		}
	}
	if next > 0 { // no volta has this number: the next one serves
		return slices.Contains(v.numbers, next)
	}
	return final && !repeated
}

// times is how often the repeat that ends at bar i is played through.
func (r *reader) times(v volta, i int) int {
	n := max(r.bars[i].times, 2)
	switch {
	case v.lone():
		return max(n, v.last+1)
	case v.in:
		return max(n, v.last)
	}
	return n
}
