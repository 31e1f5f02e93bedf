package voicing

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"

	"afterchord/acoustics/lazyregexp"
)

// boxWords is where the box stands at each word, 0 shut … 1 open.
var boxWords = map[string]float64{
	"closed": 0, "shut": 0, "close": 0, "fermé": 0, "zu": 0, "chiuso": 0, "chiusa": 0,
	"fermée": 0, "fermées": 0, "fermee": 0, "fermez": 0, "geschlossen": 0, "chiuse": 0, "chiudere": 0, "shut down": 0,
	"ouverte": 1, "ouvertes": 1, "ouvrez": 1, "offen": 1, "geöffnet": 1, "aperte": 1, "aprire": 1, "fully open": 1, "halb offen": 0.5, "à demi ouverte": 0.5, "demi ouverte": 0.5, "mezzo aperta": 0.5,
	"half": 0.5, "half open": 0.5, "half closed": 0.5, "open": 1, "ouvert": 1, "auf": 1, "aperto": 1, "aperta": 1,
}

var boxNouns = []string{"swell box", "boxes", "box", "shutters", "shades", "boîte expressive", "boîtes", "boîte", "boites", "boite", "jalousieschweller", "jalousien", "schwellkasten", "schweller", "cassa", "griglie"}

// box reads "box closed", "boxes open", "box half open", "box 30%", and "closed" behind a division.
func (c *RegChange) box(o *Organ, p string) bool {
	q := strings.Trim(strings.ToLower(p), " .")
	word := ""
	for _, n := range boxNouns {
		if rest, found := strings.CutPrefix(q, n+" "); found {
			word = strings.Trim(rest, " .")
			break
		}
		if rest, found := strings.CutSuffix(q, " "+n); found { // "open the box"
			word = rest
			for _, a := range articles {
				word = strings.TrimSuffix(word, " "+strings.TrimSpace(a))
			}
			break
		}
	}
	if _, bare := boxWords[q]; bare && c.Division >= 0 { // "Récit fermé", "SW geschlossen"
		word = q
	}
	if word == "" {
		return false
	}
	open, known := boxWords[word]
	if !known {
		x, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(word, "%")), 64)
		if err != nil || !(x >= 0 && x <= 100) {
			return false
		}
		open = x / 100
	}
	done := false
	for d := range o.Divisions {
		if o.Divisions[d].Enclosed && (c.Division < 0 || c.Division == d) {
			if c.Box == nil {
				c.Box = map[int]float64{}
			}
			c.Box[d] = open
			c.Read = append(c.Read, fmt.Sprintf("%s box %.0f %% open", o.Divisions[d].Name, 100*open))
			done = true
		}
	}
	return done
}

// tremulant reads "tremulant", "tremulant off", "trem. on".
func (c *RegChange) tremulant(o *Organ, p, sign string) bool {
	q := strings.ToLower(p)
	rest, found := q, false
	for _, w := range []string{"tremulant", "tremolo", "tremblant", "trem.", "trem"} {
		if rest, found = strings.CutPrefix(q, w); found {
			break
		}
	}
	rest = strings.Trim(rest, " .")
	if !found || rest != "" && rest != "on" && rest != "off" {
		return false
	}
	done := false
	for d := range o.Divisions {
		if o.Divisions[d].TremulantHz == 0 || c.Division >= 0 && c.Division != d {
			continue
		}
		done = true
		if rest == "off" || sign == "-" {
			c.Retire.Tremulants |= 1 << d
			c.Read = append(c.Read, o.Divisions[d].Name+": Tremulant off")
		} else {
			c.Draw.Tremulants |= 1 << d
			c.Read = append(c.Read, o.Divisions[d].Name+": Tremulant")
		}
	}
	return done
}

// mark reads "Gt mf": the division's dynamic plan, in place of what was drawn.
func (c *RegChange) mark(o *Organ, p string) bool {
	if c.Division < 0 || markIndex(strings.ToLower(p)) < 0 {
		return false
	}
	r := o.Plan(strings.ToLower(p), c.Division)
	c.Draw = c.Draw.With(r)
	c.afresh()
	c.Read = append(c.Read, o.Divisions[c.Division].Name+" as "+strings.ToLower(p))
	return true
}

