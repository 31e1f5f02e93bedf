package stoplist

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

var (
	pitchText    = lazyregexp.New(`(?i)(?:^|[^\pL])(?:(?:a|la|a ?1|a ?'|a'|la ?3)(?:[^\pL\d][^\d\n]{0,30}?|)|(?:stimmtonhöhe|stimmung|tonhöhe|pitch|diapason|corista|toonhoogte|afinación|kammerton|accord)[^\d\n]{0,30}?)(3[5-9]\d|4\d\d)(?:[.,](\d))? ?(?:hz|hertz|herz|vibr)?`)
	pitchHz      = lazyregexp.New(`(?i)(?:^|[^\d])(3[5-9]\d|4[0-9]\d)(?:[.,](\d))? ?(?:hz|hertz)`)
	windText     = lazyregexp.New(`(?i)(?:wind ?druck|winddruck|vindtry\pL+|lufttry\pL+|ilmanpaine|tuulenpaine|wind ?pressure|wind|pression|pressione|press\.|presión|winddruk|druk|w\.p\.)[^\n]{0,40}?(?:(\d{2,3})(?:[.,]\d)? ?(?:mm|ws|wk)|(\d(?:[ -]?\d/\d|\.\d+)?) ?(?:"|inches|inch|ins?\.|''))`)
	windInches   = lazyregexp.New(`(?i)(wind(?: ?pressures?)?(?: of| is)?:? ?)(\d(?: \d/\d|\.\d+)?)'`) // where the sign for inches was taken for one of feet
	windMM       = lazyregexp.New(`(?i)(\d{2,3}) ?mm ?(?:ws|wc|wk|wassersäule|waterkolom|w\.s\.|d'eau|di colonna|c\.a\.|water)`)
	pedalWind    = lazyregexp.New(`(?i)ped\w*\.?:? ?(\d{2,3}) ?mm`)
	yearText     = lazyregexp.New(`(?:^|[^\d])(1[4-9]\d\d|20[0-2]\d)(?:$|[^\d])`)
	pistonText   = lazyregexp.New(`(?i)(?:^|[^\d.,])(\d{1,2}|one|two|three|four|five|six|seven|eight|nine|ten|twelve|eine|zwei|drei|vier|fünf|sechs|acht|zehn|zwölf|två|tre|fyra|to|fire) (?:adjustable |thumb |toe |reversible |programmable |freie |feste |fria |frie |fasta |faste |free |fixed |libres? |vrije |libere )*(general|generals|pistons?|composition pistons?|composition pedals|combination pistons?|combination pedals|freie kombination(?:en)?|kombination(?:en|er)?|kollektiv(?:tritte?|knöpfe?|drücker)|combinaisons?|combinazioni|vrije combinaties|foot pistons|toe studs|pistoncini)`)
	setterText   = lazyregexp.New(`(?i)setzer|combinator|combinateur|sequencer|memory levels|levels of memory|memories|piston sequencer|level capture|capture system|elektronische kombination|combination action|stepper`)
	generalsText = lazyregexp.New(`(?i)\bgenerals?(?: pistons?)?:? *(?:nos?\. ?)?1 ?(?:-|to|thru|through) ?(\d{1,2})(?:$|\D)`) // "General 1-8"
)

// countsOther is a number that looks like a pitch and counts money, pipes or people.
var countsOther = lazyregexp.New(`(?i)[£$€] ?\d|\b(?:3[5-9]\d|4\d\d) ?(?:pounds|guineas|dollars|pipes|seats|people|sittings|worshippers|euros?|marks?|francs?|pfeifen|tuyaux|canne|pijpen|mark|gulden)\b`)

// worksKnobs is the action of what the player works beside the keys, and the mechanism in prose, which says nothing of the keys.
var worksKnobs = lazyregexp.New(`\b(?:mechanical|pneumatic|electric|tubular-pneumatic|electro-pneumatic) (?:composition|combination|swell|thumb|toe|pistons?|stop|drawstop|registration)\b|\bmechanis(?:m|rn)\pL*|\belectric(?:al)?(?:ly)? (?:blow\pL*|fan|motor|light\pL*|wind\pL*)`)

// pistonsBehind is "Combinazioni aggiustabili generali: 8".
var pistonsBehind = lazyregexp.New(`(?i)\b(combinazioni|combinaisons|kombinationen|combinaties|combinaciones|combinations|pistons|pistoncini|generals)\b[^\d,;:/]{0,30}: ?(\d{1,2})$`)

