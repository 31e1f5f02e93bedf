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
	pressed := presses(p)
	reaches, most := reachOf(o, p, pressed)
	events := make([]Event, 0, most)
	for i, q := range pressed {
		reg := registration(p, q.change)
		for _, id := range reaches[i] {
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

// reachOf lists the pipes that each press asks for, and how many that makes in all. Presses of one
// key under one registration share their list.
func reachOf(o *voicing.Organ, p *performance.Performance, pressed []press) (reaches [][]voicing.PipeID, total int) {
	pipes := make([]voicing.PipeID, 0, 512)
	known := make(map[reachKey][]voicing.PipeID)
	reaches = make([][]voicing.PipeID, len(pressed))
	for i, q := range pressed {
		n := &p.Notes[q.note]
		key := reachKey{registration(p, q.change), n.Division, n.Key}
		reach, ok := known[key]
		if !ok {
			pipes = o.Reach(pipes[:0], key.reg, n.Division, n.Key)
			reach = slices.Clone(pipes)
			known[key] = reach
		}
		reaches[i] = reach
		total += len(reach)
	}
	return reaches, total
}

// registration is that of a change; nothing is drawn where there is none.
func registration(p *performance.Performance, change int32) voicing.Registration {
	if len(p.Changes) == 0 {
		return voicing.Registration{}
	}
	return p.Changes[change].Registration
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
