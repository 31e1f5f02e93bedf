package remedy

import (
	"slices"

	"afterchord/sim/score"
)

// patch is what one draft changed, so that changes can be put together and taken out again.
type patch struct {
	changed map[int]score.Note // by ID
	removed map[int]bool
	added   []score.Note
	wordsIn []score.Word
	wordsUp []score.Word           // taken out
	tempos  map[score.Tick]float64 // crotchets a minute of the marks that changed
}

// difference is the patch from a to b.
func difference(a, b *score.Score) patch {
	p := patch{changed: map[int]score.Note{}, removed: map[int]bool{}, tempos: map[score.Tick]float64{}}
	was := make(map[int]score.Note, len(a.Notes))
	for _, n := range a.Notes {
		was[n.ID] = n
		p.removed[n.ID] = true
	}
	for _, n := range b.Notes {
		old, ok := was[n.ID]
		switch {
		case !ok:
			p.added = append(p.added, n)
		case old != n:
			p.changed[n.ID] = n
		}
		delete(p.removed, n.ID)
	}
	p.wordsIn, p.wordsUp = surplus(b.Words, a.Words), surplus(a.Words, b.Words)
	speeds := map[score.Tick]float64{}
	for _, t := range a.Tempos {
		speeds[t.At] = t.Crotchets
	}
	for _, t := range b.Tempos {
		if was, ok := speeds[t.At]; ok && was != t.Crotchets {
			p.tempos[t.At] = t.Crotchets
		}
	}
	return p
}

// surplus lists the words of a that b has not.
func surplus(a, b []score.Word) []score.Word {
	have := map[score.Word]int{}
	for _, w := range b {
		have[w]++
	}
	var out []score.Word
	for _, w := range a {
		if have[w] > 0 {
			have[w]--
			continue
		}
		out = append(out, w)
	}
	return out
}

// apply makes all changes on a copy of s. Of two patches on one note the later
// holds, of two on one tempo mark the slower.
func apply(s *score.Score, patches []patch) *score.Score {
	c := s.Clone()
	changed, gone := map[int]score.Note{}, map[int]bool{}
	tempos := map[score.Tick]float64{}
	next := 0
	for _, n := range c.Notes {
		next = max(next, n.ID)
	}
	var added []score.Note
	for _, p := range patches {
		for id, n := range p.changed {
			changed[id] = n
		}
		for id := range p.removed {
			gone[id] = true
		}
		for at, v := range p.tempos {
			if was, ok := tempos[at]; !ok || v < was {
				tempos[at] = v
			}
		}
		for _, n := range p.added {
			next++
			n.ID = next
			added = append(added, n)
		}
		out := map[score.Word]int{}
		for _, w := range p.wordsUp {
			out[w]++
		}
		c.Words = slices.DeleteFunc(c.Words, func(w score.Word) bool {
			out[w]--
			return out[w] >= 0
		})
		for _, w := range p.wordsIn {
			if !slices.Contains(c.Words, w) {
				c.Words = append(c.Words, w)
			}
		}
	}
	for i, n := range c.Notes {
		if x, ok := changed[n.ID]; ok {
			c.Notes[i] = x
		}
	}
	c.Notes = slices.DeleteFunc(c.Notes, func(n score.Note) bool { return gone[n.ID] })
	c.Notes = append(c.Notes, added...)
	for i, t := range c.Tempos {
		if v, ok := tempos[t.At]; ok {
			c.Tempos[i].Crotchets = v
		}
	}
	c.SortNotes()
	slices.SortStableFunc(c.Words, func(a, b score.Word) int { return int(a.At - b.At) })
	c.Index()
	return c
}

// clashes reports whether two patches write on the same notes.
func (p patch) clashes(o patch) bool {
	for id := range o.changed {
		if _, ok := p.changed[id]; ok || p.removed[id] {
			return true
		}
	}
	for id := range o.removed {
		if _, ok := p.changed[id]; ok || p.removed[id] {
			return true
		}
	}
	return false
}
