package performance

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"

	"afterchord/sim/score"
	"afterchord/voicing"
)

// order is a change of registration asked for in words at a place.
type order struct {
	at     score.Tick
	change voicing.RegChange
	why    string
	file   bool // of a stops file, not of the score
}

// orders collects the words of the score that are registration, and the lines of a stops
// file. What was not understood goes to unread; instructions counts what of it speaks of stops.
func orders(s *score.Score, o *voicing.Organ, h hands, lines []voicing.StopsLine) (out []order, unread []score.Remark, instructions int) {
	for _, w := range s.Words {
		if w.Kind != score.Direction && w.Kind != score.Speed && w.Kind != score.Text && w.Kind != score.Marker || score.IsAnnotation(w.Text) ||
			!strings.ContainsFunc(w.Text, isWordRune) || score.AsksAssistant(w.Text) { // a comma is a breath
			continue
		}
		if _, ok := feetWord(w); ok { // see feetRest
			continue
		}
		c, ok := voicing.ParseRegistration(o, w.Text)
		if w.Part >= 0 && c.Division < 0 && len(c.Afresh) == 0 && (!ok && len(c.Read) == 0 || stopsMoved(c) || c.Draw.Couplers|c.Retire.Couplers != 0) { // words over a staff concern its division
			if own, good := voicing.ParseRegistration(o, o.Divisions[h.at(w.Part, w.At)].Name+": "+w.Text); good || !ok {
				c, ok = own, good
			}
		}
		if !ok {
			if _, manual := manualNamed(o, w); manual && w.Part >= 0 && !o.Divisions[h.at(w.Part, w.At)].Pedal {
				continue // played: see handsOf
			}
			taken := len(c.Read) > 0 && effective(c) && (stopsMoved(c) || len(c.Reduce) > 0 || c.Draw.Couplers|c.Retire.Couplers != 0)
			switch {
			case taken: // what is understood is done
				unread = append(unread, score.Remark{At: w.At, Part: w.Part, Text: fmt.Sprintf("of %q not read as registration: %s", w.Text, strings.Join(c.Unread, ", "))})
				instructions++
			case w.Kind == score.Direction || len(c.Read) > 0 && effective(c):
				text, piston := fmt.Sprintf("words not read as registration: %q", w.Text), voicing.NamesPiston(w.Text)
				if piston {
					text = fmt.Sprintf("%q is not played: nothing says what this piston is set to; write the stops over the staff or in a stops file", w.Text)
				}
				unread = append(unread, score.Remark{At: w.At, Part: w.Part, Text: text})
				if piston || voicing.SpeaksOfStops(o, w.Text) {
					instructions++
				}
			}
			if !taken {
				continue
			}
		}
		if effective(c) {
			out = append(out, order{w.At, c, fmt.Sprintf("%q in the score", w.Text), false})
		}
	}
	for _, l := range lines {
		at, ok := tickOf(s, l.Bar, l.Beat)
		if !ok {
			instructions++
			unread = append(unread, score.Remark{Part: -1, Text: fmt.Sprintf("stops file line %d: the score has no bar %d", l.Line, l.Bar)})
			continue
		}
		if len(l.Change.Unread) > 0 {
			instructions++
			unread = append(unread, score.Remark{At: at, Part: -1, Text: fmt.Sprintf("stops file line %d: not understood: %s", l.Line, strings.Join(l.Change.Unread, ", "))})
		}
		out = append(out, order{at, l.Change, fmt.Sprintf("stops file line %d", l.Line), true})
	}
	slices.SortStableFunc(out, func(a, b order) int { return cmp.Compare(a.at, b.at) })
	return out, unread, instructions
}

// Reads reports whether the player takes words for an instruction: a dynamic, stops, a manual, an assistant.
func Reads(o *voicing.Organ, w score.Word) bool {
	if w.Kind == score.Mark || w.Kind == score.Hairpin || score.AsksAssistant(w.Text) {
		return true
	}
	if _, ok := feetWord(w); ok {
		return true
	}
	if _, manual := manualNamed(o, w); manual {
		return true
	}
	c, _ := voicing.ParseRegistration(o, w.Text)
	return len(c.Read) > 0 && effective(c)
}

func isWordRune(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }

// stopsMoved reports whether a change draws or retires stops.
func stopsMoved(c voicing.RegChange) bool {
	return c.Draw.Stops != [voicing.MaxDivisions]uint64{} || c.Retire.Stops != [voicing.MaxDivisions]uint64{}
}

