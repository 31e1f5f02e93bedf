package musicxml

import (
	"math"
	"slices"

	"afterchord/sim/score"
)

// tempoMap sorts the speeds, resolves ratios, and slows what stands under fermatas.
func (r *reader) tempoMap(tempos []score.Tempo, holds []span) {
	slices.SortStableFunc(tempos, func(a, b score.Tempo) int { return int(a.At - b.At) })
	out := []score.Tempo{{At: 0, Crotchets: r.firstTempo(tempos)}}
	put := func(at score.Tick, c float64) {
		if l := &out[len(out)-1]; l.At == at {
			l.Crotchets = c
		} else if math.Abs(l.Crotchets-c) > 1e-9 {
			out = append(out, score.Tempo{At: at, Crotchets: c})
		}
	}
	var lastRatio score.Tempo
	for _, t := range tempos {
		if t.Crotchets < 0 {
			if t == lastRatio { // the same ratio in several parts counts once
				continue
			}
			lastRatio = t
			t.Crotchets = min(max(out[len(out)-1].Crotchets*-t.Crotchets, 1), 2000)
		}
		put(t.At, t.Crotchets)
	}
	r.s.Tempos = out
	merged := mergeHolds(holds)
	if len(merged) == 0 {
		return
	}
	base := &score.Score{Tempos: out}
	var points []score.Tick
	for _, t := range out {
		points = append(points, t.At)
	}
	for _, h := range merged {
		points = append(points, h.from, h.to)
	}
	slices.Sort(points)
	out = nil
	h := 0
	for _, at := range slices.Compact(points) {
		c := base.TempoAt(at)
		for h < len(merged) && merged[h].to <= at {
			h++
		}
		if h < len(merged) && merged[h].from <= at {
			c /= FermataFactor
		}
		if len(out) == 0 || out[len(out)-1].Crotchets != c {
			out = append(out, score.Tempo{At: at, Crotchets: c})
		}
	}
	r.s.Tempos = out
}

// mergeHolds takes of overlapping fermatas what they have in common.
func mergeHolds(holds []span) (out []span) {
	slices.SortFunc(holds, func(a, b span) int {
		if a.from != b.from {
			return int(a.from - b.from)
		}
		return int(a.to - b.to)
	})
	for _, h := range holds {
		if h.to <= h.from {
			continue
		}
		if n := len(out); n > 0 && h.from < out[n-1].to {
			out[n-1] = span{max(out[n-1].from, h.from), min(out[n-1].to, h.to)}
			continue
		}
		out = append(out, h)
	}
	return out
}

// firstTempo is the speed at the start.
func (r *reader) firstTempo(tempos []score.Tempo) float64 {
	if len(tempos) > 0 && tempos[0].At == 0 && tempos[0].Crotchets > 0 {
		return tempos[0].Crotchets
	}
	for _, p := range r.src.parts {
		for _, w := range p.measures[0].words {
			if w.Kind != tempoWordKind || w.At != 0 {
				continue
			}
			for _, t := range tempoWords {
				if t.word == w.Text {
					r.remark(0, 0, -1, "no metronome mark: %s is taken as %g crotchets a minute", w.Text, t.crotchets)
					return t.crotchets
				}
			}
		}
	}
	r.remark(0, 0, -1, "no tempo is given at the start: 120 crotchets a minute")
	return 120
}
