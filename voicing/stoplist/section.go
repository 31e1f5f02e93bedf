package stoplist

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"afterchord/acoustics/lazyregexp"
	"afterchord/voicing"
)

// Sections of a list.
const (
	inStops    = "stops"
	inCouplers = "couplers"
	inExtras   = "extras"
)

var sectionWords = map[string][]string{
	inStops:    {"disposizione fonica", "disposizione", "composizione fonica", "disposition", "dispositie", "specification", "stop list", "stoplist", "composition", "composition des jeux", "disposición", "disposicion", "composición", "registri", "registri della", "registri del", "registros", "disposició", "dyspozycja", "dyspozycja organów", "dispozice", "dispozice varhan", "rejestry", "rejstříky", "disposição", "composició", "composição", "registos", "composición actual", "disposición actual", "disposició actual", "composition actuelle", "composition sonore", "disposition der orgel", "dispositionen", "dispositie orgel", "de dispositie", "disposisjon", "dispositio", "disposisjonen", "dispositsioon", "dispozicija", "äänikerrat", "äänikertaluettelo", "äänikertadispositio", "stämmor", "stemmer", "orgelns disposition", "orglets disposition", "orgelets disposisjon", "orgelets disposition", "huidige dispositie", "oorspronkelijke dispositie", "dispositie van het orgel", "registerlijst", "nuvarande disposition", "nuværende disposition", "urkujen äänikerrat", "urkujen dispositio"},
	inCouplers: {"spojky a pomocná zařízení", "łączniki i pomoce", "połączenia i pomoce", "koppel a pomocná zařízení", "spojení", "koppeln und setzer", "koppeln und nebenzüge", "koppeln und hilfszüge", "normal-koppeln", "oktavkoppeln", "coppeln", "coppel", "copplungen", "copplung", "couplen", "spojky", "łączniki", "połączenia", "kopler", "koblinger", "kopulace", "couplers", "coupler", "koppeln", "koppel", "koppelingen", "accouplements", "accouplement", "unioni", "unioni e accoppiamenti", "acoplamientos", "enganches", "acoplamientos y enganches", "enganches y acoplamientos", "acoblaments", "acoplamentos", "uniones", "koppelungen", "kopplungen", "tirasses et accouplements", "accouplements et tirasses", "pédales de combinaison et d'accouplement", "pédales de combinaisons et d'accouplements", "pédales d'accouplement", "pédales d'accouplements", "pédales de combinaison et accouplements", "pédales de combinaisons et accouplements", "accouplements et pédales de combinaison", "accouplements et combinaisons", "accouplements et accessoires", "tirasses, accouplements", "accouplements, tirasses", "copulas et tirasses", "tirasses et copulas", "copula", "accouplements et octaves", "inter-manual couplers", "intermanual couplers", "intramanual couplers", "inter-divisional couplers", "unison couplers", "octave couplers", "normalkoppeln", "koppels", "unioni ed accoppiamenti", "unions", "copulas", "tirasses", "manual couplers", "pedal couplers", "accoppiamenti", "mechanische koppeln", "elektrische koppeln", "pedalkoppeln", "manualkoppeln", "koppeln und spielhilfen", "koppelwerk", "accouplements, accessoires", "accouplements , accessoires", "koppeln, spielhilfen", "kobling", "kopplingar", "koppling", "kopplinger", "koplinger", "kopling", "koppel:", "koppelaars", "mekaniske koblinger", "mekaniska koppel", "mechanical couplers", "electric couplers", "electrical couplers", "divisional couplers", "coupler tabs", "koppelwerken", "koppelingen en speelhulpen", "koppelingen en werktuiglijke registers", "manuaalkoppelingen", "manuaalkoppels", "pedaalkoppels", "pedaalkoppelingen", "koppelregisters", "de koppels", "kopplar", "mekaniska kopplingar", "elektriska koppel", "elektriske koblinger", "manualkopplingar", "manualkoblinger", "pedalkoblinger", "kobler", "koplar", "yhdistimet", "yhdistin", "kytkimet", "normaaliyhdistimet", "mekaaniset yhdistimet", "sähköyhdistimet", "sähköiset yhdistimet", "kopplid", "kopulad", "kopplus", "ühendused", "kopulas", "kopelas"},
	inExtras: {"pomocná zařízení", "pomocné rejstříky", "urządzenia dodatkowe", "urządzenia pomocnicze", "pomoce", "pomoce gry", "ostatní", "nebenregister und spielhilfen", "nebenzüge und spielhilfen", "accessories", "accessori", "accessoires", "spielhilfen", "accesorios", "accessoris", "acessórios", "miscel·lània", "miscelánea", "juegos de adorno", "adornos", "juguetes", "efectos", "otros", "otros registros", "pedales de combinación", "pédales de combinaison", "pédales de combinaisons", "jeux annexes", "tirants annexes", "commandes annexes", "commandes", "appels", "introductions", "effets", "mecanismes", "accessoire", "nebenregister", "accessory", "combinations", "pistons", "speelhulpen", "werktuiglijke registers", "playing aids", "details", "technical", "notes", "note", "compass", "umfang", "ambitus", "nebenzüge", "hilfsregister", "werkregister", "kombinationen", "combinaisons", "divers", "annullatori", "annulateur", "annulateurs", "pedaletti", "pistoncini", "toe pistons", "composition pedals", "combination pedals", "thumb pistons", "swell pedals", "sonstiges", "anmerkungen",
		"winddruck", "wind", "klaviaturumfänge", "technische daten", "key action", "traktur", "effekte", "effektregister", "action", "registrierhilfen", "bemerkungen", "legende", "quellen", "literatur", "history", "historique", "historie", "geschichte", "baugeschichte", "geschiedenis", "storia", "historia", "beschreibung", "description", "beschrijving", "descrizione", "references", "einzelnachweise", "mechanicals", "spelhjälpmedel", "spillehjælpemidler", "spilhjælpemidler", "spillehjelpemidler", "hjälpregister", "ranks", "analysis", "rank analysis", "pipe analysis", "stop analysis", "unit analysis", "mechanical registers", "mechanical register", "mechanical accessories", "mechanical movements", "pedal movements", "accessory movements", "combination movements", "adjustable combinations", "reversibles", "toe studs", "thumb pistons and toe studs", "analysis of ranks", "the ranks", "summary of ranks", "list of ranks", "rank list", "unit ranks", "extended ranks", "ranks of pipes", "tonal analysis", "tonal resources", "technische gegevens", "speeltechnische gegevens", "bijzonderheden", "overige", "overig", "overige gegevens", "overige registers", "hulpregisters", "nevenregisters", "bijregisters", "werktuigelijke registers", "werktuigelijk", "werktuiglijk", "speelhulp", "speelhulpmiddelen", "registratiehulpmiddelen", "registratiehulpen", "geschiedenis van het orgel", "övrigt", "andra anordningar", "spelhjälp", "extra", "kombinationer", "hjælperegistre", "biregistre", "spillehjælp", "spillehjelp", "hjelperegistre", "hjelperegister", "biregister", "tekniske data", "tekniska data", "tekniske opplysninger", "apulaitteet", "lisälaitteet", "muut laitteet", "soittoapulaitteet", "tekniset tiedot", "abiseadmed", "lisaseadmed", "andra register", "historik", "orgelns historia"},
}

