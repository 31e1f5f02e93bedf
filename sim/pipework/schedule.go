package pipework

import (
	"cmp"
	"slices"
	"sort"

	"afterchord/sim/performance"
	"afterchord/voicing"
)

// press is a key held under one registration.
type press struct {
	onS, offS float64
	note      int32
	change    int32
}

// Schedule returns the pipe events of a performance. A pipe asked for by several
// keys or couplers speaks from the first key down to the last key up; when stops
// change under a held key, pipes that stay drawn go on without speaking again.
func Schedule(o *voicing.Organ, p *performance.Performance) []Event {
	ids := newIndex(o)
	last := make([]int32, ids.size)
	for i := range last {
		last[i] = -1
	}
	var reg voicing.Registration
	pipes := make([]voicing.PipeID, 0, 512)
	cache := make(map[reachKey][]voicing.PipeID)
	events := make([]Event, 0, len(p.Notes)*8)
	for _, q := range presses(p) {
		n := p.Notes[q.note]
		if len(p.Changes) > 0 {
			reg = p.Changes[q.change].Registration
		}
		key := reachKey{reg, n.Division, n.Key}
		reach, ok := cache[key]
		if !ok {
			pipes = o.Reach(pipes[:0], reg, n.Division, n.Key)
			reach = slices.Clone(pipes)
			cache[key] = reach
		}
		for _, id := range reach {
			delay := o.Divisions[id.Division].Action.DelayS
			on, off := q.onS+delay, q.offS+delay
			slot := ids.of(id)
			if e := last[slot]; e >= 0 && on <= events[e].OffS+1e-9 {
				events[e].OffS = max(events[e].OffS, off)
				continue
			}
			last[slot] = int32(len(events))
			events = append(events, Event{
				Pipe: id, OnS: on, OffS: off, Note: q.note,
				Tremulant: reg.Tremulants&(1<<id.Division) != 0,
			})
		}
	}
	slices.SortStableFunc(events, func(a, b Event) int { return cmp.Compare(a.OnS, b.OnS) })
	return events
}

type reachKey struct {
	reg           voicing.Registration
	division, key int
}

// presses cuts each note at the changes of registration under it, sorted by start.
func presses(p *performance.Performance) []press {
	out := make([]press, 0, len(p.Notes))
	for i, n := range p.Notes {
		c := sort.Search(len(p.Changes), func(j int) bool { return p.Changes[j].AtS > n.OnS+1e-9 }) - 1
		c = max(c, 0)
		on := n.OnS
		for {
			off := n.OffS
			next := c+1 < len(p.Changes) && p.Changes[c+1].AtS < n.OffS
			if next {
				off = p.Changes[c+1].AtS
			}
			if off > on {
				out = append(out, press{on, off, int32(i), int32(c)})
			}
			if !next {
				break
			}
			on, c = off, c+1
		}
	}
	slices.SortStableFunc(out, func(a, b press) int { return cmp.Compare(a.onS, b.onS) })
	return out
}

// index numbers the pipes of an organ densely.
type index struct {
	base [voicing.MaxDivisions][voicing.MaxStops]int
	size int
}

func newIndex(o *voicing.Organ) *index {
	x := &index{}
	for d := range o.Divisions {
		for s := range o.Divisions[d].Stops {
			x.base[d][s] = x.size
			x.size += 128 * max(1, len(o.Divisions[d].Stops[s].Ranks))
		}
	}
	return x
}

func (x *index) of(id voicing.PipeID) int {
	return x.base[id.Division][id.Stop] + int(id.Rank)*128 + int(id.Key&127)
}