// dynamicButtons are fixed combinations of the whole organ by their degrees.
var dynamicButtons = lazyregexp.New(`^(?:druckknopfe?|knopfe|feste kombinationen|kollektivtritte|kollektiver|trykknapper|tryckknappar)[: ]+\(?((?:p{1,3}|mp|mf|f{1,3}|tt|tutti|pleno)(?:, ?(?:p{1,3}|mp|mf|f{1,3}|tt|tutti|pleno))+)\)?\.?$`)

// countedCombinations are combinations of the whole organ with their number behind them.
var countedCombinations = lazyregexp.New(`^combinaisons? (?:generales?|libres?|ajustables?|programmables?)(?: \pL+)? ?: ?(\d{1,2})$`)

var temperamentWords = []struct{ word, name string }{
	{"werckmeister", "werckmeister iii"}, {"kirnberger", "kirnberger iii"}, {"vallotti", "vallotti"}, {"valotti", "vallotti"}, {"mitteltonig", "quarter-comma meantone"}, {"mitteltönig", "quarter-comma meantone"}, {"meantone", "quarter-comma meantone"}, {"mean tone", "quarter-comma meantone"}, {"mesotoni", "quarter-comma meantone"},
	{"middentoon", "quarter-comma meantone"}, {"mésotoni", "quarter-comma meantone"}, {"mezzotono", "quarter-comma meantone"}, {"gleichstufig", "equal"}, {"gleichschwebend", "equal"}, {"equal temperament", "equal"}, {"temperament: equal", "equal"}, {"equal", "equal"}, {"temperament egal", "equal"}, {"tempérament égal", "equal"}, {"equabile", "equal"},
	{"temperamento igual", "equal"}, {"evenredig zwevend", "equal"}, {"evenredigzwevend", "equal"}, {"liksvävande", "equal"}, {"liksvevende", "equal"}, {"ligesvævende", "equal"}, {"tasavireinen", "equal"}, {"medeltons", "quarter-comma meantone"}, {"middeltone", "quarter-comma meantone"}, {"keskisävel", "quarter-comma meantone"}, {"gelijkzwevend", "equal"},
}

var (
	// stepFrom is a pitch that lies a step above or below another.
	stepFrom  = lazyregexp.New(`(?:1/2|half|halve|halben?|hele|ganzen?|whole|a|un|mezzo|semi-?) ?(?:ton|toon|tone|tono|semitone|halbton|demi-ton) (?:boven|uber|above|au-dessus|sopra|hoger|hoher|(onder|unter|below|au-dessous|sotto|lager|tiefer))`)
	wholeStep = lazyregexp.New(`^(?:hele|ganz|whole|a tone|un ton[eo]?)`)
)

// otherTemperaments are named in lists and not built in: the equal one is taken, and that is said.
var otherTemperaments = []string{"neidhardt", "kellner", "young", "silbermann", "ungleich", "unequal", "inegal", "wohltemperiert", "well-tempered", "well tempered", "ordinaire", "lambert", "bach", "barnes", "tartini", "sorge", "fisk", "corrette", "rameau", "dom bedos", "trost", "lehman", "bendeler", "billeter", "stade", "janke", "schlick", "kirchhoff", "schnitger", "norden", "braunschweig", "pythagor", "bruder", "fritz", "marpurg", "stroebel", "gambold", "weimar", "billeter", "nordeutsch", "norddeutsch", "wegscheider", "chaumont", "modifi"}

