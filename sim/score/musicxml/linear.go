package musicxml

import (
	"slices"

	"afterchord/sim/score"
)

// linear knows which speed and which dynamic marks hold at a bar in the order of
// the page; a jump goes back to them.
type linear struct {
	tempos []float64 // at the start of each bar, 0 where none
	marks  [][]string
}

func newLinear(r *reader) *linear {
	n := len(r.bars)
	l := &linear{tempos: make([]float64, n+1), marks: make([][]string, n+1)}
	tempo, marks := 0.0, make([]string, len(r.s.Parts))
	for i := range r.bars {
		if i == 0 {
			l.marks[0] = marks
		}
		copied := false
		for _, p := range r.src.parts {
			if i >= len(p.measures) {
				continue
			}
			for _, t := range p.measures[i].tempos {
				if t.crotchets > 0 {
					tempo = t.crotchets
				}
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
		l.tempos[i+1], l.marks[i+1] = tempo, marks
	}
	return l
}

func (l *linear) tempoAt(measure int, at score.Tick) []score.Tempo {
	if l.tempos[measure] <= 0 {
		return nil
	}
	return []score.Tempo{{At: at, Crotchets: l.tempos[measure]}}
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