// sectionByWord is the section that a plain heading begins.
var sectionByWord = sync.OnceValue(func() map[string]string {
	sections := map[string]string{}
	for s, words := range sectionWords {
		for _, w := range words {
			sections[plain(w)] = s
		}
	}
	return sections
})

// countInBrackets is how many there are: "Couplers (33)".
var countInBrackets = lazyregexp.New(` ?[(\[]\d{1,3}[)\]][ .:]*$`)

func sectionOf(text string) string {
	low := strings.Trim(countInBrackets.ReplaceAllString(plain(text), ""), " .:*-_()")
	low = couplerKind.ReplaceAllString(low, "$1")
	if s := sectionByWord()[low]; s != "" {
		return s
	}
	if bare := nameBrackets.ReplaceAllString(text, " "); strings.TrimSpace(bare) != "" && len(bare) < len(text) && !strings.ContainsAny(bare, ",;") { // "Unioni e accoppiamenti (a placchette)"
		return sectionOf(bare)
	}
	if parts := andBetween.Split(text, -1); len(parts) == 2 { // "Couplers & Mechanicals"
		first, second := sectionOf(parts[0]), sectionOf(parts[1])
		switch {
		case first == "" || second == "":
		case first == inCouplers || second == inCouplers:
			return inCouplers
		default:
			return first
		}
	}
	if first, rest, found := strings.Cut(text, "/"); found { // "ACCOUPLEMENTS / COUPLERS"
		if s := sectionOf(first); s != "" && (s == sectionOf(rest) || s == inCouplers && sectionOf(rest) == inExtras) {
			return s
		}
	}
	if len(strings.Fields(low)) <= 4 && containsAny(low, "accessor", "spielhilf", "combination system", "playing aids", "nebenregister", "speelhulp", "stop action", "key action", "technical") {
		return inExtras
	}
	return ""
}

