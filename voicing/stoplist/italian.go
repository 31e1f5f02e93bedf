package stoplist

import (
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// Italian organs with a keyboard in two halves have knobs whose length and half go without saying (common practice of the Lombard and
// Venetian builders of the eighteenth and nineteenth centuries).

// italianLengths are the lengths that such a list does not print.
var italianLengths = []struct {
	name   *lazyregexp.Regexp
	halves bool // only beside halves
	feet   float64
}{
	{lazyregexp.New(`(?i)^fagott`), false, 8}, // the bass of the Tromba
	{lazyregexp.New(`(?i)^bass[oi] armonic`), false, 8},
	{lazyregexp.New(`(?i)^tromboncin`), false, 8},
	{lazyregexp.New(`(?i)^violoncello`), true, 8},
	{lazyregexp.New(`(?i)^(?:contro|contra)fagott`), false, 16},
	{lazyregexp.New(`(?i)^corn[oi] (?:inglese|inglesi)`), true, 16},
	{lazyregexp.New(`(?i)^viola(?:$| bassi)`), true, 4},
	{lazyregexp.New(`(?i)^clarone`), true, 4},
}

// venetianTromboni are the pedal reeds of an organ that has Tromboncini, of 8 ft (common practice of Venice).
var venetianTromboni = lazyregexp.New(`(?i)^tromboni(?: a[il] pedal[ei])?$`)

// trebleKnobs begin at the treble half; the others only where their length goes without saying too.
var (
	trebleKnobs     = lazyregexp.New(`(?i)^(?:voce umana|cornetta)$`)
	trebleUnprinted = lazyregexp.New(`(?i)^(?:corn[oi] ingles[ei]|corni? da caccia|flutta|flauto traverso)$`)
)

// speaksOfHalves tells a list that parts its knobs.
var speaksOfHalves = lazyregexp.New(`\b(?:bassi|soprani|b\. ?s\.|div\.)|\d'? [bs]\.?(?:$| \n)`)

func (r *reader) inHalves() bool {
	return r.list.Language == "it" && (r.halves || r.trebleKey > 0 || speaksOfHalves.MatchString(r.whole))
}

// italianLength is the length of an Italian knob that goes without saying; 0 for any other.
func (r *reader) italianLength(name string, k *Kind) float64 {
	if r.list.Language != "it" || k.Compound != "" {
		return 0
	}
	if venetianTromboni.MatchString(name) && r.isVenetian() {
		return 8
	}
	for _, l := range italianLengths {
		if l.name.MatchString(name) && (!l.halves || r.inHalves()) {
			return l.feet
		}
	}
	return 0
}

// aboveContras is the length of an octave, a twelfth or a fifteenth without a printed one in the pedal of an Italian or Iberian organ, which counts
// from the 16 ft that stands first there; 0 for anything else.
func (r *reader) aboveContras(k *Kind) float64 {
	if !r.inPedal() || r.list.Language != "it" && r.list.Language != "es" {
		return 0
	}
	if stops := r.list.Divisions[r.current].Stops; len(stops) == 0 || stops[0].Feet != 16 || k.Compound != "" {
		return 0
	}
	return map[string]float64{"Octave": 8, "Twelfth": 5 + 1.0/3, "Fifteenth": 4}[k.Name]
}

// isVenetian tells an organ of Venice by its reeds of short resonators.
func (r *reader) isVenetian() bool {
	return r.list.Language == "it" && strings.Contains(r.whole, "tromboncin")
}

// venetianKind is what a knob of such an organ means there where it means another stop elsewhere: the Cornetta is a tierce, the Violoncello in halves a reed
// (common practice); nil for any other.
func (r *reader) venetianKind(name, half string, printed float64, ranks int) *Kind {
	switch low := plain(name); {
	case !r.isVenetian():
	case low == "cornetta" && printed == 0 && ranks == 0:
		return table().best(fold("Terza"), asked{})
	case low == "violoncello" && half != "" && (printed == 0 || printed == 8):
		return table().best(fold("Regale"), asked{})
	}
	return nil
}

// italianTreble tells whether a stop belongs to the treble half though its line does not say so.
func (r *reader) italianTreble(s *foundStop) bool {
	name := strings.TrimSpace(s.Name)
	return s.LowKey == 0 && s.HighKey == 0 && r.half == "" && r.inHalves() && (trebleKnobs.MatchString(name) || !s.printedFeet && trebleUnprinted.MatchString(name))
}

// facadeCount is how many pipes of a stop stand in the front: "facciata di 23 canne".
var facadeCount = lazyregexp.New(`(?i)[, ]*(?:in |en )?(?:facciata|prospetto|mostra|fachada|cara|façana)(?: di| de| con| amb)? \d{1,3} (?:canne|tubos|caños|tubs)`)
