package stoplist

import (
	"slices"
	"strings"
	"unicode"

	"afterchord/acoustics/lazyregexp"
	"afterchord/voicing"
)

var tremulantText = lazyregexp.New(`(?i)^(?:kanal|bock|fort|doux|(?:\d|zwei|drei|vier|two|three|deux|trois|twee|due|dos) )?[ -]*(?:tremulante?n?|tremoll?os?|trémolos?|tremblante?|tramblants?|tramblan|tremblants?|tr[ée]m\.?|tremul\.?|tr[éeè]mol[oi]?s?|bebung|vibratore|tremulation|tremolant[e]?|tremor|trémulant|temblor|tremulo)(?:$|[^\pL])(.*)$`)

// schwebung is an old name of a tremulant, and of a stop that beats: among the accessories it is the former.
var schwebung = lazyregexp.New(`(?i)^schwebung(?:en)?(?:$|[^\pL\d])([^\d']*)$`)

// tremulantLabel stands before the divisions that have one: "Tremulanten: Choir, Swell".
var tremulantLabel = lazyregexp.New(`^(?:(?:\d|zwei|drei|vier|two|three|deux|trois|twee|due|dos) )?(?:tremulanten?|tremolos?|tremolo|tremulants|tremblants?|tremblant|tremoli) ?:`)

// afterTremulant is what a line adds to a tremulant that is none.
var afterTremulant = lazyregexp.New(`(?i)[,;] *(?:schwebung|appel|anches|combinaison|tutti|zimbelstern|cymbelstern).*$`)

// inTrunk is a tremulant in the wind trunk of the whole organ, without a division's name behind it.
var inTrunk = lazyregexp.New(`(?i)^kanaltremulant[ .]*$`)

// ofSeveral parts a line of two tremulants of which one at least names where it works: "Tremblant doux (tout l'orgue), tremblant fort au Récit".
func ofSeveral(text string) []string {
	parts := splitList(text)
	if len(parts) < 2 || slices.ContainsFunc(parts, func(p string) bool { return !tremulantText.MatchString(p) }) {
		return nil
	}
	if !slices.ContainsFunc(parts, func(p string) bool {
		return wholeOrgan.MatchString(p) || slices.ContainsFunc(betweenDivisions.Split(p, -1), func(w string) bool { return refOf(w).known() })
	}) {
		return nil
	}
	return parts
}

// tremulant reads "Tremulant", "Trémolo Réc.", "Tremulant (Great & Swell)".
func (r *reader) tremulant(text, low string) bool {
	if parts := ofSeveral(text); parts != nil {
		for _, p := range parts {
			r.tremulant(p, plain(p))
		}
		return true
	}
	if inTrunk.MatchString(text) {
		text = "Tremulant general"
	}
	text = strings.TrimSpace(afterTremulant.ReplaceAllString(text, ""))
	if first, rest, found := strings.Cut(text, ","); found && tremulantAlone(strings.TrimSpace(first)) && !slices.ContainsFunc(splitList(rest), func(s string) bool { return refOf(s).known() }) {
		r.tremulant(first, plain(first))
		r.other(strings.TrimSpace(rest), plain(rest), len(strings.Fields(rest)))
		return true
	}
	if parts := splitList(text); len(parts) > 1 && !slices.ContainsFunc(parts, func(p string) bool { return !tremulantText.MatchString(p) }) { // "Tremulant im Positiv, Tremblant fort"
		for _, p := range parts {
			r.tremulant(p, plain(p))
		}
		return true
	}
	m := tremulantText.FindStringSubmatch(text)
	if m == nil && r.section != inStops {
		m = schwebung.FindStringSubmatch(text)
	}
	if m == nil {
		if strings.ContainsAny(text, ",;") {
			return false
		}
		i := strings.Index(low, "tremul")
		if i < 0 {
			i = strings.Index(low, "tremolo")
		}
		if i < 0 {
			i = strings.Index(low, "trembl")
		}
		if i < 0 || len(strings.Fields(low)) > 6 {
			return false
		}
		m = []string{"", text}
	}
	r.say(IsTremulant, "tremulant", "")
	at := len(r.list.Lines) - 1
	division := r.current
	if r.section != inStops || r.anyColumn || r.inPedal() && r.behindCouplers() {
		division = -1
	}
	if r.list.Language == "de" && strings.Contains(low, "tremblant fort") { // as a French organ has it, of the wind of all manuals
		m[1], division = m[1]+" général", -1
	}
	r.waiting = append(r.waiting, waiting{at, len(r.list.Lines[at].Readings) - 1, m[1], division})
	return true
}