// octaveLabel stands before couplers whose octaves are printed with them.
var octaveLabel = lazyregexp.New(`^(?:super|sub|sub et super|super et sub)$`)

// couplerKind is what a heading says of how its couplers work: "Accouplements électriques 8'", "Tirasses mécaniques".
var couplerKind = lazyregexp.New(`^(accouplements?|tirasses?) (?:(?:a|par|au) (?:tiroirs?|pedales?|fourchettes?)|electriques?|mecaniques?|manuels?|normaux|ordinaires|des claviers|des manuels|entre (?:les )?claviers|(?:en |de )?8'?|a l'unisson|directs?)(?: (?:en )?8'?)?$`)

// localNames are what abbreviations shared by several languages stand for in one of them.
var localNames = map[string]map[string]string{
	"en": {"Schwellwerk": "Swell"},
	"it": {"Grand Orgue": "Grand'Organo"},
	"nl": {"Hauptwerk": "Hoofdwerk", "Brustwerk": "Borstwerk"},
}

// germanDivisions are abbreviations that only German lists have, or Dutch ones as they are.
var germanDivisions = lazyregexp.New(`(?:^|[ /\-])(?:ow|rp)(?:[ /:\-]|$)|schwellwerk|(?:^|[ /\-])hw(?:[ /:\-]|$).*(?:^|[ /\-])sw(?:[ /:\-]|$)`)

// open begins a division or goes on with one of the same name.
func (r *reader) open(d Division) int {
	n := r.opened(d)
	if len(r.row) > 0 && len(r.list.Divisions[r.row[len(r.row)-1]].Stops) > 1 {
		r.row = nil
	}
	if !slices.Contains(r.row, n) {
		r.row = append(r.row, n)
	}
	r.unplaced = false
	if r.nextInBox.last > 0 {
		r.list.Divisions[n].inBox, r.nextInBox = r.nextInBox, part{}
	}
	return n
}

