package stoplist

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"afterchord/voicing"
)

// sheet is what a list says, to be printed again in other layouts in the words of its language.
type sheet struct {
	lang      string
	words     sheetWords
	divisions []sheetDivision
	couplers  []sheetCoupler
	facts     map[string]string // by label: "action", "pitch"
}

type sheetDivision struct {
	name      string
	role      string
	number    int // of the manual; 0 for the pedal
	pedal     bool
	tremulant bool
	low, high int
	stops     []sheetStop
}

type sheetStop struct {
	name  string
	kind  *Kind
	feet  float64
	ranks int // of a compound stop
	half  int // 1 for the bass, 2 for the treble
}

type sheetCoupler struct{ sounds, keys, shift int } // indexes into divisions, semitones

// sheetWords are the words that lists of a language are printed with.
type sheetWords struct {
	feet       [2]string // behind the number
	ranks      string
	halves     [3]string
	stops      string
	manual     string
	compass    func(low, high int) string
	tremulant  string
	couplers   string
	coupler    func(sounds, keys string, pedal bool) string
	octaves    map[int]string
	action     string
	actions    map[string]string
	pitch      string
	before     string
	after      string
	unitBefore bool
}

func helmholtz(low, high int) string {
	return "C–" + strings.ToLower(strings.TrimRight(voicing.KeyText(high), "0123456789")) + strings.Repeat("’", high/12-4)
}

func solmized(low, high int) string {
	return fmt.Sprintf("Do1-%s%d", []string{"Do", "Do#", "Re", "Re#", "Mi", "Fa", "Fa#", "Sol", "Sol#", "La", "La#", "Si"}[high%12], high/12-2)
}

func keyNumber(notes string) func(low, high int) string {
	return func(low, high int) string { return fmt.Sprintf("%d %s", high-low+1, notes) }
}

var wordsOfSheets = map[string]sheetWords{
	"en": {feet: [2]string{" ft", "ft"}, ranks: "%d ranks", halves: [3]string{"", "Bass", "Treble"}, stops: "%d stops", manual: "Manual", compass: keyNumber("notes"), tremulant: "Tremulant", couplers: "Couplers",
		coupler: func(s, k string, _ bool) string { return s + " to " + k }, octaves: map[int]string{12: " Octave", -12: " Sub Octave"},
		action: "Action", actions: map[string]string{"tracker": "mechanical", "electric": "electric", "electro-pneumatic": "electro-pneumatic"}, pitch: "Pitch",
		before: "The organ was built in 1890 by a builder of the town and stands in the west gallery.", after: "An electric blower raises the wind. Services are held on Sunday at 10.30. All are welcome."},
	"de": {feet: [2]string{" Fuß", " Fuss"}, ranks: "%dfach", halves: [3]string{"", "Bass", "Diskant"}, stops: "%d Register", manual: "Manual", compass: helmholtz, tremulant: "Tremulant", couplers: "Koppeln",
		coupler: func(s, k string, _ bool) string { return s + " an " + k }, octaves: map[int]string{12: "Superoktavkoppel ", -12: "Suboktavkoppel "}, unitBefore: true,
		action: "Traktur", actions: map[string]string{"tracker": "mechanisch", "electric": "elektrisch", "electro-pneumatic": "elektropneumatisch"}, pitch: "Stimmtonhöhe",
		before: "Die Orgel wurde 1890 von einem Meister der Stadt erbaut und steht auf der Westempore.", after: "Die Gottesdienste beginnen sonntags um 10.30 Uhr. Alle sind herzlich eingeladen."},
	"fr": {feet: [2]string{" pieds", " p."}, ranks: "%d rangs", halves: [3]string{"", "basse", "dessus"}, stops: "%d jeux", manual: "Clavier", compass: keyNumber("notes"), tremulant: "Tremblant", couplers: "Accouplements",
		coupler: func(s, k string, pedal bool) string {
			if pedal {
				return "Tirasse " + s
			}
			return s + " sur " + k
		}, octaves: map[int]string{12: "Octaves aiguës ", -12: "Octaves graves "}, unitBefore: true,
		action: "Transmission", actions: map[string]string{"tracker": "mécanique", "electric": "électrique", "electro-pneumatic": "électropneumatique"}, pitch: "Diapason",
		before: "L’orgue fut construit en 1890 par un facteur de la ville et se trouve en tribune.", after: "Le ventilateur électrique fournit le vent. La messe est célébrée le dimanche à 10h30."},
	"it": {feet: [2]string{" piedi", " p."}, ranks: "%d file", halves: [3]string{"", "Bassi", "Soprani"}, stops: "%d registri", manual: "Tastiera", compass: solmized, tremulant: "Tremolo", couplers: "Unioni",
		coupler: func(s, k string, _ bool) string { return "Unione " + s + " al " + k }, octaves: map[int]string{12: "Superottava ", -12: "Sottottava "}, unitBefore: true,
		action: "Trasmissione", actions: map[string]string{"tracker": "meccanica", "electric": "elettrica", "electro-pneumatic": "elettropneumatica"}, pitch: "Corista",
		before: "L’organo fu costruito nel 1890 da un organaro della città ed è collocato in cantoria.", after: "Le messe si celebrano la domenica alle 10.30."},
	"es": {feet: [2]string{" pies", " p."}, ranks: "%d hileras", halves: [3]string{"", "mano izquierda", "mano derecha"}, stops: "%d registros", manual: "Teclado", compass: solmized, tremulant: "Trémolo", couplers: "Acoplamientos",
		coupler: func(s, k string, _ bool) string { return s + " al " + k }, octaves: map[int]string{12: "Octavas agudas ", -12: "Octavas graves "}, unitBefore: true,
		action: "Transmisión", actions: map[string]string{"tracker": "mecánica", "electric": "eléctrica", "electro-pneumatic": "electroneumática"}, pitch: "Afinación",
		before: "El órgano fue construido en 1890 por un organero de la ciudad y está en el coro alto.", after: "La misa se celebra los domingos a las 10.30."},
	"nl": {feet: [2]string{" voet", " vt"}, ranks: "%d sterk", halves: [3]string{"", "bas", "discant"}, stops: "%d stemmen", manual: "Manuaal", compass: helmholtz, tremulant: "Tremulant", couplers: "Koppelingen",
		coupler: func(s, k string, _ bool) string { return s + " aan " + k }, octaves: map[int]string{12: "Superoctaafkoppel ", -12: "Suboctaafkoppel "}, unitBefore: true,
		action: "Tractuur", actions: map[string]string{"tracker": "mechanisch", "electric": "elektrisch", "electro-pneumatic": "elektro-pneumatisch"}, pitch: "Toonhoogte",
		before: "Het orgel werd in 1890 door een bouwer uit de stad gebouwd en staat op de galerij.", after: "De dienst begint zondag om 10.30 uur. Allen zijn welkom."},
	"sv": {feet: [2]string{" fot", " ft"}, ranks: "%d kor", halves: [3]string{"", "bas", "diskant"}, stops: "%d stämmor", manual: "Manual", compass: helmholtz, tremulant: "Tremulant", couplers: "Koppel",
		coupler: func(s, k string, _ bool) string { return s + "/" + k }, octaves: map[int]string{12: "Superoktavkoppel ", -12: "Suboktavkoppel "}, unitBefore: true,
		action: "Traktur", actions: map[string]string{"tracker": "mekanisk", "electric": "elektrisk", "electro-pneumatic": "elektropneumatisk"}, pitch: "Tonhöjd",
		before: "Orgeln byggdes 1890 av en mästare i staden och står på västra läktaren.", after: "Gudstjänst firas söndag kl 10.30. Alla är välkomna."},
}

