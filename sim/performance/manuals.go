package performance

import (
	"fmt"
	"slices"
	"strings"

	"afterchord/sim/score"
	"afterchord/voicing"
)

// manualChange is a part going to another manual.
type manualChange struct {
	at       score.Tick
	division int
}

// hands are the manuals of each part of a score over time.
type hands struct {
	as      []Assignment
	changes [][]manualChange
	low     map[int]bool // notes that the feet take from the hands, by index
	home    map[int]int  // notes of a voice that visits another staff, and the part where it is at home
	pedal   int
}

// at is the division on which a part is played at a tick.
func (h hands) at(part int, t score.Tick) int {
	division := h.as[part].Division
	for _, c := range h.changes[part] {
		if c.at > t {
			break
		}
		division = c.division
	}
	return division
}

// handsOf follows the words over the staves that name a manual: its name or number alone
// ("Sw.", "II"), or, over a staff that has no division of its own by name, with the stops to
// play on ("II 8, 4") where no other division stands beside it as in a list of stops. A part
// that the user has assigned stays where it is. Parts that begin elsewhere are assigned there.
func handsOf(s *score.Score, o *voicing.Organ, as []Assignment) hands {
	h := hands{as: as, changes: make([][]manualChange, len(as))}
	type place struct {
		at   score.Tick
		part int
	}
	listed := map[place]int{} // words with stops of a division
	for _, w := range s.Words {
		if _, ok := stopsOf(o, w); ok {
			listed[place{w.At, w.Part}]++
		}
	}
	first := make([]score.Tick, len(as))
	for i := range first {
		first[i] = s.End
	}
	for _, n := range s.Notes {
		first[n.Part] = min(first[n.Part], n.On)
	}
	for _, w := range s.Words {
		if w.Kind != score.Direction && w.Kind != score.Text || w.Part < 0 || w.Part >= len(as) {
			continue
		}
		a := &as[w.Part]
		if a.Silent || a.Why == byUser || o.Divisions[a.Division].Pedal {
			continue
		}
		w.Part = handMeant(s, w)
		a = &as[w.Part]
		if a.Silent || a.Why == byUser || o.Divisions[a.Division].Pedal {
			continue
		}
		d, ok := manualNamed(o, w)
		if !ok && !strings.HasPrefix(a.Why, byName) && listed[place{w.At, w.Part}] == 1 {
			d, ok = stopsOf(o, w)
		}
		if !ok || o.Divisions[d].Pedal {
			continue
		}
		if w.At <= first[w.Part] {
			if a.Division == d {
				continue
			}
			a.Division, a.Why = d, fmt.Sprintf("%q over its beginning", w.Text)
			h.changes[w.Part] = nil
			continue
		}
		cs := h.changes[w.Part]
		if n := len(cs); n > 0 && cs[n-1].at == w.At {
			cs = cs[:n-1]
		}
		h.changes[w.Part] = append(cs, manualChange{w.At, d})
	}
	h.repeat(s)
	for i := range h.changes { // words that say again what holds change nothing
		division := as[i].Division
		h.changes[i] = slices.DeleteFunc(h.changes[i], func(c manualChange) bool {
			same := c.division == division
			division = c.division
			return same
		})
	}
	for i, cs := range h.changes {
		var places []string
		for _, c := range cs[:min(len(cs), 4)] {
			places = append(places, fmt.Sprintf("%s from bar %d", o.Divisions[c.division].Name, s.Position(c.at).Bar))
		}
		if len(cs) > 4 {
			places = append(places, fmt.Sprintf("%d more changes", len(cs)-4))
		}
		if len(places) > 0 {
			as[i].Why += "; by the words over it on the " + strings.Join(places, ", ")
		}
	}
	h.move(s, o)
	return h
}