func (r *reader) opened(d Division) int {
	r.starred = d.starred
	if r.either = d.either; d.either > 0 {
		if i := slices.IndexFunc(r.list.Divisions, func(x Division) bool { return x.Number == d.Number && !x.Pedal }); i >= 0 {
			return i
		}
	}
	if name := localNames[r.list.Language][d.Name]; name != "" && !germanDivisions.MatchString(r.whole) {
		d.Name = name
	}
	if last := len(r.list.Divisions) - 1; last >= 0 && d.Role != "" && !d.Pedal && d.Number == 0 {
		if x := &r.list.Divisions[last]; x.Role == "" && x.Number > 0 && len(x.Stops) == 0 { // "1er clavier" and below it "Positif"
			d.Number, d.order = x.Number, x.order
			if d.LowKey == 0 {
				d.LowKey, d.HighKey = x.LowKey, x.HighKey
			}
			*x = d
			return last
		}
	}
	for i := range r.list.Divisions {
		x := &r.list.Divisions[i]
		if d.Pedal && x.Pedal && (len(x.Stops) == 0 || x.unknown) && d.Number == x.Number { // it was named for its compass, or a stop's
			x.Name, x.unknown = d.Name, d.unknown
			return i
		}
		if strings.EqualFold(x.Name, d.Name) && (x.Number == d.Number || d.Number == 0) {
			x.Enclosed = x.Enclosed || d.Enclosed
			if x.HighKey == 0 && d.HighKey > 0 { // its compass is told behind the list
				x.LowKey, x.HighKey = d.LowKey, d.HighKey
			}
			return i
		}
	}
	r.half, r.hands = "", nil
	d.order = len(r.list.Divisions)
	r.list.Divisions = append(r.list.Divisions, d)
	return d.order
}

func (r *reader) headingText(i int) string {
	d := &r.list.Divisions[i]
	s := d.Name
	if d.Number > 0 && d.Role != "" {
		s += fmt.Sprintf(", manual %d", d.Number)
	}
	if d.Pedal && d.Name != "Pedal" {
		s += ", pedal"
	}
	switch {
	case d.inBox.last > 0:
		s += ", " + d.inBox.text()
	case d.Enclosed:
		s += ", in a swell box"
	}
	switch {
	case d.HighKey > 0:
		s += ", " + voicing.KeyText(d.LowKey) + "-" + voicing.KeyText(d.HighKey)
	case d.LowKey > 0:
		s += ", from " + voicing.KeyText(d.LowKey)
	}
	return s
}

// remarked reads "Récit 27 notes, 2 jeux mais clavier déposé :": a heading with words behind it, up to the colon at the end of the line.
func (r *reader) remarked(text string) bool {
	if !strings.HasSuffix(text, ":") || expressionPedal.MatchString(plain(text)) {
		return false
	}
	if _, ok := heading(text); ok { // with no more than a heading has
		return false
	}
	if _, whole := heading(text); whole { // "Recitativo expresivo:"
		return false
	}
	words := wordsOf(strings.TrimSuffix(text, ":"))
	for n := min(3, len(words)-1); n > 0; n-- {
		d, ok := heading(strings.TrimRight(phraseOf(words[:n]), ",:;"))
		rest := phraseOf(words[n:])
		if !ok || d.Role == "" && (d.Number == 0 || n == 1) || !startsSmall(rest) && !beginsWithDigit(rest) || beginsStop(words[n:]) {
			continue
		}
		if lo, hi, _, _, found := findCompass(text, d.Pedal); found && d.HighKey == 0 {
			d.LowKey, d.HighKey = lo, hi
		}
		low := plain(rest)
		d.Enclosed = d.Enclosed || strings.Contains(low, "express") || strings.Contains(low, "enclosed") || strings.Contains(low, "schwell") || slices.ContainsFunc(strings.Fields(low), func(w string) bool { return boxWords[strings.Trim(w, ",.;()")] })
		r.current, r.section, r.columns = r.open(d), inStops, nil
		r.say(IsHeading, r.headingText(r.current), "")
		return true
	}
	return false
}

func beginsWithDigit(s string) bool { return s != "" && digit(s[0]) }