// sheetOf is what a list says: its divisions with known headings, the stops that go through the whole compass or half of it, its couplers, tremulants and facts.
func sheetOf(l *List) sheet {
	s := sheet{lang: l.Language, facts: map[string]string{}}
	if _, known := wordsOfSheets[s.lang]; !known {
		s.lang = map[bool]string{true: "en", false: "sv"}[s.lang == ""] // "sv" around the Baltic
	}
	s.words = wordsOfSheets[s.lang]
	at := map[int]int{} // index of a division in the sheet
	manual := 0
	for i, d := range l.Divisions {
		if !d.Pedal {
			manual++
		}
		if _, ok := heading(d.Name); !ok || len(d.Stops) == 0 {
			continue
		}
		p := sheetDivision{name: d.Name, role: d.Role, pedal: d.Pedal, tremulant: d.Tremulant, low: d.LowKey, high: d.HighKey}
		if !d.Pedal {
			p.number = manual
		}
		for _, x := range d.Stops {
			if len(severalDegrees(x.Name)) > 0 { // "XXVI-XXIX" is name and ranks
				continue
			}
			t := sheetStop{name: x.Name, kind: x.Kind, feet: x.Feet}
			if t.ranks = x.Ranks; x.Kind.Compound == "" {
				if t.ranks = 0; x.Ranks > 1 {
					continue
				}
			} else if x.Least != x.Ranks || x.Ranks < 2 {
				continue
			}
			switch {
			case x.LowKey == 0 && x.HighKey == 0:
			case x.LowKey == 0 && x.HighKey >= 57 && x.HighKey <= 62:
				t.half = 1
			case x.HighKey == 0 && x.LowKey >= 58 && x.LowKey <= 63:
				t.half = 2
			default:
				continue
			}
			p.stops = append(p.stops, t)
		}
		if len(p.stops) == 0 {
			continue
		}
		at[i] = len(s.divisions)
		s.divisions = append(s.divisions, p)
	}
	for _, c := range l.Couplers {
		sounds, ok := at[c.Sounds]
		keys, also := at[c.Keys]
		if ok && also && sounds != keys && (c.Shift == 0 || c.Shift == 12 || c.Shift == -12) {
			s.couplers = append(s.couplers, sheetCoupler{sounds, keys, c.Shift})
		}
	}
	if a := s.words.actions[l.Facts.Action]; a != "" {
		s.facts["action"] = a
	}
	if l.Facts.PitchHz > 0 {
		s.facts["pitch"] = fmt.Sprintf("a’ = %.0f Hz", l.Facts.PitchHz)
	}
	return s
}