// repeat takes the hands back to where they were the first time where the music goes back.
func (h hands) repeat(s *score.Score) {
	type printed struct {
		number int
		label  string
	}
	first := map[printed]score.Tick{}
	for i, b := range s.Bars {
		k := printed{b.Number, b.Label}
		at, before := first[k]
		if !before {
			first[k] = b.Start
			continue
		}
		if i > 0 && b.Number == s.Bars[i-1].Number+1 { // goes on from the bar before it
			continue
		}
		for part, cs := range h.changes {
			n := slices.IndexFunc(cs, func(c manualChange) bool { return c.at >= b.Start })
			if n < 0 {
				n = len(cs)
			}
			if d := h.at(part, at); d != h.at(part, b.Start) && (n == len(cs) || cs[n].at > b.Start) {
				h.changes[part] = slices.Insert(cs, n, manualChange{b.Start, d})
			}
		}
	}
}

// otherSense are names of divisions that mean something else over the staff of an organ
// without such a division: without pedal, a leading line, an echo, the right hand.
var otherSense = map[string]bool{"man": true, "manual": true, "manuals": true, "manuale": true, "solo": true, "assolo": true,
	"echo": true, "eco": true, "espressivo": true, "recitativo": true, "r": true, "so": true, "go": true}

// manualNamed is the manual that words name and nothing else.
func manualNamed(o *voicing.Organ, w score.Word) (division int, ok bool) {
	if w.Kind != score.Direction && w.Kind != score.Text {
		return 0, false
	}
	text := strings.TrimSpace(w.Text)
	text = voicing.WithoutOpening(text)
	if len(text) > 3 && strings.EqualFold(text[:3], "to ") {
		text = text[3:]
	}
	plain := strings.ToLower(strings.Trim(text, " ."))
	if otherSense[plain] || strings.Trim(plain, "0123456789") == "" {
		own := slices.ContainsFunc(o.Divisions, func(d voicing.Division) bool { return strings.EqualFold(d.Name, plain) })
		if plain == "" || !own {
			return 0, false
		}
	}
	d, ok := o.DivisionByName(text)
	return d, ok && !o.Divisions[d].Pedal
}

// handMeant is the part that words speak of: with "L.H." over the upper staff of two hands the lower one, with "R.H." over the
// lower the upper.
func handMeant(s *score.Score, w score.Word) int {
	p := s.Parts[w.Part]
	other := 0
	switch head, _, _ := strings.Cut(strings.ToLower(strings.ReplaceAll(strings.TrimSpace(w.Text), ".", "")), " "); head {
	case "lh", "mg", "ms":
		if p.Staff == 1 {
			other = 2
		}
	case "rh", "md":
		if p.Staff == 2 {
			other = 1
		}
	}
	for i, x := range s.Parts {
		if other > 0 && x.Track == p.Track && x.Staff == other {
			return i
		}
	}
	return w.Part
}

// stopsOf is the division whose stops words give.
func stopsOf(o *voicing.Organ, w score.Word) (division int, ok bool) {
	if w.Kind != score.Direction {
		return 0, false
	}
	c, ok := voicing.ParseRegistration(o, w.Text)
	return c.Division, ok && c.Division >= 0 && c.Mode == voicing.Replace && c.Draw.Stops != voicing.Registration{}.Stops
}

// onManuals cuts passages where their part changes manual.
func (h hands) onManuals(passages []Passage) []Passage {
	var out []Passage
	for _, p := range passages {
		p.Division = h.at(p.Part, p.From)
		for _, c := range h.changes[p.Part] {
			if c.at > p.From && c.at < p.To {
				rest := p
				p.To = c.at
				out = append(out, p)
				p = rest
				p.From, p.Division = c.at, c.division
			}
		}
		out = append(out, p)
	}
	return out
}

// prepared are the dynamics of manuals to which the hands come later by the words over a staff, from the start of the piece:
// what stands idle is prepared before the first note.
func (h hands) prepared(o *voicing.Organ, passages []Passage) []Passage {
	var out []Passage
	for d := range o.Divisions {
		first, moved := Passage{From: -1}, false
		for _, p := range passages {
			if p.Division == d && (first.From < 0 || p.From < first.From) {
				first = p
			}
		}
		for _, cs := range h.changes {
			for _, c := range cs {
				moved = moved || c.division == d
			}
		}
		if moved && first.From > 0 {
			first.From, first.To = 0, first.From
			out = append(out, first)
		}
	}
	return out
}
