package voicing

import (
	"slices"
	"strings"
	"sync"
)

// tradeStops are names of stops in four languages and what kind of stop they are (common practice), for an organ that
// has no stop of just that name: a single stop, at 8 ft where no length is given.
var tradeStops = sync.OnceValue(func() map[string]func(*Stop) bool {
	stops := map[string]func(*Stop) bool{}
	for kind, names := range map[*func(*Stop) bool]string{
		kind(ofFamily(Principal)): "prinzipal principale montre prestant praestant oktave octave ottava oktav doublette superoktave fifteenth diapason geigenprinzipal open principal",
		kind(ofFamily(Flute)): "gedackt gedeckt gedact bourdon flöte floete rohrflöte hohlflöte waldflöte spitzflöte blockflöte querflöte flûte flauto traverso " +
			"nachthorn quintadena subbass subbaß cor bordone stopped lieblich bassflöte flötenbass melodia clarabella claribel soubasse subbasso contrabasso contrabbasso contrebasse flute kontrabass untersatz doppelflöte",
		kind(ofFamily(String)): "gamba gambe viola viole violone violonbass cello salicional salizional dulciana aeoline fugara gemshorn string",
		kind(ofFamily(Reed)): "trompete trumpet trompette tromba oboe hautbois cromorne cremona krummhorn clarinet klarinette clarinette dulzian fagott fagotto basson bassoon " +
			"posaune bombarde trombone bombarda regal schalmei cornopean clarion clairon horn vox tuba",
		kind((*Stop).Mixture):  "mixtur ripieno fourniture cymbel zimbel cymbale scharf acuta",
		kind((*Stop).mutation): "quinte quint nazard nasard terz tierce larigot sesquialtera twelfth cornet kornett cornetto",
		kind((*Stop).celeste):  "schwebung unda",
	} {
		for _, n := range strings.Fields(names) {
			stops[plainLetters(n)] = *kind
		}
	}
	return stops
})

func kind(f func(*Stop) bool) *func(*Stop) bool { return &f }

// fillers are words of a registration that move nothing.
var fillers = map[string]bool{"only": true, "solo": true, "ft": true, "feet": true, "organ": true, "the": true, "nur": true, "seul": true, "seule": true,
	"seuls": true, "seules": true, "allein": true, "stop": true, "with": true, "mit": true, "avec": true, "con": true, "de": true, "des": true, "jeu": true,
	"jeux": true, "stops": true, "stimme": true, "stimmen": true, "register": true, "registers": true, "large": true, "small": true, "first": true, "second": true, "third": true, "wood": true, "metal": true, "harmonic": true,
	"les": true, "le": true, "la": true, "du": true, "and": true, "und": true, "et": true, "sehr": true, "very": true, "très": true, "molto": true, "basses": true, "fuß": true, "fuss": true, "pieds": true, "p": true, "piedi": true, "humana": true, "maris": true, "rank": true, "ranks": true}

// softWords ask for the softest of the stops that would do.
var softWords = map[string]bool{"soft": true, "softly": true, "softest": true, "quiet": true, "leise": true, "sanft": true, "sanfte": true,
	"zart": true, "zarte": true, "doux": true, "douce": true, "doucement": true, "sommesso": true}

// gentleWords ask for it where a length stands beside them or they are said of the pedal: alone they say how to play.
var gentleWords = map[string]bool{"light": true, "lightly": true, "dolce": true, "dolci": true}

// reduceWords ask for fewer stops than are drawn.
var reduceWords = map[string]bool{"reduce": true, "reduced": true, "reduzieren": true, "schwächer": true, "diminuez": true, "diminuer": true,
	"réduire": true, "reducir": true, "ridurre": true, "softer": true, "weniger": true, "moins fort": true, "diminish": true, "lighter": true, "thinner": true}

// uncoupledWords take in every coupler of a keyboard.
var uncoupledWords = map[string]bool{"uncoupled": true, "uncouple": true, "no coupler": true, "no couplers": true, "without coupler": true,
	"without couplers": true, "couplers off": true, "ohne koppel": true, "ohne koppeln": true, "koppel ab": true, "abkoppeln": true, "sans tirasse": true, "all couplers off": true, "sans accouplements": true, "gekoppelt ab": true, "sans tirasses": true, "sans accouplement": true,
	"ôtez tirasse": true, "senza unione": true, "senza unioni": true, "coupler off": true}

// takeSoft takes the words for soft out of a line and reports whether there were any.
func takeSoft(text string) (rest string, soft bool) {
	f := func(r rune) bool { return r == ' ' || r == '\t' }
	if !strings.ContainsFunc(text, f) {
		return text, false
	}
	words := strings.FieldsFunc(text, f)
	gentle := strings.ContainsAny(text, "123468") || slices.ContainsFunc(words, func(w string) bool { // "Ped. dolce"; "Pedal: dolce" is expression on a staff
		return IsPedalName(w) && !strings.HasSuffix(w, ":")
	})
	kept := words[:0]
	for _, w := range words {
		bare := strings.ToLower(strings.Trim(w, ".,;:()"))
		if softWords[bare] || gentleWords[bare] && gentle {
			soft = true
			if end := w[len(strings.TrimRight(w, ",;:")):]; end != "" && len(kept) > 0 {
				kept[len(kept)-1] += end
			}
			continue
		}
		kept = append(kept, w)
	}
	if !soft {
		return text, false
	}
	return strings.Join(kept, " "), true
}