// effective reports whether a change moves anything.
func effective(c voicing.RegChange) bool {
	return c.General > 0 || len(c.Box) > 0 || c.Draw != (voicing.Registration{}) || c.Retire != (voicing.Registration{}) ||
		len(c.Afresh)+len(c.Reduce) > 0
}

// tickOf is the place of a bar and beat as printed.
func tickOf(s *score.Score, bar int, beat float64) (score.Tick, bool) {
	for _, b := range s.Bars {
		if b.Number == bar {
			at := b.Start + score.Tick((beat-1)*float64(s.BeatTicks(b.Metre)))
			return max(b.Start, min(at, b.Start+b.Length)), true
		}
	}
	return 0, false
}

// changes draws for every division that plays what its dynamic asks for, and lets words
// override it: a division whose stops are named keeps them from there on.
func changes(s *score.Score, o *voicing.Organ, passages []Passage, words []order) []Change {
	at := []score.Tick{0}
	for _, p := range passages {
		at = append(at, p.From)
	}
	for _, w := range words {
		at = append(at, w.at)
	}
	slices.Sort(at)
	at = slices.Compact(at)
	var out []Change
	var held [voicing.MaxDivisions]string
	named := map[int]bool{}   // divisions whose stops were named
	coupled := map[int]bool{} // divisions whose couplers were named
	fixed := map[int]bool{}   // of these, the ones named by a stops file, which a mark does not undo
	var r voicing.Registration
	coming := slices.Clone(passages)
	slices.SortStableFunc(coming, func(a, b Passage) int { return cmp.Compare(a.From, b.From) })
	var active []Passage // those that hold at t
	for _, t := range at {
		active = slices.DeleteFunc(active, func(p Passage) bool { return t >= max(p.To, p.From+1) })
		for ; len(coming) > 0 && coming[0].From <= t; coming = coming[1:] {
			active = append(active, coming[0])
		}
		why, moved := dynamicsAt(o, active, t, &held)
		for _, p := range active { // a mark later than the words goes before them
			if d := p.Division; p.From == t && p.Source == fromMark && t > 0 && !fixed[d] && (named[d] || coupled[d]) {
				delete(named, d)
				delete(coupled, d)
				moved = true
			}
		}
		if moved {
			plan := o.Draw(held)
			for d := range named {
				plan.Stops[d] = r.Stops[d]
			}
			for i, cp := range o.Couplers {
				if coupled[cp.From] {
					plan.Couplers = plan.Couplers&^(1<<i) | r.Couplers&(1<<i)
				}
			}
			r = plan
		}
		for ; len(words) > 0 && words[0].at == t; words = words[1:] {
			c := words[0].change
			r = c.Apply(o, r)
			for _, d := range slices.Concat(c.Afresh, c.Reduce) {
				named[d] = true
				fixed[d] = fixed[d] || words[0].file
			}
			for i, cp := range o.Couplers {
				if (c.Draw.Couplers|c.Retire.Couplers)>>i&1 != 0 {
					coupled[cp.From] = true
					fixed[cp.From] = fixed[cp.From] || words[0].file
				}
			}
			why = join(why, words[0].why)
		}
		if n := len(out) - 1; n >= 0 && out[n].Registration == r {
			continue
		}
		out = append(out, Change{AtS: s.Seconds(t), Tick: t, Registration: r, Why: why})
	}
	return out
}

// dynamicsAt brings held up to the passages that hold at t and says why.
func dynamicsAt(o *voicing.Organ, passages []Passage, t score.Tick, held *[voicing.MaxDivisions]string) (why string, moved bool) {
	var now [voicing.MaxDivisions]score.Dynamic
	for d := range now {
		now[d] = score.None
	}
	for _, p := range passages {
		now[p.Division] = max(now[p.Division], p.Dynamic)
		if p.From == t {
			why = join(why, fmt.Sprintf("%s on %s", p.Dynamic, o.Divisions[p.Division].Name))
		}
	}
	for d := range now {
		if now[d] != score.None && held[d] != now[d].String() {
			held[d], moved = now[d].String(), true
		}
	}
	return why, moved
}

// boxWords are the box moves that words ask for.
func boxWords(s *score.Score, o *voicing.Organ, words []order) []BoxMove {
	var out []BoxMove
	for _, w := range words {
		for _, d := range slices.Sorted(maps.Keys(w.change.Box)) {
			if o.Divisions[d].Enclosed {
				t := s.Seconds(w.at)
				out = append(out, BoxMove{t, d, w.change.Box[d]})
			}
		}
	}
	return out
}
