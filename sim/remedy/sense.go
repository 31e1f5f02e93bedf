package remedy

import (
	"fmt"
	"sort"

	"afterchord/sim/performance"
	"afterchord/sim/score"
	"afterchord/voicing"
)

// Sensible reports, as an error, what a rewriting does that no musician would: a new or moved note
// outside the compass of its keyboard, two lines that cross where they did not, a key
// struck while the same line still holds it, a note beyond the end, bars that no longer add up.
func Sensible(before, after *score.Score, o *voicing.Organ, as []performance.Assignment) error {
	if len(before.Bars) != len(after.Bars) || before.End < after.End {
		return fmt.Errorf("the bars no longer add up: %d were %d", len(after.Bars), len(before.Bars))
	}
	for i, b := range before.Bars {
		if b != after.Bars[i] {
			return fmt.Errorf("bar %d no longer adds up", b.Number)
		}
	}
	was := make(map[int]score.Note, len(before.Notes))
	for _, n := range before.Notes {
		was[n.ID] = n
	}
	x := newLines(before, after)
	x.was = was
	for i, n := range after.Notes {
		old, known := was[n.ID]
		if known && old == n {
			continue
		}
		if n.Off <= n.On || n.On < 0 || n.Off > max(before.End, old.Off) {
			return fmt.Errorf("a note on %s has no length or runs beyond the end", score.KeyName(n.Key))
		}
		d := &o.Divisions[as[n.Part].Division]
		moved := !known || old.Key != n.Key || old.Part != n.Part
		if moved && (n.Key < d.LowKey || n.Key > d.HighKey) {
			return fmt.Errorf("%s is outside the compass of the %s", score.KeyName(n.Key), d.Name)
		}
		if moved || old.On > n.On || old.Off < n.Off {
			if err := x.meets(i); err != nil {
				return err
			}
		}
	}
	return nil
}

// lines answers how the lines of a score lay before and which notes a note meets after.
type lines struct {
	before, after       *score.Score
	longBefore, longest score.Tick
	was                 map[int]score.Note // notes before, by ID
	mean                []float64          // key of each part before
}

// line is what must not cross: a voice of a part.
type line struct{ part, voice int }

func lineOf(n score.Note) line { return line{n.Part, n.Voice} }

func newLines(before, after *score.Score) *lines {
	return &lines{before: before, after: after, longBefore: longest(before), longest: longest(after), mean: meanKeys(before)}
}

func longest(s *score.Score) score.Tick {
	l := score.Tick(0)
	for _, n := range s.Notes {
		l = max(l, n.Off-n.On)
	}
	return l
}

func within(s *score.Score, longest, from, to score.Tick, do func(i int, n score.Note)) {
	i := sort.Search(len(s.Notes), func(i int) bool { return s.Notes[i].On > from-longest })
	for ; i < len(s.Notes) && s.Notes[i].On < to; i++ {
		if s.Notes[i].Off > from {
			do(i, s.Notes[i])
		}
	}
}

// meets checks note i of after against the notes that sound with it.
func (x *lines) meets(i int) error {
	a := x.after.Notes[i]
	bar := x.before.Bars[x.before.BarAt(a.On)]
	from, to := bar.Start, max(bar.Start+bar.Length, a.Off)
	type reach struct{ low, high int }
	lay := map[line]reach{} // where each line lay in these bars
	within(x.before, x.longBefore, from, to, func(_ int, n score.Note) {
		r, ok := lay[lineOf(n)]
		if !ok {
			r = reach{n.Key, n.Key}
		}
		lay[lineOf(n)] = reach{min(r.low, n.Key), max(r.high, n.Key)}
	})
	var err error
	within(x.after, x.longest, a.On, a.Off, func(j int, b score.Note) {
		if j == i || err != nil {
			return
		}
		if b.Part == a.Part && b.Key == a.Key {
			err = fmt.Errorf("%s would be struck while it is held", score.KeyName(a.Key))
			return
		}
		p, okP := lay[lineOf(a)]
		q, okQ := lay[lineOf(b)]
		if lineOf(a) == lineOf(b) || !okP || !okQ {
			return
		}
		below, above := p.high <= q.low && p.low < q.high, q.high <= p.low && q.low < p.high // in unison they are neither
		if below && a.Key > b.Key || above && a.Key < b.Key || x.turned(a, b) {
			err = fmt.Errorf("%s would cross %s", score.KeyName(a.Key), score.KeyName(b.Key))
		}
	})
	return err
}

// meanKeys is the mean key of each part.
func meanKeys(s *score.Score) []float64 {
	sum, n := make([]float64, len(s.Parts)), make([]float64, len(s.Parts))
	for _, x := range s.Notes {
		sum[x.Part] += float64(x.Key)
		n[x.Part]++
	}
	for i := range sum {
		sum[i] /= max(1, n[i])
	}
	return sum
}

// turned reports whether two notes that sound together lay the other way round before, and now lie against the order of their parts: a
// tune that dips into its figure may come out of it.
func (x *lines) turned(a, b score.Note) bool {
	p, okP := x.was[a.ID]
	q, okQ := x.was[b.ID]
	if !okP || !okQ || p.Part != a.Part || q.Part != b.Part || a.Part == b.Part {
		return false
	}
	if p.Key > q.Key {
		p, q, a, b = q, p, b, a
	}
	return p.Key < q.Key && a.Key > b.Key && x.mean[a.Part] <= x.mean[b.Part]
}