// labelled reads "Great: Open Diapason 8, …", "Koppeln: II/I" and "Action: mechanical".
func (r *reader) labelled(label, rest string) bool {
	d, ok := heading(label)
	if ok && d.Role == "" && d.Number == 0 && sentencesOnKeys(rest) {
		if said := r.list.facts(label + ": " + rest); len(said) > 0 {
			r.say(IsFact, strings.Join(said, ", "), "")
			return true
		}
	}
	if ok && (d.Pedal || d.Role == "" && d.Number == 0) && onlyKeyCount(rest, d.Pedal) && !r.stopsFollow() { // "Manual compass: 61 notes CC-C; Pedal compass: 32 notes"
		if said := r.list.compasses(label+" "+rest, plain(label+" "+rest)); len(said) > 0 {
			r.say(IsFact, strings.Join(said, ", "), "")
			return true
		}
	}
	if parts := splitList(rest); ok && d.Pedal && len(parts) > 1 && looksLikeCoupler(parts[0]) && !pulledDown.MatchString(parts[0]) { // "Pédales : tirasse GO, copula R/GO, anches R"
		r.section, r.columns = inCouplers, nil
		r.accessories(rest)
		return true
	}
	if ok && rest != "" && onlyCounts(rest) { // "GRAND ORGUE : 14 jeux, 54 notes"
		if whole, fits := heading(label + ", " + rest); fits {
			d, rest = whole, ""
		}
	}
	if ok {
		if remark, list, found := strings.Cut(rest, " : "); found && beginsWithDigit(remark) { // "Positif : 50 notes, devenu expressif : Flûte 8 - …"
			d.Enclosed = d.Enclosed || strings.Contains(plain(remark), "express")
			if lo, hi, _, _, found := findCompass(remark, d.Pedal); found {
				d.LowKey, d.HighKey = lo, hi
			}
			rest = strings.TrimSpace(list)
		} else if remark := strings.Trim(plain(rest), "() ."); boxWords[remark] { // "Swell: (enclosed)"
			d.Enclosed, rest = true, ""
		} else if named, ok := heading(rest); ok && (d.Role == "" || countedKeyboard.MatchString(plain(label))) && named.Role != "" { // "I teclado: Gran Órgano (Do1-Sol5)"
			if d.Role == "great" {
				d.Number = 1
			}
			named.Number = max(named.Number, d.Number)
			d, rest = named, ""
		}
		if m := compassText.FindStringSubmatchIndex(rest); m != nil && m[2] == 0 && d.HighKey == 0 { // "Huvudverk: C - f3 Principal 16', …"
			if lo, hi, ok := keysOf(rest[m[2]:m[3]], rest[m[4]:m[5]], d.Pedal, 0); ok {
				d.LowKey, d.HighKey, rest = lo, hi, strings.TrimLeft(rest[m[5]:], " ,;:.-")
			}
		}
		if len(strings.Fields(rest)) > 2 && keyboardWord.MatchString(plain(label)) && !r.namesStop(rest) { // "Tastiera: originale da 45 tasti, in bosso"
			r.keyboard(d, rest)
			return true
		}
		if d.Pedal && d.HighKey == 0 && fewContras.MatchString(rest) && onlyKeyCount(rest, true) { // "Contras: 8 notas"
			d.LowKey, d.HighKey, _, _, _ = findCompass(rest, d.Pedal)
			rest = ""
		}
		r.current, r.section, r.columns = r.open(d), inStops, nil
		r.say(IsHeading, r.headingText(r.current), "")
		if rest != "" {
			r.items(rest)
		}
		return true
	}
	if words := strings.Fields(plain(label)); len(words) > 1 && sectionOf(words[len(words)-1]) == inCouplers && speaksOfCouplers(rest) { // "Console with five couplers: Sw to Gt, …"
		r.couplers(rest)
		return true
	}
	if octaveLabel.MatchString(plain(label)) && rest != "" && !slices.ContainsFunc(splitList(rest), func(p string) bool { return !isPair(stripShift(p)) && !refOf(stripShift(p)).known() }) { // "Super : Réc.-G.O. 4', Réc. 4'"
		r.section, r.columns = inCouplers, nil
		r.couplers(rest)
		return true
	}
	if half := handOf(label); half != "" && rest != "" && r.section == inStops { // "Bajos: Flautado, Octava, …"
		r.underHand(half, label)
		r.items(rest)
		return true
	}
	if accessoryLabel.MatchString(plain(label)) && rest != "" {
		if _, behind, found := strings.Cut(rest, ":"); found && accessoryLabel.MatchString(plain(rest)) {
			rest = strings.TrimSpace(behind) // "Sopra la pedaliera: 5 pedaletti da sinistra: Tremolo, …"
		}
		r.accessories(rest)
		return true
	}
	if s := sectionOf(label); s != "" {
		if s == inCouplers && r.unplaced && len(r.columns) > 1 { // in the last column
			r.couplers(rest)
			return true
		}
		r.section, r.columns = s, nil
		if !r.anyStops() && (rest != "" || !r.anyHeading) { // what is said of the accessories ahead of the list
			defer func() { r.section = inStops }()
		}
		if low := plain(label); rest != "" && (strings.HasPrefix(low, "tirasse") || strings.Contains(low, "wind")) {
			rest = label + " " + rest // the word belongs to each that follows
		}
		if _, ok := heading(rest); rest == "" {
			r.say(IsExtra, "heading: "+s, "")
		} else if ok && s == inStops { // "Dispositie: Manuaal C-f3"
			r.piece(rest, false)
		} else {
			r.items(rest)
		}
		return true
	}
	return false
}