var actionWords = []struct{ word, kind string }{
	{"tubular", "electro-pneumatic"}, {"electro-pneumatic", "electro-pneumatic"}, {"electropneumatic", "electro-pneumatic"}, {"electropneumatique", "electro-pneumatic"}, {"électropneumatique", "electro-pneumatic"}, {"elektropneumatisch", "electro-pneumatic"}, {"elettropneumatica", "electro-pneumatic"}, {"elektro-pneumatisch", "electro-pneumatic"}, {"electro-pneumatique", "electro-pneumatic"}, {"pneumati", "electro-pneumatic"}, {"pneum", "electro-pneumatic"},
	{"neumatic", "electro-pneumatic"}, {"mechanisch", "tracker"}, {"mech.", "tracker"}, {"elektr.", "electric"}, {"mechanical", "tracker"}, {"mecanique", "tracker"}, {"meccanic", "tracker"}, {"mecanica", "tracker"}, {"mecanico", "tracker"}, {"tracker", "tracker"}, {"mechanik", "tracker"}, {"barker", "tracker"},
	{"elektrisch", "electric"}, {"electric", "electric"}, {"elettrica", "electric"}, {"electrique", "electric"}, {"electrica", "electric"}, {"eletric", "electric"}, {"elettric", "electric"}, {"mechan", "tracker"}, {"mekanisk", "tracker"}, {"mekaani", "tracker"}, {"mehaani", "tracker"}, {"mehanisk", "tracker"}, {"pneumaat", "electro-pneumatic"}, {"sahkopneum", "electro-pneumatic"}, {"elektropneum", "electro-pneumatic"}, {"sahko", "electric"}, {"elektrili", "electric"}, {"elektrisk", "electric"}, {"elettronica", "electric"},
}

// forStops is the action of the stops: "pneumatico per i registri".
var forStops = lazyregexp.New(`(?:registr[oei]s?|registos)[ ,:]+(?:el[eèé]?t?tr\pL*|mec\pL*|pneum\pL*|neum\pL*)\.?|\pL+ (?:per i registri|für die register|fur die register|pour les jeux)`)

var (
	// blower is driven by a motor, which says nothing of the action.
	blower = lazyregexp.New(`(?:elektrisch\pL*|electric|electrique|elettric\pL|electric\pL) (?:orgel)?(?:geblase|motor\pL*|wind\pL*|ventilat\pL*|blow\pL*|souffl\pL*|ventilador)|(?:motore?|ventilatore|ventilateur|soufflerie|elettroventilatore|ventilador|soplador) (?:elettric\pL|electrique|electric[oa])`)
	// bothActions is the action of keys and stops in one word: "Spiel- und Registertraktur".
	bothActions = lazyregexp.New(`(?:spiel|ton|tasten)(?:traktur)?-? ?(?:und|u\.|&|/|\+) ?-?reg(?:ister)?(?:traktur(?:en)?|steuerung|\.|\b)`)
	// allInBox says that all pipes stand in a swell box.
	allInBox = lazyregexp.New(`enclosed (?:throughout )?in (?:a|one|the) general swell|enclosed in a general|all (?:the )?pipes (?:\pL+ )?(?:are )?enclosed|all enclosed|(?:whole|entire|complete) (?:organ|instrument|pipework)[^.;]{0,20} enclosed|enclosed throughout|one manual[^.;]{0,50}\benclosed\b|(?:gesamt|ganze)\pL* (?:\pL+ ){0,3}(?:ist|sind|steh\pL*|im|in|schwell)[^.;]{0,25}schwell|(?:gesamt|ganze)\pL* (?:orgel|werk|pfeifenwerk|instrument) schwell|generalschweller|entire organ enclosed|whole organ is enclosed|entirely enclosed|tutto (?:l'organo |il materiale )?in cassa espressiva|alle register (?:\pL+ ){0,2}(?:im schwell|schwellbar)`)
)

// keyAction finds the kind of key action in plain text: what stands next to the words for it, before what stands next to stops.
func keyAction(low string) string {
	low = blower.ReplaceAllString(forStops.ReplaceAllString(low, " "), " ")
	low = worksKnobs.ReplaceAllString(bothActions.ReplaceAllString(low, "spieltraktur "), " ")
	for _, cut := range []string{"registertraktur", "stop action", "stops action", "registersteuerung", "drawstop action", "tirage", "trasmissione dei registri", "registermechaniek", "register:", "stop:", "drawstops"} {
		if i := strings.Index(low, cut); i >= 0 {
			head, tail := low[:i], low[i+len(cut):]
			if strings.TrimSpace(head) == "" || !anyAction(head) {
				for _, key := range []string{"spieltraktur", "tontraktur", "key action", "action to", "manual action", "notes"} {
					if j := strings.Index(tail, key); j >= 0 {
						return actionOf(tail[j:])
					}
				}
				return ""
			}
			low = head
		}
	}
	return actionOf(low)
}

func anyAction(low string) bool { return actionOf(low) != "" }

func actionOf(low string) string {
	best, at := "", len(low)+1
	for _, w := range actionWords {
		if i := strings.Index(low, w.word); i >= 0 && i < at {
			best, at = w.kind, i
		}
	}
	return best
}

