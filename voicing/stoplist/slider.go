package stoplist

import (
	"slices"

	"afterchord/acoustics/lazyregexp"
)

// German and Swiss builders of small organs give one row of pipes two sliders, so that a stop is drawn on one keyboard or on another, never on both.

// eitherKeyboard is the word for it behind a stop.
var eitherKeyboard = lazyregexp.New(`(?i)wechselschleife|\bws\b`)

// starsElsewhere says in the heading of a division on which keyboard its stops with a star are drawn as well: "(Wechselschleifen * auch auf I)".
var starsElsewhere = lazyregexp.New(`(?i)\*[^()]*? (?:auch|wahlweise|oder|also|aussi|anche|ook) (?:auf|im|vom|von|on|from|sur|su|op) (?:manual |man\. ?)?(I{1,3}|IV|[1-4])\b`)

// sharesSlider tells whether a stop has the pipes of one that stands in another division already, from which a slider gives it.
func (r *reader) sharesSlider(division int, s *foundStop) bool {
	if !eitherKeyboard.MatchString(s.Text) && !eitherKeyboard.MatchString(r.list.Lines[len(r.list.Lines)-1].Text) {
		return false
	}
	for i := range r.list.Divisions {
		if i != division && slices.ContainsFunc(r.list.Divisions[i].Stops, func(x Stop) bool { return x.Kind == s.Kind && x.Feet == s.Feet }) {
			return true
		}
	}
	return false
}

// onEither gives the stops that stand under the heading of two manuals to the second of them too, as borrowed ones.
func (r *reader) onEither() {
	l := r.list
	said := false
	for i := range l.Divisions {
		for _, s := range l.Divisions[i].Stops {
			if s.either == 0 {
				continue
			}
			to := slices.IndexFunc(l.Divisions, func(d Division) bool { return d.Number == s.either && !d.Pedal })
			if to < 0 {
				to = len(l.Divisions)
				d := l.Divisions[i]
				l.Divisions = append(l.Divisions, Division{Name: manualName(s.either), Number: s.either, LowKey: d.LowKey, HighKey: d.HighKey, Enclosed: d.Enclosed, order: to})
			}
			s.either, s.Borrowed, s.Assumed = 0, true, append(slices.Clone(s.Assumed), "its pipes are "+l.Divisions[i].Name+"'s")
			l.Divisions[to].Stops = append(l.Divisions[to].Stops, s)
			said = true
		}
	}
	if said {
		l.Assumed = append(l.Assumed, "stops under the heading of two manuals are drawn on one or on the other: they stand in both")
	}
}

// lessWind says that a soft bass is a louder one on less wind: "Zartbaß 16' (Windabschwächung)".
var lessWind = lazyregexp.New(`(?i)windabschw`)

// onLessWind tells whether a pedal stop has the pipes of another of its kind and length, which get less wind.
func (r *reader) onLessWind(division int, s *foundStop) bool {
	d, at := &r.list.Divisions[division], r.list.Lines[len(r.list.Lines)-1]
	return d.Pedal && softBass.MatchString(s.Name) && lessWind.MatchString(at.Text) && slices.ContainsFunc(d.Stops, func(x Stop) bool {
		return x.Kind == s.Kind && x.Feet == s.Feet && !x.Borrowed
	})
}

// softBass is the name of such a bass.
var softBass = lazyregexp.New(`(?i)^(?:zart|sanft|still|echo)[ -]?b`)