// behindCouplers tells whether the line before holds couplers: what follows is of the whole organ.
func (r *reader) behindCouplers() bool {
	n := len(r.list.Lines) - 2
	if n < 0 || len(r.list.Lines[n].Readings) == 0 {
		return false
	}
	readings := r.list.Lines[n].Readings
	if readings[0].What == IsTremulant { // "Tremblant doux" and below it "Tremblant fort"
		for _, w := range r.waiting {
			if w.line == n && w.reading == 0 {
				return w.division < 0
			}
		}
	}
	return readings[0].What == IsCoupler
}

// extraWords are parts of the names of what sounds without pipes of its own or not at all, without accents.
var extraWords = []string{
	"cuculus", "cuccu", "cuckuck", "guckguck", "tympan", "hvezda", "gwiazda", "slavik", "slowik", "kukacka", "kukulk", "ptactwo", "ptaszk", "vogelg", "bebn", "beben", "kotly", "kolektiv", "kombinac", "trummel", "heerpauk", "zimbelstern", "cymbelstern", "cimbelstern", "zymbelstern", "cymbalstern", "nachtigall", "rossignol", "nightingale", "vogel",
	"glocken", "campan", "chimes", "timpan", "terza mano", "terzamano", "tambour", "tambur", "uccelli", "pedalett", "windabschwach", "pauke",
	"ventil", "kalkant", "calcant", "walze", "crescendo", "schweller", "schwelltritt", "swell pedal", "expression", "espressione",
	"staffa", "appel", "llamada", "lenguetas", "expresion", "afsluiting", "combination", "sperrventil", "harp", "arpa", "usignol", "rosignol", "rossignol", "banda", "gran cassa", "rollante", "polisire",
	"tiratutti", "setzer", "leerlauf", "tutti", "handregister", "zungen ab", "anches", "transpos", "midi", "einfuhrungstritt",
	"windablas", "windausl", "motor", "blank", "stern", "pleno", "plenum", "fortissimo", "graduatore", "cuckoo", "kuckuck", "piston",
	"reversible", "absteller", "4 chore", "dzwon", "zvon", "pedalumschalt", "umschaltung", "pianopedal", "automatisch", "automat. ", "druckknopf", "abschalter", "ausloser", "rollschweller", "sequenzer", "kollektiv", "annull", "annulat", "annulation", "xylophon", "celesta", "marimba", "balanced", "storm", "orage", "donner", "drum",
	"stella", "bellows", "fuelle", "balg", "trommel", "forte general", "rullante", "drawstop", "toe stud", "kombination", "combinazion", "combinador", "secuenciador",
	"combinaison", "vacant", "prepared", "glissando", "pajar", "cascabel", "ruisenor", "gaita", "tambor", "timbal", "boite", "caja expresiva", "caja de expres", "pajaro", "passarinh", "rossinyol", "ocells", "expressio", "combinacio lliure", "introduction", "jonction", "machine g", "rouxinol", "zampogna a mano", "bells",
	"cloches", "carillon", "usignuolo", "sonnerie", "cymbala", "jalousie", "registerschweller", "gruppenzug",
	"prolongement", "sostenuto", "organo pleno", "shutters", "swell to mixture", "zink stern", "lingue", "sustain", "ventiel",
	"windlosser", "swell lever", "lever swell", "blower", "blown", "bellows signal", "flexible wind", "wind stabil", "full organ", "manual transfer", "mechanism", "hitch", "combination, ", "reversing", "double touch", "cancel", "combs coupled", "pistons coupled", "combinations coupled", "afsluit", "afsluiter", "vaste comb", "feste komb", "omloop", "nachthoorn ster", "combinatie", "cimbelster", "cymbelster", "simbelster", "zweltrede", "zwelpeda", "zwelkast", "zweltree", "vogelgez", "vogelgeschrei", "nachtegaal", "koekoek", "tuimelaar", "generaalcresc", "jalouzie", "klokkenspel", "buisklok", "calcant",
	"svallare", "svallpedal", "svalltramp", "svellepedal", "svelletrin", "svelletritt", "svelletra", "sparrventil", "spærventil", "cymbelst", "cymbalst", "klockspel", "klokkespil", "klokkespill", "fagelsang", "fuglesang", "naktergal", "nattergal", "kombinasj", "generalsvel", "registersv", "fria komb", "frie komb", "faste komb", "fasta komb", "kresendo",
	"paisutin", "yleispaisutin", "sympelit", "symbelit", "kellopeli", "kombinaatio", "yhdistelma", "crescendoval", "svelleri", "kombinatsioon", "satakieli", "lintu", "generaltutti",
	"kalk.-", "kalkantenglocke", "kalk.gl", "kalkglocke", "glockenakkord", "zymbelst", "zimbelst", "zink-stern", "walze ab", "zungen aus", "zungenabst", "rohrwerke ab", "rohrw. ab", "koppeln aus walze", "walzenabst", "prolongem", "pianoped", "fortezug", "pianozug", "windabl", "sperrvent", "generalcr", "gen.-cresc", "gen.cresc", "gemischte stimmen", "streicherchor", "labialchor", "labialtutti", "flotenchor", "solostimmen ab",
}

