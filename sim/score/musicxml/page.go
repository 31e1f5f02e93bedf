package musicxml

import (
	"slices"
	"sort"

	"afterchord/sim/score"
)

// page is the order of the page as far as the speed depends on it.
type page struct {
	starts []score.Tick // of the bars, and the end
	steps  []score.Tick // half a beat of each bar
	stops  []bool       // the bar ends at a double bar, a repeat, a volta or a jump
	holds  []score.Tick // where fermatas begin
	onsets []score.Tick
	upbeat score.Tick // length of a pickup bar
}

// newPage lays the bars out one after the other.
func (r *reader) newPage() *page {
	pg := &page{}
	var at score.Tick
	for i := range r.bars {
		b := &r.bars[i]
		pg.starts = append(pg.starts, at)
		at += b.length
		pg.steps = append(pg.steps, max(1, r.s.BeatTicks(b.metre)/2))
		stop := b.double || b.backward || b.endingEnd || b.dacapo || b.dalsegno != "" || b.fine || b.tocoda != "" || i+1 == len(r.bars)
		if i+1 < len(r.bars) {
			stop = stop || r.bars[i+1].forward || len(r.bars[i+1].ending) > 0
		}
		pg.stops = append(pg.stops, stop)
	}
	pg.starts = append(pg.starts, at)
	if r.bars[0].number == 0 {
		pg.upbeat = r.bars[0].length
	}
	for _, p := range r.src.parts {
		for i, m := range p.measures {
			for _, n := range m.notes {
				if n.grace {
					continue
				}
				if !n.rest && !n.tieStop {
					pg.onsets = append(pg.onsets, pg.starts[i]+n.at)
				}
				if n.fermata {
					pg.holds = append(pg.holds, pg.starts[i]+n.at)
				}
			}
		}
	}
	slices.Sort(pg.onsets)
	pg.onsets = slices.Compact(pg.onsets)
	slices.Sort(pg.holds)
	return pg
}

func (pg *page) bar(at score.Tick) int {
	return max(0, sort.Search(len(pg.starts)-1, func(i int) bool { return pg.starts[i] > at })-1)
}

// place sorts the events in the order of the page; of those at one place marks come first.
func (pg *page) place(events []speedEvent) []speedEvent {
	out := slices.Clone(events)
	for i := range out {
		out[i].page = pg.starts[out[i].measure] + out[i].at
	}
	slices.SortStableFunc(out, func(a, b speedEvent) int {
		switch {
		case a.page != b.page:
			return int(a.page - b.page)
		case a.kind == ratioKind && b.kind == ratioKind:
			return 0
		}
		return int(a.kind - b.kind)
	})
	return out
}

// after is the bar line some bars on, the bar of a place counted.
func (pg *page) after(at score.Tick, bars int) score.Tick {
	return pg.starts[min(pg.bar(at)+bars, len(pg.starts)-1)]
}