// stopsFollow tells whether the next line that is not empty is a stop.
func (r *reader) stopsFollow() bool {
	next := stripBullet(r.neighbour(r.at, 1))
	if label, _, found := strings.Cut(next, ":"); found {
		if _, ok := heading(label); ok {
			return false
		}
	}
	found, _ := r.stopsIn(next, r.inPedal())
	return len(found) > 0
}

// pedalLabel stands before the keys of the pedal on a line with those of the manuals.
var pedalLabel = lazyregexp.New(`(?i)[ ,]+(ped\pL*\.? ?:)`)

// onlyKeyCount tells whether a text gives keys, of one keyboard or of the pedal too, and names no stop.
func onlyKeyCount(text string, pedal bool) bool {
	first, rest, more := strings.Cut(pedalLabel.ReplaceAllString(text, "; $1"), ";")
	_, _, left, _, ok := findCompass(first, pedal)
	left = keyCount.ReplaceAllString(bareCompass.ReplaceAllString(" "+left+" ", " "), " ")
	if !ok || strings.Trim(parens.ReplaceAllString(left, " "), " .,:;-=") != "" {
		return false
	}
	_, behind, found := strings.Cut(rest, ":")
	return !more || strings.TrimSpace(rest) == "" || found && onlyKeyCount(strings.TrimSpace(behind), true)
}

// sentencesOnKeys tells whether a text gives the keys of the manuals in one sentence and those of the pedal in the next: "61 notes. Pedal compass: 32 notes."
func sentencesOnKeys(text string) bool {
	parts := sentences(text)
	if len(parts) != 2 {
		return false
	}
	label, keys, found := strings.Cut(strings.TrimSpace(parts[1]), ":")
	d, ok := heading(label)
	return found && ok && d.Pedal && onlyKeyCount(strings.TrimSpace(parts[0]), false) && onlyKeyCount(strings.TrimSpace(keys), true)
}

// onlyCounts tells whether a text gives how many stops and keys a keyboard has, or its compass, and nothing else.
func onlyCounts(text string) bool {
	left := stopsCount.ReplaceAllString(text, " ")
	if _, _, rest, _, ok := findCompass(left, true); ok {
		left = rest
	}
	left = keyCount.ReplaceAllString(bareCompass.ReplaceAllString(" "+left+" ", " "), " ")
	return strings.Trim(parens.ReplaceAllString(left, " "), " .,:;-=") == "" && beginsWithLetter(strings.TrimLeft(text, "0123456789 ("))
}