// divisionPistons are the fixed combinations of a division or the numbers of its pistons: "Great 1-8", "Great forte".
var divisionPistons = lazyregexp.New(`^(\pL+|grand[ -]orgue)(?: organ)?:? (?:(?:nos?\.? ?)?1 ?(?:-|to|thru|à|a|,) ?\d{1,2}\b|(?:forte|piano|mezzo|mezzo-forte|mezzo-piano)$)`)

// allPistons are combinations of the whole organ: "Générales 1-2-3-4".
var allPistons = lazyregexp.New(`^(?:combinaisons )?generales? (?:\d|de \d)`)

// transferred plays some stops, or all swell boxes, from another place than their own: "Reeds on Choir", "All Swells to Swell".
var transferred = lazyregexp.New(`\breeds? (?:on|to) (?:the )?(?:choir|ch|solo|great|gt|positive?|pedal|swell|bombarde)\b|^all swells (?:to|on)\b|\bcombinations? coupled\b`)

// countTo goes on with a number of pistons: "5 composition pedals to Great, 4 to Swell".
var countTo = lazyregexp.New(`^(?:\d{1,2}|two|three|four|five|six|eight) (?:to|on|for) (?:the )?(\pL+)\.?$`)

func isExtra(low string) bool {
	if allPistons.MatchString(low) {
		return true
	}
	if m := divisionPistons.FindStringSubmatch(low); m != nil && refOf(m[1]).known() || transferred.MatchString(low) {
		return true
	}
	if m := countTo.FindStringSubmatch(low); m != nil && refOf(m[1]).known() {
		return true
	}
	for _, w := range extraWords {
		if i := strings.Index(low, w); i >= 0 && (len(w) > 5 || i == 0 || !unicode.IsLetter(rune(low[i-1])) && low[i-1] < 0x80) {
			return true
		}
	}
	return false
}

