package stoplist

import (
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// Catalogues print what they say of an organ as a form, a label to each value: "Baujahr: 1986", "Manuale:" and below it "2 + Pedal".

// formLabels are the labels of a form, without accents. What stands behind them is a fact or says nothing of the stops.
var formLabels = func() map[string]bool {
	labels := map[string]bool{}
	for _, l := range []string{
		"tonumfang", "umfang", "manualumfang", "pedalumfang", "klaviaturumfang", "manualumfange", "estensione", "typ", "traktur", "spieltraktur", "tontraktur", "tastentraktur", "registertraktur", "registratur", "registersteuerung", "windladen", "windlade", "windladensystem", "ladensystem", "ladentyp", "baujahr", "erbaut", "jahr", "opus", "einweihung", "orgelweihe",
		"orgelbauer", "erbauer", "hersteller", "orgelbaufirma", "manuale", "anzahl manuale", "manualzahl", "register", "registerzahl", "anzahl register", "anzahl der register", "klingende register", "klingende stimmen", "stimmtonhohe", "stimmung", "stimmungsart", "temperierung", "temperatur",
		"winddruck", "stand", "standort", "info", "infos", "bild", "bilder", "foto", "fotos", "quelle", "text", "ort", "kirche", "konfession", "gehause", "prospekt", "intonation", "geblase", "windversorgung", "spieltisch", "spielanlage", "vorabzuge", "doppelschleifen", "wechselschleifen",
		"zustand", "restaurierung", "umbau", "renovierung", "besonderheiten", "bemerkung", "anzahl pfeifen", "pfeifen", "orgelbaumeister", "sachverstandiger", "adresse", "architekt", "mensuren", "balg", "balge", "bestand",
		"anno", "anno di costruzione", "costruttore", "autore", "organaro", "trasmissione", "trasmissioni", "somiere", "somieri", "corista", "temperamento", "pressione", "pressione del vento", "manticeria", "mantice", "mantici", "cassa", "facciata", "ubicazione", "collocazione", "consolle", "numero canne", "canne", "restauro",
		"foto di", "fonte", "diocesi", "localita", "tipologia", "numero registri", "crivello", "prospetto", "accordatura", "numero di canne", "elettroventilatore",
		"bouwjaar", "orgelbouwer", "orgelbouwers", "orgelmaker", "kas", "orgelkas", "plaats", "kerk", "toonhoogte", "stemming", "temperatuur", "tractuur", "traktuur", "speeltractuur", "registertractuur", "toetstractuur", "mechaniek", "windvoorziening", "balgen", "aantal registers", "aantal stemmen", "aantal klavieren", "aantal pijpen", "manualen", "klavieren", "klavieromvang", "klavieromvangen", "omvang", "omvang manualen", "omvang klavieren", "omvang pedaal", "manuaalomvang", "pedaalomvang", "winddruk", "opdrachtgever", "adviseur", "restauratie", "monumentnummer", "windlade", "windladen", "ladesysteem", "windladesysteem",
		"byggar", "byggt", "byggare", "orgelbyggare", "byggherre", "fasad", "vaderlador", "vaderlada", "vaderladsystem", "tonomfang", "omfang", "manualomfang", "antal stammor", "stamning", "stamton", "vindtryck", "lufttryck", "spelbord", "byggear", "bygger", "orgelbygger", "byggested", "facade", "fasade", "vindlader", "vindlade", "aktion", "antal stemmer", "stemning", "stemmetemperatur", "lufttryk", "vindtrykk", "temperering", "temperatur", "stemmetone",
		"rakentaja", "rakennusvuosi", "rakennettu", "valmistusvuosi", "valmistaja", "julkisivu", "aaniala", "aanialat", "urkurakentamo", "koneisto", "soittokoneisto", "rekisterikoneisto", "viritystaso", "viritys", "aanikertoja", "aanikertamaara", "ilmanpaine", "ehitaja", "ehitatud", "ehitusaasta",
		"builder", "compass", "compasses", "manual compass", "keyboard compass", "key compass", "pedal compass", "compass of manuals", "temperament", "tuning", "pitch", "rebuilt", "restored", "console", "case", "blower", "blowing", "year", "year built", "built", "location", "denomination", "key action", "stop action", "wind pressure", "number of ranks", "number of stops", "number of pipes", "photo", "photos", "source", "facteur", "annee", "bouwer", "bouwjaar",
		"afinacion", "transmision", "transmission", "skala manualu", "skala pedalu", "rok budowy", "budowniczy", "traktura", "traktura gry", "traktura rejestrow", "rok", "varhanar",
	} {
		labels[l] = true
	}
	return labels
}()

// compassLabel stands before the compass of the keyboards.
var compassLabel = lazyregexp.New(`umfang|umfange$|^estensione|^skala|omvang|omfang|^aaniala|compass`)

// formLine reads a line of a form; false where it is none.
func (r *reader) formLine(label, value string) bool {
	if !formLabels[plain(label)] || len(sentences(value)) > 1 || r.namesStop(value) || value == "" && sectionOf(label) != "" {
		return false
	}
	if d, ok := heading(value); ok && (d.Role != "" || d.HighKey > 0) && value != "" && !compassLabel.MatchString(plain(label)) {
		return false
	}
	if tremulantText.MatchString(value) {
		first := strings.Join(strings.Fields(value)[:min(6, len(strings.Fields(value)))], " ")
		r.tremulant(first, plain(first))
	}
	said := r.list.facts(label + ": " + value)
	r.year(value)
	if len(said) > 0 {
		r.say(IsFact, strings.Join(said, ", "), "")
	} else {
		r.say(IsProse, "no part of the stop list", "")
	}
	return true
}

// labelOf parts a line of a form at its colon, or at the bar of a table of two columns.
func labelOf(line string) (label, value string, found bool) {
	line = stripBullet(line)
	if label, value, found = strings.Cut(line, ":"); !found {
		label, value, found = strings.Cut(strings.Trim(line, "| "), "|")
	}
	return strings.TrimSpace(label), strings.Trim(value, " |"), found
}

// withValues puts the values of a form behind their labels where they stand on lines of their own.
func withValues(lines []string) []string {
	isLabel := func(line string) bool {
		text := strings.TrimSpace(tidy(line))
		return strings.HasSuffix(text, ":") && formLabels[plain(strings.TrimSuffix(text, ":"))]
	}
	n := 0
	for _, l := range lines {
		if isLabel(l) {
			n++
		}
	}
	if n < 2 {
		return lines
	}
	out := slices.Clone(lines)
	for i := range out {
		if !isLabel(lines[i]) {
			continue
		}
		for j := i + 1; j < len(out) && j < i+4; j++ {
			text := strings.TrimSpace(tidy(lines[j]))
			if text == "" && j == i+1 {
				continue
			}
			if text == "" || strings.HasSuffix(text, ":") || len(strings.Fields(text)) > 6 || formLabels[plain(text)] || j > i+1 && !strings.HasPrefix(text, "+") {
				break
			}
			if d, ok := heading(text); ok && (d.Role != "" || d.HighKey > 0) {
				break
			}
			out[i], out[j] = strings.TrimRight(out[i], " \r")+" "+text, ""
		}
	}
	return out
}

// yearAlone is the line over a paragraph on what was done in a year.
var yearAlone = lazyregexp.New(`^(?:ca\.? |um |c\. )?(?:1[3-9]\d\d|20[0-2]\d)(?: ?[-/] ?\d{2,4})?[.:]?$`)

// yearAhead begins a paragraph on what was done in a year.
var yearAhead = lazyregexp.New(`^(?:1[3-9]\d\d|20[0-2]\d)[.:]? (?:- )?\pL+ \pL+ \pL`)

// chronicle reads the first line of an organ's history by years, which is behind the list; from there on all is prose.
func (r *reader) chronicle(text string) bool {
	if !r.anyStops() || !yearAlone.MatchString(text) && !(yearAhead.MatchString(text) && len(spansOfFeet(text)) == 0) {
		return false
	}
	r.section, r.columns = inExtras, nil
	r.say(IsProse, "no part of the stop list", "")
	return true
}

// legendLine explains a sign: "* = ganz oder teilweise von 1781", "** neues Register".
var legendLine = lazyregexp.New(`^(?:\*{1,4}|\(\*{1,3}\)|†|‡|§|#|°|\+|\(?[a-zA-Z]\)?(?: ?=)) ?(?:=|:|-)? ?(\pL.*|\d\) ?.*)$`)

// legend reads the explanation of a sign that stands behind stops of the list.
func (r *reader) legend(text string) bool {
	if strings.HasPrefix(strings.TrimSpace(text), "↑") { // a footnote, as encyclopaedias print it
		r.say(IsProse, "no part of the stop list", "")
		return true
	}
	m := legendLine.FindStringSubmatchIndex(text)
	if m == nil || len(spansOfFeet(text)) > 0 || known(text[m[2]:m[3]]) || looksLikeCoupler(text) {
		return false
	}
	sign := strings.Trim(text[:m[2]], " =:-")
	if !strings.Contains(text[:m[2]], "=") && !(strings.Trim(sign, "*†‡§#°+()") == "" && (strings.Contains(r.whole, "' "+sign+" \n") || strings.Contains(r.whole, "'"+sign+" \n"))) {
		return false
	}
	if _, ok := heading(text[m[2]:m[3]]); ok {
		return false
	}
	r.say(IsProse, "no part of the stop list", "")
	return true
}
