package musicxml

import (
	"fmt"
	"slices"
	"sort"

	"afterchord/sim/score"
)

// speeds lays the speeds along the page and says what was assumed.
func (r *reader) speeds() {
	r.src.page = r.newPage()
	st := r.src.page.resolve(r.src.events, r.firstTempo())
	r.src.speeds = st
	for _, e := range st.tables {
		r.remark(e.measure, e.at, -1, "no metronome mark: %s is taken as %g crotchets a minute", e.table, e.value)
	}
	for _, e := range st.idle {
		r.remark(e.measure, e.at, -1, "%q is not played: it ends where it begins", e.word)
	}
	for _, x := range st.ramps {
		e := x.event
		if e.kind == suddenKind {
			r.remark(e.measure, e.at, -1, "%q is played at %.2f of the speed before (an assumption: the page gives no figure)", e.word, x.factor)
			continue
		}
		back := ""
		if x.returns {
			back = "; then the speed before, for nothing else is printed"
		}
		r.remark(e.measure, e.at, -1, "%q is played from %s to %s, ending at %.2f of the speed (an assumption: the page gives no figure)%s",
			e.word, r.pageName(x.from), r.pageName(x.to), x.factor, back)
	}
}

// pageName is a place on the page as musicians count it.
func (r *reader) pageName(at score.Tick) string {
	i := r.src.page.bar(at)
	b := &r.bars[i]
	off := at - r.src.page.starts[i]
	if b.number == 0 {
		off += max(0, r.s.BarTicks(b.metre)-b.length)
	}
	return fmt.Sprint(score.Position{Bar: b.number, Beat: 1 + float64(off)/float64(r.s.BeatTicks(b.metre))})
}

// barTempos adds the speeds of a bar at one of the times it is played.
func (r *reader) barTempos(tempos []score.Tempo, pb playedBar) []score.Tempo {
	pg, st := r.src.page, r.src.speeds
	from, to := pg.starts[pb.measure], pg.starts[pb.measure+1]
	i := sort.Search(len(st.steps), func(i int) bool { return st.steps[i].at >= from })
	if pb.jumped && !(i < len(st.steps) && st.steps[i].at == from) {
		tempos = put(tempos, score.Tempo{At: pb.start, Crotchets: st.at(from), Follows: true})
	}
	for ; i < len(st.steps) && st.steps[i].at < to; i++ {
		x := st.steps[i]
		tempos = put(tempos, score.Tempo{At: pb.start + x.at - from, Crotchets: x.crotchets, Follows: x.follows && pb.start+x.at-from > 0})
	}
	return tempos
}

// put adds a change of speed that is one.
func put(tempos []score.Tempo, t score.Tempo) []score.Tempo {
	if n := len(tempos); n > 0 && tempos[n-1].Crotchets == t.Crotchets {
		return tempos
	}
	return append(tempos, t)
}

// tempoMap slows what stands under fermatas.
func (r *reader) tempoMap(tempos []score.Tempo, holds []span) {
	r.s.Tempos = tempos
	merged := mergeHolds(holds)
	if len(merged) == 0 {
		return
	}
	base := &score.Score{Tempos: tempos}
	own := map[score.Tick]bool{} // where a mark of its own stands
	var points []score.Tick
	for _, t := range tempos {
		points = append(points, t.At)
		own[t.At] = !t.Follows
	}
	for _, h := range merged {
		points = append(points, h.from, h.to)
	}
	slices.Sort(points)
	var out []score.Tempo
	h := 0
	for _, at := range slices.Compact(points) {
		c := base.TempoAt(at)
		for h < len(merged) && merged[h].to <= at {
			h++
		}
		if h < len(merged) && merged[h].from <= at {
			c /= FermataFactor
		}
		out = put(out, score.Tempo{At: at, Crotchets: c, Follows: !own[at]})
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
func (r *reader) firstTempo() float64 {
	events := r.src.page.place(r.src.events)
	i := r.src.page.first(events)
	switch {
	case i < 0:
		r.remark(0, 0, -1, "no tempo is given at the start: %d crotchets a minute", defaultTempo)
		return defaultTempo
	case events[i].kind == tableKind:
		r.remark(events[i].measure, events[i].at, -1, "no metronome mark: %s is taken as %g crotchets a minute", events[i].table, events[i].value)
	}
	return events[i].value
}

const defaultTempo = 120

// first is the event that gives the speed at the start: a mark there or after the pickup,
// else a tempo word; -1 where there is none.
func (pg *page) first(placed []speedEvent) int {
	for _, k := range []speedKind{markKind, tableKind} {
		if i := slices.IndexFunc(placed, func(e speedEvent) bool { return e.kind == k && e.page <= pg.upbeat }); i >= 0 {
			return i
		}
	}
	return -1
}