// actionSaid is the action that was taken as another kind, "" where a description can say it.
func actionSaid(low, kind string) string {
	switch low = blower.ReplaceAllString(low, " "); {
	case kind == "tracker" && strings.Contains(low, "barker"):
		return "Barker levers"
	case kind == "electro-pneumatic" && !containsAny(low, "electr", "elektr", "elettr", "eletr"):
		return "tubular-pneumatic"
	}
	return ""
}

// windOf is a pressure in mm of water from millimetres or from inches.
func windOf(mm, inches string) float64 {
	if mm != "" {
		if v := float64(atoi(mm)); v >= 30 && v <= 1500 {
			return v
		}
		return 0
	}
	inches = strings.ReplaceAll(inches, "-", " ")
	v := 0.0
	for _, part := range strings.Fields(inches) {
		if a, b, frac := strings.Cut(part, "/"); frac && atoi(b) > 0 {
			v += float64(atoi(a)) / float64(atoi(b))
		} else if x, err := strconv.ParseFloat(part, 64); err == nil {
			v += x
		}
	}
	if v < 1.5 || v > 60 {
		return 0
	}
	return math.Round(v * 25.4)
}

// facts reads what a line says of the whole organ; said is in words, empty where it says nothing.
func (l *List) facts(text string) (said []string) {
	low := plain(text)
	f := &l.Facts
	m := pitchHz.FindStringSubmatch(text)
	if m == nil && !countsOther.MatchString(text) {
		m = pitchText.FindStringSubmatch(text)
	}
	if m != nil {
		hz, _ := strconv.ParseFloat(m[1]+"."+m[2]+"0", 64)
		if step := stepFrom.FindStringSubmatch(low); step != nil && hz > 430 && hz < 446 { // "½ toon boven a1 = 440 Hz"
			semitones := 1.0
			if step[1] != "" {
				semitones = -1
			}
			if wholeStep.MatchString(step[0]) {
				semitones *= 2
			}
			hz = math.Round(hz * math.Pow(2, semitones/12))
		}
		f.PitchHz = hz
		said = append(said, fmt.Sprintf("A4 = %g Hz", hz))
	}
	said = append(said, l.temperament(low)...)
	winds := l.windsByDivision(text)
	for _, s := range sentences(text) {
		if len(winds) == 0 {
			winds = l.windsByDivision(strings.TrimSpace(s))
		}
	}
	if len(winds) > 0 {
		said = append(said, winds...)
	} else if m := windText.FindStringSubmatch(windInches.ReplaceAllString(text, `$1$2"`)); m != nil {
		if w := windOf(m[1], m[2]); w > 0 {
			f.WindMM = w
			said = append(said, fmt.Sprintf("wind %g mm", w))
		}
	} else if m := windMM.FindStringSubmatch(text); m != nil {
		f.WindMM = windOf(m[1], "")
		said = append(said, fmt.Sprintf("wind %g mm", f.WindMM))
	}
	if f.WindMM > 0 && len(winds) == 0 {
		if m := pedalWind.FindStringSubmatch(text); m != nil && strings.Contains(low, "mm") {
			f.PedalWindMM = float64(atoi(m[1]))
			said = append(said, fmt.Sprintf("pedal wind %g mm", f.PedalWindMM))
		}
	}
	if kind := keyAction(low); kind != "" && (len(low) < 60 || bothActions.MatchString(low) || containsAny(low, "action", "traktur", "transmission", "trasmissione", "traction", "transmision", "tracao", "traccion", "traccio", "mechaniek", "lade")) {
		if f.Action == "" {
			f.Action, f.ActionSaid = kind, actionSaid(low, kind)
		}
		switch as := actionSaid(low, kind); as {
		case "tubular-pneumatic":
			said = append(said, "pneumatic action")
		case "":
			said = append(said, kind+" action")
		default:
			said = append(said, kind+" action with "+as)
		}
	}
	if allInBox.MatchString(low) {
		f.AllEnclosed = true
		said = append(said, "all in one swell box")
	}
	for _, s := range sentences(text) {
		said = append(said, l.compasses(s, plain(s))...)
	}
	if m := generalsText.FindStringSubmatch(text); m != nil && atoi(m[1]) <= 40 {
		f.Pistons = max(f.Pistons, atoi(m[1]))
		said = append(said, fmt.Sprintf("%d general pistons", atoi(m[1])))
	} else if m := pistonText.FindStringSubmatch(text); m != nil {
		for _, next := range pistonText.FindAllStringSubmatch(text, -1) { // "5 thumb pistons to Great; 8 general pistons"
			if strings.Contains(strings.ToLower(next[0]), "general") {
				m = next
			}
		}
		n := atoi(m[1])
		if n == 0 {
			n = map[string]int{"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "twelve": 12, "eine": 1, "zwei": 2, "drei": 3, "vier": 4, "fünf": 5, "sechs": 6, "acht": 8, "zehn": 10, "zwölf": 12, "två": 2, "to": 2, "tre": 3, "fyra": 4, "fire": 4}[strings.ToLower(m[1])]
		}
		general := strings.Contains(strings.ToLower(m[2]), "general") || !containsAny(low, "great", "swell", "choir", "pedal", " gt", " sw", "pos")
		if general && n > f.Pistons {
			f.Pistons = n
		}
		said = append(said, fmt.Sprintf("%d %s", n, strings.ToLower(m[2])))
	} else if m := dynamicButtons.FindStringSubmatch(low); m != nil { // "Druckknöpfe: P, MF, F, TT"
		n := strings.Count(m[1], ",") + 1
		f.Pistons = max(f.Pistons, n)
		said = append(said, fmt.Sprintf("%d kombinationen", n))
	} else if m := pistonsBehind.FindStringSubmatch(text); m != nil && atoi(m[2]) <= 40 {
		if containsAny(low, "general") {
			f.Pistons = max(f.Pistons, atoi(m[2]))
		}
		said = append(said, m[2]+" "+strings.ToLower(m[1]))
	} else if m := countedCombinations.FindStringSubmatch(low); m != nil { // "Combinaisons générales : 6"
		f.Pistons = max(f.Pistons, atoi(m[1]))
		said = append(said, m[1]+" combinations")
	} else if setterText.MatchString(text) {
		f.Pistons = max(f.Pistons, 8)
		said = append(said, "combinations that can be set, taken as eight general pistons")
	}
	return said
}

// otherTemperament says that a temperament is not built in.
func (l *List) otherTemperament(name string) []string {
	if l.Facts.Temperament == "" {
		l.Facts.TemperamentSaid = name
	}
	l.Assumed = append(l.Assumed, "the temperament ("+name+") is not built in: equal temperament is taken")
	return []string{"a temperament that is not built in (" + name + "): equal is taken"}
}

// otherComma is a meantone temperament of another fraction of the comma than the quarter, or a modified one.
var otherComma = lazyregexp.New(`(?:1/(?:3|5|6|7|8) ?-? ?(?:syntonisches |pythagoreisches |syntonic |pythagorean )?-?(?:komma|comma)|(?:drittel|funftel|sechstel|siebtel|achtel|third|fifth|sixth)-? ?-?(?:komma|comma)|modifi\pL+ mitteltonig\pL*|mitteltonig\pL*,? modifi\pL+|gemildert\pL* mitteltonig\pL*)`)

func (l *List) temperament(low string) []string {
	if m := otherComma.FindString(low); m != "" {
		l.Facts.Temperament = "quarter-comma meantone"
		l.Assumed = append(l.Assumed, "the temperament ("+m+") is not built in: quarter-comma meantone, the nearest, is taken")
		return []string{l.Facts.Temperament + " temperament"}
	}
	unequal := containsAny(low, "ungleich", "unequal", "inegal", "inequabile", "desigual", "ongelijk")
	for _, w := range temperamentWords {
		if unequal && w.name == "equal" || !strings.Contains(low, plain(w.word)) {
			continue
		}
		if w.word == "equal" && !containsAny(low, "temper", "tuning") {
			continue
		}
		l.Facts.Temperament, l.Facts.TemperamentSaid = w.name, ""
		return []string{w.name + " temperament"}
	}
	if containsAny(low, "temper", "stemming", "afinacion", "stimmung", "stimmungsart", "temperatur", "accord") {
		for _, w := range otherTemperaments {
			if strings.Contains(low, w) {
				return l.otherTemperament(w)
			}
		}
	}
	return nil
}

var (
	// bothCounts are the keys of manuals and pedal: "Compass 61/32", "Compass: 58 / 30 notes", "61/30".
	bothCounts = lazyregexp.New(`(?i)(?:^|(?:[.,;] |\())(5[468]|61) ?/ ?(27|30|32)(?: (?:notes|keys|notas|note|tasti|toetsen|tasten|touches|teclas))?[.)]?$|(?:compass|keyboards?|manuals? (?:and|&) pedals?(?: of)?,?|(?:tasten)?umfang|omvang|étendue|estensione)[: ]+([4-6]\d) ?(?:notes)?/ ?(2\d|3[0-2])(?:$|[^\pL\d/]| notes| keys)`)
	// bothKeyboards is the compass of manuals and pedal and nothing else: "C-f3 / C-d1".
	bothKeyboards = lazyregexp.New(`^\(?(C[^/]{0,6}- ?[^/ ]{2,5}) ?/ ?(C[^/]{0,6}- ?[^/ )]{1,5})\)?$`)
	// footLevers are pedals that play no note: "3 composition pedals", "balanced swell pedal".
	footLevers = lazyregexp.New(`(?i)(?:composition|combination|expression|swell|crescendo|forte|piano|balanced|shifting) pedals?\b`)
)

// typedCompass are the keys of the manuals that stand before those of the pedal without a word for them: "cc-g 56 notes, pedals ccc-f 30".
var typedCompass = lazyregexp.New(`(?i)(?:^|, *)(?:cc? ?- ?[a-g]\d?'*,? )?[45]\d (?:notes|keys),? *p$`)

// compasses reads "Manuals C-g3, Pedal C-f1" and "2 claviers de 56 notes et pédalier de 30 marches".
func (l *List) compasses(text, low string) (said []string) {
	f := &l.Facts
	if m := bothCounts.FindStringSubmatch(text); m != nil {
		if keys, pedal := atoi(m[1]+m[3]), atoi(m[2]+m[4]); keys >= 49 && keys <= 61 {
			f.ManualLow, f.ManualHigh, f.PedalLow, f.PedalHigh = 36, 35+keys, 36, 35+pedal
			return []string{fmt.Sprintf("manuals of %d keys", keys), fmt.Sprintf("pedal of %d keys", pedal)}
		}
	}
	if m := bothKeyboards.FindStringSubmatch(text); m != nil {
		lo, hi, _, _, ok := findCompass(m[1], false)
		if pedalLow, pedalHigh, _, _, both := findCompass(m[2], true); ok && both && pedalHigh < hi {
			f.ManualLow, f.ManualHigh, f.PedalLow, f.PedalHigh = lo, hi, pedalLow, pedalHigh
			return []string{fmt.Sprintf("manuals of %d keys", hi-lo+1), fmt.Sprintf("pedal of %d keys", pedalHigh-pedalLow+1)}
		}
	}
	text = footLevers.ReplaceAllStringFunc(text, func(m string) string { return strings.Repeat(" ", len(m)) })
	at := len(text)
	for _, w := range []string{"edal", "édal", "edaa", "edał", "edál", "alkio", "ped.", "ped ", "Ped ", "pisas", "peanas", "contras"} {
		if i := strings.Index(text, w); i >= 0 {
			at = min(at, i)
		}
	}
	manual, pedal := text[:at], text[at:]
	if containsAny(plain(manual), "manual", "clavier", "keyboard", "tastier", "tast.", "teclado", "klavier", "compass", "klaviatur", "umfang", "ambitus", "manuale", "omvang", "omfang", "extension", "sormio", "manuaal", "aaniala", "manuais", "teclat", "estensione", "extensao", "manuel") || at < len(text) && (containsAny(low, "compass", "umfang") || typedCompass.MatchString(manual)) {
		if lo, hi, _, _, ok := findCompass(manual, false); ok {
			f.ManualLow, f.ManualHigh = lo, hi
			said = append(said, fmt.Sprintf("manuals of %d keys", hi-lo+1))
			if i := strings.Index(manual, "CCC"); i > 0 && pedal == "" { // "CC - a3 / CCC - f1"
				pedal = manual[i:]
			}
		}
	}
	if lo, hi, _, _, ok := findCompass(pedal, true); ok {
		f.PedalLow, f.PedalHigh = lo, hi
		said = append(said, fmt.Sprintf("pedal of %d keys", hi-lo+1))
	}
	return said
}

func containsAny(s string, words ...string) bool {
	for _, w := range words {
		if strings.Contains(s, w) {
			return true
		}
	}
	return false
}