// kindWords is the words for groups of stops, without accents.
var kindWords = sync.OnceValue(func() map[string]func(*Stop) bool {
	words := map[string]func(*Stop) bool{
		"flutes": ofFamily(Flute), "principals": ofFamily(Principal),
		"diapasons": ofFamily(Principal), "strings": ofFamily(String),
		"reed": ofFamily(Reed), "reeds": ofFamily(Reed), "anches": ofFamily(Reed), "zungen": ofFamily(Reed),
		"fonds":       func(s *Stop) bool { return s.Family != Reed && !s.Mixture() && !s.mutation() },
		"foundations": func(s *Stop) bool { return s.Family != Reed && !s.Mixture() && !s.mutation() },
		"foundation":  func(s *Stop) bool { return s.Family != Reed && !s.Mixture() && !s.mutation() },
		"flue":        func(s *Stop) bool { return s.Family != Reed },
		"flues":       func(s *Stop) bool { return s.Family != Reed },
		"mixture":     (*Stop).Mixture, "mixtures": (*Stop).Mixture,
		"mutation": (*Stop).mutation, "mutations": (*Stop).mutation,
		"celeste": (*Stop).celeste, "celestes": (*Stop).celeste,
		"full": func(*Stop) bool { return true }, "tutti": func(*Stop) bool { return true }, "all": func(*Stop) bool { return true },
	}
	for names, k := range map[string]string{
		"flöten flûtes flauti": "flutes", "prinzipale principali montres": "principals", "streicher gamben gambes violen archi": "strings",
		"zungenstimmen rohrwerke trompetten ance": "reeds", "mixturen ripieni": "mixtures", "aliquoten": "mutations",
		"grundstimmen grundstimme fondi fond": "foundations", "labiale": "flues", "plenum pleno organo-pleno werk plein-jeu": "full",
		"céleste voix-céleste célestes": "celestes",
	} {
		for _, n := range strings.Fields(names) {
			words[plainLetters(n)] = words[k]
		}
	}
	return words
})

func ofFamily(f Family) func(*Stop) bool {
	return func(s *Stop) bool { return s.Family == f && !s.Mixture() && !s.celeste() }
}

// Mixture tells whether the stop has several ranks and is not an acoustic bass.
func (s *Stop) Mixture() bool { return len(s.Ranks) > 1 && !s.resultant() }

// resultant tells whether the stop is an octave and a fifth whose difference is heard as the length on its knob: an acoustic 32 ft of 16 and 10 2/3 ft
// (common practice).
func (s *Stop) resultant() bool {
	if len(s.Ranks) != 2 || s.Feet < 16 {
		return false
	}
	octave, fifth := s.Ranks[0].Breaks[0].Feet, s.Ranks[1].Breaks[0].Feet
	return math.Abs(octave-s.Feet/2) < 0.01 && math.Abs(fifth-s.Feet/3) < 0.01
}

func (s *Stop) celeste() bool { return s.DetuneCents != 0 }

// mutation tells whether the stop sounds another note than an octave of the key.
func (s *Stop) mutation() bool {
	octaves := math.Log2(8 / s.Feet)
	return !s.Mixture() && math.Abs(octaves-math.Round(octaves)) > 0.01
}

var lengthWord = lazyregexp.New(`\d+ \d+/\d+|\d+/\d+|\d+`)

// stops reads names ("Octave 4", "Mixture") or lengths and groups ("8' flutes", "16", "8 4 2").
func (c *RegChange) stops(o *Organ, p, sign string) bool {
	var hit Registration
	var names []string
	take := func(d, s int) {
		if hit.Stops[d]>>s&1 == 0 {
			hit.Stops[d] |= 1 << s
			names = append(names, o.Divisions[d].Name+": "+o.Divisions[d].Stops[s].Name)
		}
	}
	m := newMatcher(p, c.kind, c.Division >= 0, c.Division >= 0 && o.Divisions[c.Division].Pedal)
	match, strange := m.match, m.strange
	for pass := range 2 { // exact names first, then what the words mean
		for d := range o.Divisions {
			if c.Division >= 0 && c.Division != d {
				continue
			}
			for s := range o.Divisions[d].Stops {
				stop := &o.Divisions[d].Stops[s]
				if pass == 0 && sameStop(stop.Name, p) || pass == 1 && match != nil && match(stop) {
					take(d, s)
				}
			}
		}
		if len(names) > 0 {
			if pass == 0 {
				strange = nil
			}
			break
		}
	}
	if len(names) == 0 && m.single && c.Division >= 0 && m.flue { // no such stop: a quiet one of that length stands in
		for s := range o.Divisions[c.Division].Stops {
			if stop := &o.Divisions[c.Division].Stops[s]; m.feet(stop) && stop.Family != Reed && !stop.celeste() {
				take(c.Division, s)
			}
		}
	}
	if len(names) == 0 {
		return false
	}
	c.kind = m.kind
	if m.single {
		for d := range o.Divisions {
			hit.Stops[d] = o.oneOfEach(d, hit.Stops[d], m.name)
		}
		names = o.Describe(Registration{Stops: hit.Stops})
	}
	c.Unread = append(c.Unread, strange...)
	if c.soft && sign != "-" {
		for d := range o.Divisions {
			hit.Stops[d] = o.softestOf(d, hit.Stops[d])
		}
		names = o.Describe(Registration{Stops: hit.Stops})
	}
	switch {
	case sign == "-":
		c.Retire = c.Retire.With(hit)
		for i := range names {
			names[i] += " off"
		}
	default:
		c.Draw = c.Draw.With(hit)
		if sign == "" && c.Division >= 0 {
			c.afresh()
		}
	}
	c.Read = append(c.Read, names...)
	return true
}