// other reads what is no stop.
func (r *reader) other(text, low string, words int) {
	if strings.HasPrefix(low, "compass") || strings.HasPrefix(low, "umfang") || strings.HasPrefix(low, "tonumfang") {
		if said := r.list.facts(text); len(said) > 0 {
			r.say(IsFact, strings.Join(said, ", "), "")
			return
		}
	}
	if countsUp(low) {
		r.say(IsProse, "no part of the stop list", "")
		return
	}
	if r.enclosedSaid(text, low, words) {
		return
	}
	if parts := partsBySign(text); len(parts) > 2 && r.section != inExtras && !beginsWithDashedPair(text) {
		for _, p := range parts {
			r.leftOver(p, r.current)
		}
		return
	}
	if r.section == inExtras {
		for _, p := range partsBySign(text) {
			if tremulantText.MatchString(p) && len(strings.Fields(p)) <= 5 {
				r.tremulant(p, plain(p))
			}
		}
	}
	if r.tremulant(text, low) {
		return
	}
	if (words > 6 || strings.HasPrefix(low, "ped") || !looksLikeCoupler(text)) && pulledDown.MatchString(text) {
		if said := r.list.facts(text); len(said) > 0 {
			r.say(IsFact, strings.Join(said, ", "), "")
		} else {
			r.pulledCompass(text)
		}
		r.pulled()
		return
	}
	if words <= 45 && looksLikeCoupler(text) {
		r.couplers(text)
		return
	}
	if r.section == inExtras && r.couplersAmong(text) {
		return
	}
	if s := sentences(text); len(s) > 1 && slices.ContainsFunc(s, worksAlone) {
		for _, t := range s {
			t = strings.Trim(t, " .")
			r.other(t, plain(t), len(strings.Fields(t)))
		}
		return
	}
	if r.mixedRemarks(text) {
		return
	}
	if said := r.list.facts(text); len(said) > 0 {
		r.say(IsFact, strings.Join(said, ", "), "")
		r.year(text)
		return
	}
	r.year(text)
	if isExtra(low) {
		r.say(IsExtra, "an accessory without pipes", "")
		return
	}
	if halvesMeet.MatchString(low) {
		r.say(IsFact, "the halves of the keyboard meet at "+voicing.KeyText(r.divide()), "")
		return
	}
	if r.lastNote(text) {
		r.say(IsExtra, "a remark on the stop above", "")
		return
	}
	if countsOnly(low) {
		r.say(IsProse, "no part of the stop list", "")
		return
	}
	if items := splitList(text); len(items) > 1 && len(spans(text)) > 1 && len(spans(text))*4 >= words {
		for _, t := range items { // what has lengths is not prose
			r.leftOver(t, r.current)
		}
		return
	}
	if containsAny(low, " stops", " register", " jeux", " pipes", " registri") && words > 2 || strings.HasPrefix(text, "(") && strings.HasSuffix(text, ")") || startsSmall(text) && words > 2 {
		r.say(IsProse, "no part of the stop list", "")
		return
	}
	if saidOfBuilding.MatchString(low) && len(spansOfFeet(text)) == 0 {
		r.say(IsProse, "no part of the stop list", "")
		return
	}
	if words > 7 && r.current >= 0 {
		before := len(r.list.Lines[len(r.list.Lines)-1].Readings)
		if r.couplersInProse(text); len(r.list.Lines[len(r.list.Lines)-1].Readings) > before {
			return
		}
	}
	if r.section == inExtras || words > 7 || r.current < 0 {
		if r.list.Title == "" && r.current < 0 && words <= 12 && sectionOf(text) == "" && !yearAlone.MatchString(text) && !startsSmall(r.neighbour(r.at, 1)) && !strings.Contains(low, "disposi") && r.isTitle(text, low) {
			r.list.Title = strings.Trim(strings.TrimSpace(text), ".:# ")
		}
		r.say(IsProse, "no part of the stop list", "")
		return
	}
	if words > 4 && strings.HasSuffix(text, ".") && !strings.HasSuffix(low, "st.") && len(spans(text)) == 0 && len(splitList(text)) == 1 { // a sentence
		r.say(IsProse, "no part of the stop list", "")
		return
	}
	if (aboutOrgan(low) || isSentence(text, words)) && len(spansOfFeet(text)) == 0 {
		r.say(IsProse, "no part of the stop list", "")
		return
	}
	if strings.ContainsAny(text, ",;") && len(splitList(text)) > 1 {
		for _, t := range splitList(text) {
			r.leftOver(t, r.current)
		}
		return
	}
	if unknownWork.MatchString(text) && r.section == inStops {
		r.current, r.columns = r.open(Division{Name: text, unknown: true}), nil
		r.say(IsHeading, r.headingText(r.current), "taken as a division for its name")
		return
	}
	if next := r.neighbour(r.at, 1); r.anyStops() && words <= 4 && len(strings.Fields(next)) > longText && len(spansOfFeet(next)) == 0 { // the title of a text behind the list
		r.say(IsProse, "no part of the stop list", "")
		return
	}
	r.say(IsUnread, strings.TrimSpace(text), "")
}

// lifetime is behind a name in a programme: "(1685-1750)".
var lifetime = lazyregexp.New(`\((?:\*|b\.|geb\.|born) ?1[4-9]\d\d\)|\(1[4-9]\d\d ?[-–] ?(?:(?:1[4-9]|20)\d\d)?\)`)

// postcode stands in an address.
var postcode = lazyregexp.New(`^\d{1,3}[a-z]?, |, (?:[A-Z]-)?\d{4,5} \p{Lu}`)

// isTitle tells whether a line ahead of the list can be its title: no sentence, no composer, and in a programme only what speaks of the organ.
func (r *reader) isTitle(text, low string) bool {
	switch {
	case lifetime.MatchString(text), postcode.MatchString(text), strings.HasSuffix(text, ".") && len(strings.Fields(low)) > 7, len(fold(text)) < 4:
		return false
	}
	return !r.programme || containsAny(low, "organ", "orgel", "orgue", "orgao", "orglet")
}