// reduced is what is drawn with the stops of a division taken down to about half of them: the loudest step of its plan that has
// no more.
func (o *Organ) reduced(r Registration, d int) Registration {
	most := (bitsOf(r.Stops[d]) + 1) / 2
	best := o.plan[0].draws[d]
	for i := range marks {
		if p := o.plan[i].draws[d]; o.plan[i].given[d] && p.Stops[d] != 0 && (bitsOf(p.Stops[d]) <= most || best.Stops[d] == 0) {
			best = p
		}
	}
	r.Stops[d] = best.Stops[d]
	for c, cp := range o.Couplers {
		if cp.From == d && !cp.Fixed {
			r.Couplers = r.Couplers&^(1<<c) | best.Couplers&(1<<c)&r.Couplers
		}
	}
	return r
}

func bitsOf(x uint64) int {
	n := 0
	for ; x != 0; x &= x - 1 {
		n++
	}
	return n
}

// softestOf keeps, of the stops of each length, the softest to the ear.
func (o *Organ) softestOf(d int, stops uint64) uint64 {
	type softest struct {
		stop int
		phon float64
	}
	best := map[float64]softest{}
	for s := range o.Divisions[d].Stops {
		if stops>>s&1 == 0 {
			continue
		}
		stop := &o.Divisions[d].Stops[s]
		phon := stop.phon()
		if b, ok := best[stop.Feet]; !ok || phon < b.phon {
			best[stop.Feet] = softest{s, phon}
		}
	}
	out := uint64(0)
	for _, b := range best {
		out |= 1 << b.stop
	}
	return out
}

// alike are trade names of the same stop in several languages, each line one stop.
var alike = [][]string{{"oboe", "hautbois"}, {"trumpet", "trompete", "trompette", "tromba", "cornopean"}, {"trombone", "posaune", "bombarde", "bombarda"},
	{"bassoon", "basson", "fagott", "fagotto", "dulzian"}, {"cromorne", "krummhorn", "cremona", "clarinet", "klarinette", "clarinette"}, {"clarion", "clairon"},
	{"gedackt", "gedeckt", "gedact", "bourdon", "bordone", "stopped", "lieblich"}, {"subbass", "bourdon"}, {"salicional", "salizional"},
	{"nazard", "nasard", "quinte", "quint", "twelfth"}, {"tierce", "terz"}, {"octave", "oktave", "ottava", "oktav", "principal"}, {"principal", "prinzipal", "principale", "montre", "diapason", "prestant"}}

// oneOfEach keeps, of the stops of each length that a single name may mean, the one that bears that name in some language,
// else the softest.
func (o *Organ) oneOfEach(d int, stops uint64, name string) uint64 {
	means := func(s int) bool {
		own := strings.Fields(plainLetters(o.Divisions[d].Stops[s].Name))
		for _, w := range own {
			if w == name {
				return true
			}
			for _, names := range alike {
				has, is := false, false
				for _, n := range names {
					has, is = has || n == name, is || n == w
				}
				if has && is {
					return true
				}
			}
		}
		return false
	}
	named := uint64(0)
	for s := range o.Divisions[d].Stops {
		if stops>>s&1 != 0 && means(s) {
			named |= 1 << s
		}
	}
	best := map[float64]bool{}
	for s := range o.Divisions[d].Stops {
		if named>>s&1 != 0 {
			best[o.Divisions[d].Stops[s].Feet] = true
		}
	}
	rest := uint64(0)
	for s := range o.Divisions[d].Stops {
		if stops>>s&1 != 0 && !best[o.Divisions[d].Stops[s].Feet] {
			rest |= 1 << s
		}
	}
	return o.softestOf(d, named) | o.softestOf(d, rest)
}

// plainLetters is a word in lower case without accents.
func plainLetters(s string) string {
	return unaccented.Replace(strings.ToLower(s))
}

var unaccented = strings.NewReplacer("é", "e", "è", "e", "ê", "e", "û", "u", "ß", "ss", "ä", "a", "ö", "o", "ü", "u")

// SpeaksOfStops reports whether words that were not understood speak of the organ all the same: of a division, a stop, a
// length in feet, a coupler, a box.
func SpeaksOfStops(o *Organ, text string) bool {
	for _, w := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return strings.ContainsRune(" ,;:()[]+&", r) }) {
		w = strings.Trim(w, ".'’′\"")
		if len([]rune(w)) < 2 {
			continue
		}
		_, kind := kindWords()[plainLetters(w)]
		_, trade := tradeStops()[plainLetters(w)]
		_, division := roleNames()[w]
		if kind || trade || division || w == "16" || w == "32" || strings.HasPrefix(w, "coupl") || strings.HasPrefix(w, "koppel") || strings.HasPrefix(w, "tirasse") || strings.HasPrefix(w, "accoupl") ||
			strings.HasPrefix(w, "union") || strings.HasPrefix(w, "boîte") ||
			w == "piston" || w == "general" || w == "stop" || w == "stops" || w == "box" || w == "schweller" || w == "registration" {
			return true
		}
	}
	return false
}
