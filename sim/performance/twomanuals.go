package performance

import (
	"fmt"
	"slices"

	"afterchord/sim/score"
)

// Limits of two hands that are meant for two manuals though no name and no word says so.
const (
	trioShare    = 0.04 // of the moments at which both sound they cross or meet on a key
	trioPlaces   = 3    // and at so many at least
	trioTogether = 0.85 // of the onsets of one fall on onsets of the other at the most: lines of their own
	apartShare   = 0.75 // of the time their marks differ
	apartMarks   = 2    // by so many, where only the file's velocities say so
)

// twoManuals lays two hands without names on two manuals where the page shows that it is meant: a trio, two single lines that
// cross over a bass, or two hands that are marked differently nearly all the time, which one keyboard cannot do (common practice).
func (l *lay) twoManuals(out []Assignment) {
	var hands []int
	feet := false
	for i := range out {
		switch {
		case l.count[i] == 0 || out[i].Silent:
		case out[i].Division == l.pedal && l.pedal >= 0:
			feet = true
		case out[i].Division >= 0:
			return // a name or the user says who plays
		default:
			hands = append(hands, i)
		}
	}
	other := l.secondManual()
	if len(hands) != 2 || other < 0 || l.saysManual(hands) {
		return
	}
	upper, lower := hands[0], hands[1]
	if l.mean[lower] > l.mean[upper] {
		upper, lower = lower, upper
	}
	lay := func(first, second int, why string) {
		out[first].Division, out[first].Why = l.manual, fmt.Sprintf("%s; %s takes it to the %s", why, l.assignTo(first, other), l.o.Divisions[other].Name)
		out[second].Division, out[second].Why = other, fmt.Sprintf("%s; %s puts both on one", why, l.assignTo(second, l.manual))
	}
	if a, b, ok := l.markedApart(upper, lower, feet); ok {
		louder, softer := upper, lower
		if a < b {
			louder, softer = lower, upper
		}
		lay(louder, softer, fmt.Sprintf("%s beside %s: two manuals", max(a, b), min(a, b)))
		return
	}
	if feet && l.trio(upper, lower) {
		lay(upper, lower, "one of two lines that cross over a bass, a trio: two manuals")
	}
}

// assignTo is what the user writes to have a part on a division.
func (l *lay) assignTo(part, division int) string {
	return fmt.Sprintf("--assign %q", l.s.Parts[part].Name+"="+l.o.Divisions[division].Name)
}

// secondManual is a manual beside the main one: the Swell, else the first other; -1 where there is none.
func (l *lay) secondManual() int {
	if d, ok := l.o.DivisionByName("Swell"); ok && d != l.manual && !l.o.Divisions[d].Pedal {
		return d
	}
	for d := range l.o.Divisions {
		if d != l.manual && !l.o.Divisions[d].Pedal {
			return d
		}
	}
	return -1
}

// saysManual reports whether words over some parts name a manual, or stops of one.
func (l *lay) saysManual(parts []int) bool {
	for _, w := range l.s.Words {
		if w.Part >= 0 && !slices.Contains(parts, w.Part) {
			continue
		}
		if _, ok := manualNamed(l.o, w); ok {
			return true
		}
		if _, ok := stopsOf(l.o, w); ok {
			return true
		}
	}
	return false
}

// markedApart are the marks of two parts, at the beginning, where each has marks of its own that differ nearly all the time; or velocities,
// where the page has no marks at all, over a pedal part: without one less than two marks are the balance of a pianist's hands.
func (l *lay) markedApart(a, b int, feet bool) (score.Dynamic, score.Dynamic, bool) {
	own := map[int]bool{}
	for _, w := range l.s.Words {
		if _, ok := markOver(w, w.Part); ok {
			own[w.Part] = true
		}
	}
	least := 1
	var pa, pb []Passage
	switch marks := marksOf(l.s); {
	case own[a] && own[b]:
		pa, pb = byMarks(l.s, a, marks[a], nil), byMarks(l.s, b, marks[b], nil)
	case len(marks[a])+len(marks[b]) > 0 || !writtenVelocity(l.s, a, plateauShare) || !writtenVelocity(l.s, b, plateauShare):
		return 0, 0, false
	case feet && !unmarked(l.s, max(a, b)):
		pa, pb = byVelocity(l.s, a), byVelocity(l.s, b)
	case feet || !unmarked(l.s, max(a, b)): // who is below on the page and has no marks follows
		least, pa, pb = apartMarks, byVelocity(l.s, a), byVelocity(l.s, b)
	default:
		return 0, 0, false
	}
	apart, all := score.Tick(0), score.Tick(0)
	for _, x := range pa {
		for _, y := range pb {
			if t := min(x.To, y.To) - max(x.From, y.From); t > 0 {
				all += t
				if d := x.Dynamic - y.Dynamic; max(d, -d) >= score.Dynamic(least) && (x.MeanVel == 0 || abs(x.MeanVel-y.MeanVel) >= velocityStep) && (d > 0) == (pa[0].Dynamic > pb[0].Dynamic) {
					apart += t
				}
			}
		}
	}
	return pa[0].Dynamic, pb[0].Dynamic, all > 0 && float64(apart) >= apartShare*float64(all)
}

// trio reports whether two parts are single lines, each with a rhythm of its own, that cross or meet again and again.
func (l *lay) trio(upper, lower int) bool {
	if l.polyphony(upper) > 1 || l.polyphony(lower) > 1 {
		return false
	}
	moments, met, onsets, together := 0, 0, 0, 0
	sweep(l.s, func(n score.Note) bool { return n.Part == upper || n.Part == lower }, func(t score.Tick, down []int) {
		keys := [2]int{-1, -1}
		began := 0
		for _, i := range down {
			n := l.s.Notes[i]
			hand := 0
			if n.Part == lower {
				hand = 1
			}
			keys[hand] = n.Key
			if n.On == t {
				began++
			}
		}
		onsets++
		if began > 1 {
			together++
		}
		if keys[0] < 0 || keys[1] < 0 {
			return
		}
		moments++
		if keys[0] <= keys[1] {
			met++
		}
	})
	return met >= trioPlaces && float64(met) >= trioShare*float64(moments) && float64(together) <= trioTogether*float64(onsets)
}
