package stoplist

import (
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
	"afterchord/voicing"
)

// A unit organ draws many stops from a few long ranks. Its list names the ranks by letters, "B. Stopped Flute, 16-2, 97 pipes", and each stop gives the
// letter of its own, "Nazard 2 2/3 (B)": its pipes are that rank's, whatever the knob is called.

// unit is one rank of many pitches.
type unit struct {
	name string
	kind *Kind
}

var (
	unitLine = lazyregexp.New(`^\s*(?:(?i:unit|rank) )?[(\[]?([A-Z])[)\]]?\s*[.:=\-–]?\s+(\pL[\pL'. \-]*?)\s*(?:[,;:(|]|\.{2,}|\s-\s|\d|$)`)
	// unitStop is a stop with its letter, and behind it what else is said: "Double Diapason 16 (A, TC)".
	unitStop = lazyregexp.New(`^(.*(?:\d ?'?|ranks?|rks?\.?|\b[IVX]+)) *(?:[(\[]([A-Z])(?:[,;] *([^()]*))?[)\]]|\s([A-Z]))[ .]*$`)
	// unitWithin is a bracket that ends with the letter: "(15.19, from C)".
	unitWithin = lazyregexp.New(`^(.*[(\[][^()]*?)[,;]? *(?:from|of|ext\.?) (?:unit |rank )?([A-Z])([)\]])[ .]*$`)
)

// findUnits finds the ranks and the stops that are drawn from them, takes the letters off the stops, and gives the lines as they are read on.
func (r *reader) findUnits(lines []string) []string {
	units, at := map[string]unit{}, map[int]string{}
	for i, l := range lines {
		m := unitLine.FindStringSubmatch(tidy(l))
		if m == nil || m[1][0] != byte('A'+len(units)) {
			continue
		}
		if k, how, _ := table().lookUp(strings.TrimSpace(m[2]), asked{lang: "en"}); k != nil && how <= byBeginning {
			units[m[1]] = unit{strings.TrimSpace(m[2]), k}
			at[i] = m[1]
		}
	}
	if len(units) < 2 {
		return lines
	}
	out := slices.Clone(lines)
	stops := map[int]string{}
	for i, l := range lines {
		l = tidy(l)
		if at[i] != "" || looksLikeCoupler(l) {
			continue
		}
		if m := unitStop.FindStringSubmatch(l); m != nil && units[m[2]+m[4]].kind != nil {
			stops[i], out[i] = m[2]+m[4], m[1]
			if m[3] != "" {
				out[i] += " (" + m[3] + ")"
			}
		} else if m := unitWithin.FindStringSubmatch(l); m != nil && units[m[2]].kind != nil {
			stops[i], out[i] = m[2], strings.TrimRight(m[1], " ,;")+m[3]
		}
	}
	if len(stops) < len(units)+1 {
		return lines
	}
	r.units, r.unitLines, r.unitStops = units, at, stops
	return out
}

// ofUnit gives a stop the pipes of its rank.
func (r *reader) ofUnit(s *Stop) {
	letter := r.unitStops[r.at]
	u := r.units[letter]
	if u.kind == nil {
		return
	}
	s.unit = letter
	if s.Kind.Compound == "" {
		s.Kind, s.Stopped = u.kind, u.kind.Construction == voicing.Stopped
	}
}

// lendUnits says which stops borrow: of each rank all but one, which is at 8 ft on a manual where there is such a one.
func (r *reader) lendUnits() {
	for letter, u := range r.units {
		var owner *Stop
		best := 0
		each := func(do func(i int, s *Stop)) {
			for i := range r.list.Divisions {
				for k := range r.list.Divisions[i].Stops {
					if s := &r.list.Divisions[i].Stops[k]; s.unit == letter {
						do(i, s)
					}
				}
			}
		}
		each(func(i int, s *Stop) {
			rank := 1
			if s.Feet == 8 {
				rank += 4
			}
			if fold(s.Name) == fold(u.name) {
				rank += 2
			}
			if !r.list.Divisions[i].Pedal && s.LowKey == 0 {
				rank += 3
			}
			if s.Kind.Compound != "" {
				rank = 0
			}
			if rank > best {
				owner, best = s, rank
			}
		})
		each(func(i int, s *Stop) {
			if s != owner && !s.Borrowed {
				was := r.list.stopText(i, s)
				s.Borrowed = true
				r.retell(s, was, r.list.stopText(i, s))
			}
		})
	}
}