// accessoryLabel stands before what the player's feet and thumbs work.
var accessoryLabel = lazyregexp.New(`^(?:urzadzeni[ea] dodatkowe|pomoce|sopra la pedaliera|(?:\d+ )?pedaletti|pistoncini|pedali di combinazione|appels?|introductions?|annulateurs?|pedales? de combinaisons?|pedales de combinacion|werktuiglijke registers|combination pedals|pedals)\b`)

// accessories reads a list of accessories: its couplers and tremulants count, "Ripieno" among them is no stop.
func (r *reader) accessories(text string) {
	for _, s := range sentences(text) {
		for _, p := range splitList(s) {
			p = strings.Trim(stripBullet(p), " .")
			switch low := plain(p); {
			case p == "":
			case r.tremulant(p, low):
			case looksLikeCoupler(p) && !countTo.MatchString(low):
				r.couplers(p)
			default:
				r.accessory(p)
			}
		}
	}
}

// onlyAccessories reads a short list that is couplers, tremulants and what has no pipes, one and all.
func (r *reader) onlyAccessories(text string) bool {
	parts := splitList(strings.Trim(text, " .;"))
	couplers := 0
	for _, p := range parts {
		switch {
		case len(strings.Fields(p)) > 4:
			return false
		case looksLikeCoupler(p) || tremulantAlone(p):
			couplers++
		case !isExtra(plain(p)):
			return false
		}
	}
	if couplers == 0 || !r.anyStops() {
		return false
	}
	r.accessories(text)
	return true
}

// countedKeyboard numbers a keyboard, which some lists call so with no other name.
var countedKeyboard = lazyregexp.New(`^(?:prima tastiera|eerste klavier|tweede klavier)$`)

// keyboardWord is a keyboard itself, not the stops that it plays.
var keyboardWord = lazyregexp.New(`^(?:\d |the )?(?:tastier[ae]|pedalier[ae]?|pedalboard|keyboards?|claviers?|klaviatur(?:en)?|klaviere?|teclados?|pedalklaviatur|klavieren|toetsenbord)$`)

// keyboard reads what is said of a keyboard: its compass, and whether it is pulled down.
func (r *reader) keyboard(d Division, text string) {
	said := "keyboard"
	if lo, hi, _, _, found := findCompass(text, d.Pedal); found {
		f := &r.list.Facts
		said = fmt.Sprintf("manuals of %d keys", hi-lo+1)
		if d.Pedal {
			f.PedalLow, f.PedalHigh = lo, hi
			said = fmt.Sprintf("pedal of %d keys", hi-lo+1)
		} else {
			f.ManualLow, f.ManualHigh = lo, hi
		}
	}
	r.say(IsFact, said, "")
	if d.Pedal && pulledDown.MatchString(text) {
		r.pulled()
	}
}

// pulledCompass reads the keys of a pedal that is pulled down.
func (r *reader) pulledCompass(text string) bool {
	low, high, _, _, found := findCompass(text, true)
	if m := pulledKeys.FindStringSubmatch(text); m != nil && !found {
		low, high, found = 36, 48+pitchClass[m[1][0]], true
	}
	if found {
		r.list.Facts.PedalLow, r.list.Facts.PedalHigh = low, high
		r.say(IsFact, fmt.Sprintf("pedal of %d keys", high-low+1), "")
	}
	return found
}

// pulled is a pedal without stops of its own that plays the manual's.
func (r *reader) pulled() {
	r.wait(IsCoupler, pullDown, r.current)
}

// namesStop tells whether a text holds a known name with its length, or begins with one.
func (r *reader) namesStop(text string) bool {
	found, _ := r.stopsIn(text, false)
	return slices.ContainsFunc(found, func(s foundStop) bool { return s.how <= bySpelling && (s.printedFeet || len(s.grouped) > 0) }) || len(found) > 1 && anyExact(found)
}