// sameStop compares engraved names, with or without the length.
func sameStop(name, p string) bool {
	a, b := stopWords(name), stopWords(p)
	return a == b || strings.HasPrefix(a, b) && strings.TrimSpace(feetAtEnd.ReplaceAllString(a, "")) == b
}

var plainStopWords = strings.NewReplacer("'", "", "′", "", "’", "", "é", "e", "è", "e", " ft", "")

func stopWords(s string) string {
	return strings.Join(strings.Fields(plainStopWords.Replace(strings.ToLower(s))), " ")
}

// matcher is what a text of lengths, group words and trade names picks.
type matcher struct {
	match   func(*Stop) bool // nil where nothing is known
	feet    func(*Stop) bool // by length alone
	kind    func(*Stop) bool // by kind alone; nil for any
	single  bool             // a single stop is named: name, in trade words
	name    string
	flue    bool     // of a stop that is no reed, mixture or celeste
	strange []string // words not known, which are let pass beside known ones where a division is named
}

// newMatcher reads a text. Lengths alone are of the kind before them ("Principal 8, 4").
func newMatcher(p string, before func(*Stop) bool, lenient, pedal bool) matcher {
	var m matcher
	q := stopWords(p)
	for _, x := range phrases {
		q = strings.ReplaceAll(q, x.phrase, x.word)
	}
	var feet []float64
	for _, w := range lengthWord.FindAllString(q, -1) {
		if f, ok := ParseFeet(w); ok {
			feet = append(feet, f)
		}
	}
	var kinds []func(*Stop) bool
	for _, w := range strings.Fields(lengthWord.ReplaceAllString(q, " ")) {
		w = plainLetters(strings.Trim(w, ".:"))
		k, known := kindWords()[w]
		stop, trade := tradeStops()[w]
		trade = trade && (w != "open" || w != q)
		switch {
		case known:
			kinds = append(kinds, k)
		case trade:
			kinds, m.single, m.name = append(kinds, stop), true, w
		case w == "" || fillers[w]:
		default:
			m.strange = append(m.strange, w)
		}
	}
	if len(feet) == 0 && len(kinds) == 0 && strings.Contains(" "+q+" ", " stops ") {
		kinds = append(kinds, kindWords()["all"])
	}
	if len(feet) == 0 && len(kinds) == 0 || len(m.strange) > 0 && (!lenient || len(m.strange) > 2) {
		return matcher{}
	}
	m.single = m.single && len(kinds) == 1
	if usual, ok := usualFeet[m.name]; m.single && len(feet) == 0 && ok {
		feet = []float64{usual[0]}
		if pedal {
			feet[0] = usual[1]
		}
	} else if m.single && len(feet) == 0 && !kinds[0](&Stop{Feet: 8.0 / 3, Family: Flute, Ranks: make([]Rank, 1)}) {
		feet = []float64{8}
	}
	m.kind = before
	if len(kinds) > 0 {
		m.kind = func(s *Stop) bool {
			for _, k := range kinds {
				if k(s) {
					return true
				}
			}
			return false
		}
	}
	reed := Stop{Family: Reed}
	celeste := Stop{DetuneCents: 5}
	m.flue = m.kind != nil && !m.kind(&reed) && !m.kind(&celeste) && !m.kind(&Stop{Feet: 8.0 / 3, Family: Flute, Ranks: make([]Rank, 1)})
	m.feet = func(s *Stop) bool {
		in := len(feet) == 0
		for _, f := range feet {
			in = in || !s.Mixture() && math.Abs(s.Feet-f) < 1e-6
		}
		return in
	}
	m.match = func(s *Stop) bool {
		in := m.feet(s) || m.single && s.Mixture() // a length says nothing of a mixture
		if m.kind == nil {
			return in && s.Family != Reed && !s.celeste()
		}
		return in && m.kind(s)
	}
	return m
}
