package musicxml

import (
	"math"
	"slices"
	"strings"

	"afterchord/sim/score"

	"github.com/beevik/etree"
)

// editTempos writes changes of speed: into the marks that stand where they begin, else as
// marks of their own; in a score from elsewhere, all speeds. What follows a mark ("rit.",
// "a tempo") changes with it and is left alone.
func (w *writer) editTempos(fresh bool) {
	if fresh {
		for _, t := range w.s.Tempos {
			w.putTempo(t)
		}
		return
	}
	if slices.Equal(w.s.Tempos, w.src.tempos) {
		return
	}
	old := &score.Score{Tempos: w.src.tempos}
	pg, st := w.src.page, w.src.speeds
	// ratio is how much faster a place of the page is now, the first time it is played.
	ratio := func(at score.Tick) float64 {
		i := pg.bar(at)
		first, played := w.firsts[i]
		if !played {
			return 1
		}
		t := w.src.played[first].start + at - pg.starts[i]
		return w.s.TempoAt(t) / old.TempoAt(t)
	}
	events := slices.Clone(w.src.events)
	for i, e := range pg.place(w.src.events) {
		if e.kind == markKind {
			scaleTempo(w.copied[e.el], ratio(e.page))
			e.value *= ratio(e.page)
		}
		events[i] = e
	}
	points := []score.Tick{0}
	for _, x := range st.steps {
		points = append(points, x.at)
	}
	for _, ts := range [][]score.Tempo{w.src.tempos, w.s.Tempos} {
		for _, t := range ts {
			bar, rel := w.place(t.At)
			if m := w.src.played[bar].measure; w.firsts[m] == bar {
				points = append(points, min(pg.starts[m]+rel, pg.starts[m+1]-1))
			}
		}
	}
	slices.Sort(points)
	points = slices.Compact(points)
	// What the page would now be played at is compared with what is wanted, and a mark put
	// where they first differ, until they do not.
	start := st.steps[0].crotchets
	if i := pg.first(events); i >= 0 {
		start = events[i].value
	}
	for range 2 * len(points) {
		now := pg.resolve(events, start)
		i := slices.IndexFunc(points, func(at score.Tick) bool {
			return math.Abs(now.at(at)/(st.at(at)*ratio(at))-1) > 1e-5
		})
		if i < 0 {
			return
		}
		at := points[i]
		t := score.Tempo{At: at, Crotchets: st.at(at) * ratio(at)}
		m := pg.bar(at)
		e := speedEvent{measure: m, at: at - pg.starts[m], kind: markKind, value: t.Crotchets, bare: st.within(at)}
		if at == 0 {
			start = t.Crotchets
		}
		if e.bare {
			w.putSound(m, e.at, t.Crotchets)
		} else {
			t.At = w.src.played[w.firsts[m]].start + e.at
			w.putTempo(t)
		}
		events = append(events, e)
	}
}

// within tells whether a place lies inside a gradual change.
func (st *speedState) within(at score.Tick) bool {
	return slices.ContainsFunc(st.ramps, func(x ramp) bool { return x.from <= at && at < x.to })
}

// putSound writes a speed that is played and not printed.
func (w *writer) putSound(bar int, at score.Tick, crotchets float64) {
	m := measureOf(w.src.parts[0], bar)
	e := etree.NewElement("sound")
	e.CreateAttr("tempo", decimal(crotchets))
	if at > 0 {
		e.AddChild(with("offset", decimal(float64(at)*max(m.div, 1)/float64(w.tpq))))
	}
	w.atStart(m, e)
}

// scaleTempo multiplies the speed of a <sound> or <metronome>, and that of the
// other where both stand in one direction.
func scaleTempo(e *etree.Element, factor float64) {
	if math.Abs(factor-1) < 1e-6 {
		return
	}
	scope := e
	for scope.Parent() != nil && (scope.Tag == "metronome" || scope.Tag == "direction-type" || scope.Tag == "sound" && scope.Parent().Tag == "direction") {
		scope = scope.Parent()
	}
	for _, x := range scope.FindElements(".//per-minute") {
		if v, ok := number(digits.FindString(x.Text())); ok {
			x.SetText(decimal(math.Round(v*factor*10) / 10))
		}
	}
	for _, x := range scope.FindElements(".//words") { // "♩ = 60" among words
		if i := strings.LastIndex(x.Text(), "="); i >= 0 && noteSign.MatchString(x.Text()) {
			if v, _, ok := perMinute(x.Text()[i:]); ok {
				x.SetText(x.Text()[:i] + "= " + decimal(math.Round(v*factor*10)/10))
			}
		}
	}
	for _, x := range append(scope.FindElements(".//sound[@tempo]"), scope) {
		if v, ok := attrNumber(x, "tempo"); ok {
			x.CreateAttr("tempo", decimal(v*factor))
		}
	}
}

func (w *writer) putTempo(t score.Tempo) {
	d := etree.NewElement("metronome")
	d.AddChild(with("beat-unit", "quarter"))
	d.AddChild(with("per-minute", decimal(math.Round(t.Crotchets*10)/10)))
	w.direct(t.At, 0, d, "above")
	snd := etree.NewElement("sound")
	snd.CreateAttr("tempo", decimal(t.Crotchets))
	d.Parent().Parent().AddChild(snd)
}