// plainly drops the stops whose name and length do not say all: what is left is read whole where it is printed plainly.
func (s sheet) plainly() sheet {
	l := Read(layout{}.print(s))
	known := map[string]bool{}
	s.compare(l, asks{}, func(m string) { known[m] = true })
	for i := range s.divisions {
		d := &s.divisions[i]
		d.stops = slices.DeleteFunc(slices.Clone(d.stops), func(x sheetStop) bool { return known[x.missed(d)] })
	}
	return s
}

func (s sheetStop) missed(d *sheetDivision) string {
	return fmt.Sprintf("%s: %s %v %d", d.name, s.name, s.feet, s.ranks)
}

// score is how much of a sheet is in a reading of it.
type score struct{ stops, ofStops, couplers, ofCouplers, facts, ofFacts, more int }

func (s *score) add(x score) {
	s.stops, s.ofStops = s.stops+x.stops, s.ofStops+x.ofStops
	s.couplers, s.ofCouplers = s.couplers+x.couplers, s.ofCouplers+x.ofCouplers
	s.facts, s.ofFacts = s.facts+x.facts, s.ofFacts+x.ofFacts
	s.more += x.more
}

func (s score) share() float64 {
	return 100 * float64(s.stops+s.couplers+s.facts) / float64(max(1, s.ofStops+s.ofCouplers+s.ofFacts))
}

// compare counts what of a sheet is in the reading of a print of it: stops in their division, of their kind, length, ranks and half; couplers; tremulants,
// compasses, action and pitch. more is the number of stops and couplers that it has not. What is missing is written to missed.
func (s sheet) compare(l *List, say asks, missed func(string)) score {
	var out score
	division := make([]int, len(s.divisions)) // in the reading
	found := make([]int, len(l.Divisions))
	for i := range found {
		found[i] = -1
	}
	for i, d := range s.divisions {
		named, _ := heading(d.name) // "Récit Expressif" is the enclosed Récit
		division[i] = slices.IndexFunc(l.Divisions, func(x Division) bool {
			return (plain(x.Name) == plain(d.name) || x.Name == named.Name) && x.Pedal == d.pedal
		})
		if division[i] < 0 && !d.pedal { // headed by the number of its manual
			division[i] = slices.IndexFunc(l.Divisions, func(x Division) bool { return x.Number == d.number && x.Role == "" })
		}
		if division[i] >= 0 {
			found[division[i]] = i
		}
	}
	read := 0
	for _, d := range l.Divisions {
		read += len(d.Stops)
	}
	for i, d := range s.divisions {
		var left []Stop
		if division[i] >= 0 {
			left = slices.Clone(l.Divisions[division[i]].Stops)
		}
		for _, x := range d.stops {
			out.ofStops++
			k := slices.IndexFunc(left, func(y Stop) bool {
				return y.Kind == x.kind && (y.Feet == x.feet || x.ranks > 0 && !say.feet) && (x.ranks == 0 || y.Ranks == x.ranks) && (x.half == 1) == (y.HighKey > 0) && (x.half == 2) == (y.LowKey > 0)
			})
			if k < 0 {
				missed(x.missed(&d))
				continue
			}
			left = slices.Delete(left, k, k+1)
			out.stops++
		}
		for _, y := range left {
			missed(fmt.Sprintf("+ %s: %s [%s %v %d %d-%d] from %q", d.name, y.Name, y.Kind.Name, y.Feet, y.Ranks, y.LowKey, y.HighKey, y.Text))
		}
		if d.tremulant {
			out.ofFacts++
			if division[i] >= 0 && l.Divisions[division[i]].Tremulant {
				out.facts++
			} else {
				missed("tremulant of " + d.name)
			}
		}
		if say.compass && d.high > 0 && d.low == 36 {
			out.ofFacts++
			if division[i] >= 0 && l.Divisions[division[i]].HighKey == d.high {
				out.facts++
			} else {
				missed("compass of " + d.name)
			}
		}
	}
	out.more = max(0, read-out.stops)
	couplers := 0
	for _, c := range s.couplers {
		out.ofCouplers++
		if slices.ContainsFunc(l.Couplers, func(x Coupler) bool {
			return found[x.Sounds] == c.sounds && found[x.Keys] == c.keys && x.Shift == c.shift
		}) {
			couplers++
		} else {
			missed("coupler " + s.divisions[c.sounds].name + " to " + s.divisions[c.keys].name + fmt.Sprint(" ", c.shift))
		}
	}
	out.couplers = couplers
	out.more += max(0, len(l.Couplers)-couplers)
	for _, label := range slices.Sorted(maps.Keys(s.facts)) {
		out.ofFacts++
		if label == "action" && s.words.actions[l.Facts.Action] == s.facts[label] || label == "pitch" && fmt.Sprintf("a’ = %.0f Hz", l.Facts.PitchHz) == s.facts[label] {
			out.facts++
		} else {
			missed(label)
		}
	}
	return out
}
