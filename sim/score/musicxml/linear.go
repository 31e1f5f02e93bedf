package musicxml

import (
	"slices"

	"afterchord/sim/score"
)

// linear knows which dynamic marks hold at a bar in the order of
// the page; a jump goes back to them.
type linear struct {
	marks [][]string // at the start of each bar
}

func newLinear(r *reader) *linear {
	n := len(r.bars)
	l := &linear{marks: make([][]string, n+1)}
	marks := make([]string, len(r.s.Parts))
	for i := range r.bars {
		if i == 0 {
			l.marks[0] = marks
		}
		copied := false
		for _, p := range r.src.parts {
			if i >= len(p.measures) {
				continue
			}
			for _, w := range p.measures[i].words {
				if w.Kind == score.Mark && w.Part >= 0 && marks[w.Part] != w.Text {
					if !copied { // the bars before keep theirs
						marks, copied = slices.Clone(marks), true
					}
					marks[w.Part] = w.Text
				}
			}
		}
		l.marks[i+1] = marks
	}
	return l
}

// marksAt are the marks that hold at a bar and did not hold after the bar from.
func (l *linear) marksAt(from, measure int, at score.Tick) (out []score.Word) {
	for p, m := range l.marks[measure] {
		if m != "" && m != l.marks[from+1][p] {
			out = append(out, score.Word{At: at, Part: p, Kind: score.Mark, Text: m})
		}
	}
	return out
}