// headed reads "II. Manual Traversflöte 8'" and "Pedal Gemshorn 8'": a heading and stops with nothing between them.
func (r *reader) headed(text string) bool {
	words := strings.Fields(text)
	if low := plain(text); len(words) > 3 && strings.EqualFold(words[0], "couplers") && looksLikeCoupler(strings.TrimPrefix(low, "couplers ")) {
		r.section, r.columns = inCouplers, nil
		r.items(strings.TrimSpace(text[len(words[0]):]))
		return true
	}
	if r.headedList(text, words) {
		return true
	}
	for n := min(4, len(words)-2); n > 0; n-- {
		d, ok := heading(strings.Join(words[:n], " "))
		if !ok || d.Role != "" && !d.Pedal || d.Role == "" && !strings.Contains(plain(strings.Join(words[:n], " ")), "man") && !strings.Contains(plain(strings.Join(words[:n], " ")), "klav") {
			continue
		}
		rest := strings.Join(words[n:], " ")
		found, _ := r.stopsIn(rest, d.Pedal)
		if len(found) == 0 || found[0].how > byBeginning || !found[0].printedFeet {
			return false
		}
		if d.Pedal { // "Pedal Open Diapason 16" within the pedal, or a name of its own
			if r.current >= 0 && r.list.Divisions[r.current].Pedal {
				return false
			}
		}
		r.current, r.section, r.columns = r.open(d), inStops, nil
		r.say(IsHeading, r.headingText(r.current), "")
		r.items(rest)
		return true
	}
	return false
}

// headedList reads "GREAT Open Diapason 8 (58), Dulciana 8 (58), …": the name of a manual and its stops, parted by commas.
func (r *reader) headedList(text string, words []string) bool {
	if len(splitList(text)) < 2 && len(spans(text)) < 3 && compassHeadingAt(wordsOf(text)) == 0 {
		return false
	}
	for n := max(min(3, len(words)-2), compassHeadingAt(wordsOf(text))); n > 0; n-- {
		d, ok := heading(strings.Trim(strings.Join(words[:n], " "), ",:"))
		if !ok || d.Role == "" && !d.Pedal && d.HighKey == 0 {
			continue
		}
		if n == 1 && len([]rune(words[0])) <= 3 && beginsStop(wordsOf(text)) { // "Op. Diap. 8'" is no stop of the Oberpositiv
			continue
		}
		rest := strings.Join(words[n:], " ")
		if sp := spans(rest); len(sp) > 1 && sp[0].from == 0 && sp[len(sp)-1].to < len(rest) && strings.Count(rest, "(") < len(sp) {
			defer func(before bool) { r.lengthFirst = before }(r.lengthFirst)
			r.lengthFirst = true // "GREAT ORGAN 16 Bourdon 8 Principal"
		}
		least := 2
		if d.HighKey > 0 {
			least = 1
		}
		if !r.listsStops(rest, d.Pedal, least) {
			continue
		}
		r.current, r.section, r.columns = r.open(d), inStops, nil
		r.say(IsHeading, r.headingText(r.current), "")
		r.items(rest)
		return true
	}
	return false
}

// listsStops tells whether a text is a list of stops with their lengths, in a row or parted by commas.
func (r *reader) listsStops(text string, pedal bool, least int) bool {
	defer func(before string) { r.section = before }(r.section)
	r.section = inStops
	parts := r.apart(text)
	if parts == nil {
		parts = []string{text}
	}
	exact := 0
	for i, p := range parts {
		found, _ := r.stopsIn(p, pedal)
		for k, s := range found {
			switch {
			case s.how <= byBeginning && s.printedFeet:
				exact++
			case i == 0 && k == 0 && s.how > byBeginning:
				return false
			}
		}
	}
	return exact >= least
}

// innerCount is the number of a second column: "1. Holpijp 8' 5. Quint 3'".
var innerCount = lazyregexp.New(` \d{1,3}[.)] +(\p{Lu}\pL{2,})`)