// standsInBox says that divisions stand in a swell box: "Choir and Swell enclosed".
var standsInBox = lazyregexp.New(`(?:^|[^\pL])(?:enclosed|i svell|i svallare|i svelle|svellebart?|in (?:a|one|separate) (?:swell )?box(?:es)?|im schwellkasten|im schweller|in (?:de )?zwelkast|en boite expressive)(?:$|[^\pL])`)

// enclosedSaid reads a short sentence that says which divisions stand in a box.
func (r *reader) enclosedSaid(text, low string, words int) bool {
	if words < 3 || words > 12 || !standsInBox.MatchString(low) || containsAny(low, "unenclosed", "not enclosed") {
		return false
	}
	var set []string
	for i := range r.list.Divisions {
		d := &r.list.Divisions[i]
		if !d.Pedal && slices.Contains(strings.FieldsFunc(low, func(c rune) bool { return !unicode.IsLetter(c) }), plain(d.Name)) {
			d.Enclosed = true
			set = append(set, d.Name)
		}
	}
	if len(set) > 0 {
		r.say(IsFact, strings.Join(set, ", ")+": in a swell box", "")
	}
	return len(set) > 0
}

// unknownWork is a word that is made like the names of divisions: "Pastoraleverk".
var unknownWork = lazyregexp.New(`^\p{Lu}\p{Ll}{3,}(?:werk|verk|værk)$`)

// worksAlone tells whether a sentence is a tremulant or a coupler and nothing else.
func worksAlone(sentence string) bool {
	return len(strings.Fields(sentence)) <= 6 && (tremulantText.MatchString(strings.TrimSpace(sentence)) || couplerSentence.MatchString(plain(sentence)))
}

var couplerSentence = lazyregexp.New(`^(?:tirasse|accouplement|(?:manual|pedal|manuaal|pedaal)?koppel|union[ei]|couplers?|acoplamiento|enganche)`)

// mixedRemarks reads a line of couplers, tremulants and facts one by one: "Manuaalkoppel, tremulant. Winddruk 76 mm".
func (r *reader) mixedRemarks(text string) bool {
	var pieces []string
	for _, s := range sentences(endsBehindShort(text)) {
		for _, p := range splitList(s) {
			if last := len(pieces) - 1; last >= 0 && (refOf(p).known() && tremulantText.MatchString(pieces[last]) || namesDivisions(p) && isExtra(plain(pieces[last]))) { // "Tremblant PO, RÉ", "Afsluiters HW, BW en Ped."
				pieces[last] += ", " + p
				continue
			}
			pieces = append(pieces, p)
		}
	}
	if len(pieces) < 2 || r.current < 0 {
		return false
	}
	couplers, tremulants := 0, 0
	for _, p := range pieces {
		switch {
		case len(strings.Fields(p)) > 5:
		case tremulantText.MatchString(p):
			tremulants++
		case looksLikeCoupler(p):
			couplers++
		}
	}
	if couplers+tremulants == 0 || r.section == inCouplers && tremulants == 0 { // a list of couplers has its own way with octaves
		return false
	}
	for _, p := range pieces {
		r.leftOver(p, r.current)
	}
	return true
}

// lastNote reads a line that only says something of the stop before it, such as "transmissie".
func (r *reader) lastNote(text string) bool {
	if r.current < 0 || len(strings.Fields(text)) > 3 || !noteOnly(strings.Trim(text, "() ")) {
		return false
	}
	stops := r.list.Divisions[r.current].Stops
	if len(stops) == 0 {
		return false
	}
	f := foundStop{Stop: stops[len(stops)-1]}
	was := r.list.stopText(r.current, &f.Stop)
	r.note(&f, text)
	stops[len(stops)-1] = f.Stop
	r.retell(&f.Stop, was, r.list.stopText(r.current, &f.Stop))
	return true
}

var built = lazyregexp.New(`(?i)(?:built|erbaut|gebaut|construit|costruito|gebouwd|construido|opus|neubau|baujahr|anno|bouwjaar|builder|orgelbauer|made by)`)

func (r *reader) year(text string) {
	m := yearText.FindStringSubmatch(text)
	if m == nil || r.list.Facts.Year != 0 && !built.MatchString(text) {
		return
	}
	r.list.Facts.Year = atoi(m[1])
}
