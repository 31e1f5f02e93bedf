package stoplist

import (
	"maps"
	"slices"
	"strings"
	"sync"

	"afterchord/acoustics/lazyregexp"
	"afterchord/voicing"
)

// rolesAndBoxes maps the folded name by which lists head a division to its role, and holds the folded names that stand for a swell box.
var rolesAndBoxes = sync.OnceValues(func() (map[string]string, map[string]bool) {
	roles, box := map[string]string{}, map[string]bool{}
	for _, n := range voicing.DivisionNames() {
		if !n.InLists {
			continue
		}
		key := fold(n.Name)
		roles[key] = n.Role
		if n.Boxed {
			box[key] = true
		}
	}
	return roles, box
})

func roleOf(folded string) string {
	roles, _ := rolesAndBoxes()
	if role := roles[folded]; role != "" {
		return role
	}
	return roles[withoutKeyboard(folded)]
}

func boxed(folded string) bool {
	_, boxes := rolesAndBoxes()
	return boxes[folded] || boxes[withoutKeyboard(folded)]
}

// withoutKeyboard is a folded name without a word for the keyboard at its end, "Recietklavier", "Echomanuaal"; "" where it has none.
func withoutKeyboard(folded string) string {
	for _, word := range []string{"clavier", "manual"} {
		if stem, found := strings.CutSuffix(folded, word); found && len(stem) > 3 {
			return stem
		}
	}
	return ""
}

var manualNumbers = map[string]int{"i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5, "vi": 6, "1": 1, "2": 2, "3": 3, "4": 4, "5": 5, "1st": 1, "2nd": 2, "3rd": 3, "4th": 4, "first": 1, "second": 2, "third": 3, "fourth": 4,
	"erstes": 1, "zweites": 2, "drittes": 3, "viertes": 4, "1er": 1, "2e": 2, "2eme": 2, "3e": 3, "3eme": 3, "premier": 1, "deuxieme": 2, "troisieme": 3, "prima": 1, "seconda": 2, "terza": 3, "quarta": 4, "primo": 1, "secondo": 2, "terzo": 3, "primero": 1, "primer": 1, "tercer": 3, "cuarto": 4, "segundo": 2, "tercero": 3,
	"forste": 1, "første": 1, "andet": 2, "andra": 2, "forsta": 1, "tredje": 3, "fjerde": 4, "vierde": 4, "4de": 4, "eerste": 1, "tweede": 2, "derde": 3, "1e": 1, "1ste": 1, "2de": 2, "3de": 3, "1°": 1, "2°": 2, "3°": 3, "1a": 1, "2a": 2, "3a": 3, "1º": 1, "2º": 2, "3º": 3, "4°": 4, "second manual": 2, "unteres": 1, "oberes": 2, "1.": 1, "1re": 1, "2nde": 2, "4e": 4, "4eme": 4, "5e": 5, "5eme": 5, "quatrieme": 4, "cinquieme": 5, "iº": 1, "iiº": 2, "i°": 1, "ii°": 2, "iii°": 3, "ier": 1, "iie": 2, "iiie": 3, "ive": 4, "ve": 5, "iieme": 2, "iiieme": 3, "ivieme": 4}

var manualWords = map[string]bool{"manual": true, "man": true, "manuaal": true, "manuale": true, "clavier": true, "klavier": true, "tastiera": true, "teclado": true, "keyboard": true, "manuel": true, "klaviatur": true, "manualwerk": true, "manuals": true, "manualiter": true, "werk": true, "werck": true, "tast": true, "teclat": true, "m": true, "manualen": true, "manualet": true, "manuaali": true, "sormio": true, "koskettimisto": true, "manualis": true, "manuaalis": true, "manualas": true, "klaviatuur": true, "manuaal:": true, "klawiatura": true, "manualu": true}

var boxWords = map[string]bool{"enclosed": true, "expressif": true, "expressive": true, "expressiv": true, "schwellbar": true, "schwellkasten": true, "schweller": true, "swell": false, "espressivo": true, "espressiva": true, "expresivo": true, "expressivo": true, "expressiu": true, "expr": true, "exp": true, "schwellwerk": true, "schwell": true, "zwelkast": true, "in": false,
	"geschwellt": true, "ekspresyjnej": true, "ekspresyjny": true, "ekspresyjna": true, "ekspresyjne": true, "szafie": true, "zaluzjowy": true, "zaluzjowej": true, "zaluzjowym": true, "zaluzii": true, "zaluzie": true, "zaluziovy": true, "zaluziova": true, "zaluziove": true, "schwellgehause": true, "espressione": true, "jalousieschweller": true, "schwellbares": true, "expression": true, "expressief": true, "box": true, "generalschweller": true, "im": false, "en": false, "espr": true, "cassa": true, "svallverk": true, "svellverk": true, "svelleværk": true, "svellevaerk": true, "svallare": true, "svell": true, "svellbar": true, "svellebart": true, "svellbart": true, "svallbar": true, "svallskap": true, "svalldon": true, "svellekasse": true, "svellekas": true, "svelleskab": true, "zwelbaar": true, "zwelwerk": true, "kapis": true, "svellkastis": true, "paisutuskapis": true, "paisutuskaapissa": true, "paisutuskaappi": true, "paisutinkaapissa": true, "zaluziju": true, "zaluzijas": true, "under": false, "sous": false, "schwellturen": true, "schwelltueren": true, "schwelltur": true, "schwelljalousie": true, "schwelljalousien": true, "schwellladen": true, "schwellade": true, "jalousieschwellkasten": true, "turschweller": true, "schwellkammer": true, "echokasten": true, "fernkasten": true, "schwellend": true}

// fillers say nothing in a heading.
var fillers = map[string]bool{"organ": true, "orgel": true, "orgue": true, "organo": true, "órgano": true, "orgel:": true, "the": true, "der": true, "die": true, "das": true, "division": true, "stops": true, "stop": true, "jeux": true, "register": true, "registri": true, "registers": true, "de": true, "du": true, "le": true, "la": true, "il": true, "el": true, "del": true, "und": false, "stimmen": true,
	"and": false, "notes": true, "unenclosed": true, "position": true, "cont": true, "fortsetzung": true, "in": true, "im": true, "swell": false, "box": true, "unexpressive": true, "ranks": true, "pipes": true, "registros": true, "registres": true, "registos": true, "orgao": true, "do": true, "case": true, "main": true, "nave": true, "chancel": true, "chorus": true, "di": true, "della": true, "a": true, "en": true, "und ": true, "stemmen": true, "nr": true, "no": true, "compass": true, "ambitus": true, "umfang": true, "tonumfang": true, "omvang": true, "under": true, "expression": true, "schwellkasten": true, "tutti": false, "werk": true, "disposition": true, "sous": true, "hochdruck": true, "neues": true, "nombre": false, "wind": true, "duplexed": true, "manualomfang": true, "omfang": true, "tonomfang": true, "klavieromvang": true, "manuaalomvang": true, "pedaalomvang": true, "aaniala": true, "skapi": true, "het": true, "floating": true, "sommier": true, "windlade": true, "somiere": true, "secreto": true, "c": true, "w": true, "ve": true, "sekcja": true, "stroj": true, "skrini": true, "mit": true, "jalousien": true, "unique": true, "pression": true, "vent": true, "winddruck": true, "wd": true, "einziges": true, "umfang:": true, "dem": true}

var (
	parens       = lazyregexp.New(`[()\[\]]`)
	bareCompass  = lazyregexp.New(`(?:^|[ .,(])(?:C{1,3}|FF|GG) ?(?:to|-) ?(?:[a-gA-G]#?(?: in alt[a-z]*)?)?(?:$|[ .,)])`)
	stopsCount   = lazyregexp.New(`(?i)(?:^|[ (,])\d{1,2} (?:stops?|stämmor|stemmer|äänikertaa|klinkende stemmen|sprekende stemmen|jeux|register|registri|registers|registros|stimmen|stemmen|ranks|rangs|speaking stops|sounding stops|reg\.)(?:,? (?:and|&) \d borrowed (?:\pL+ )?stops?)?(?:[ ),:.]|$)`)
	shortCompass = lazyregexp.New(`(?i)(?:^|[ ,(])([23]\d) (?:n\.?|notes|touches|tasti|teclas|toetsen)(?:$|[ ,):])`)
	headWind     = lazyregexp.New(`(?i)(\d{2,3}) ?mm(?: ?(?:ws|wc|wk|ca|c\.a\.))?\b|(\d{1,2}(?:[ -]?\d/\d|\.\d+)?)[ -]?(?:"|inches|inch|ins?\.)(?: ?(?:and|&|,|/|-|to)? ?` + inches + `)*(?: ?(?:wind pressure|wind|pressure|wp|w\.p\.|w\.g\.|water))?`)
)

// heading reads text as the heading of a division; ok is false where it is anything else. What stands in brackets may be
// anything.
func heading(text string) (d Division, ok bool) {
	h := headed.of(text, func(text string) (h headingRead) {
		h.division, h.ok = readHeading(text)
		return h
	})
	return h.division, h.ok
}

// headingRead is what heading gives.
type headingRead struct {
	division Division
	ok       bool
}

var headed textMemo[headingRead]

func readHeading(text string) (d Division, ok bool) {
	if d, ok = plainHeading(text); ok || !strings.ContainsAny(text, "([") {
		return d, ok
	}
	if d, ok = plainHeading(nameBrackets.ReplaceAllStringFunc(text, numberAlone)); !ok {
		return d, false
	}
	for _, b := range nameBrackets.FindAllString(text, -1) { // "Echo (III. Manual, c'-d3)"
		part, _, _ := strings.Cut(strings.Trim(b, "()[] "), ",")
		if m := playedFrom.FindStringSubmatch(part); m != nil { // "Fernwerk (auf IV)"
			part = m[1]
		}
		if h, found := plainHeading(part); found && h.Role == "" && d.Number == 0 {
			d.Number = h.Number
		}
	}
	if m := starsElsewhere.FindStringSubmatch(text); m != nil {
		d.starred = manualNumbers[strings.ToLower(m[1])]
	}
	inside := plain(strings.Join(nameBrackets.FindAllString(text, -1), " "))
	if d.Role == "" && d.Number > 0 { // "Tercer teclado (Recitativo, en caja expresiva)"
		for _, piece := range strings.FieldsFunc(strings.Join(nameBrackets.FindAllString(text, -1), ","), func(c rune) bool { return strings.ContainsRune("()[],;", c) }) {
			if named, found := plainHeading(piece); found && named.Role != "" && d.Role == "" {
				d.Role, d.Name, d.Enclosed, d.Pedal = named.Role, named.Name, d.Enclosed || named.Enclosed, named.Pedal
			}
		}
	}
	for w, boxes := range boxWords {
		d.Enclosed = d.Enclosed || boxes && !strings.Contains(inside, "part") && strings.Contains(inside, w) && !strings.Contains(inside, "un"+w)
	}
	if lo, hi, _, _, found := findCompass(strings.Trim(strings.Join(nameBrackets.FindAllString(text, -1), " "), "()[] "), d.Pedal); found && (d.LowKey == 0 || compassText.MatchString(inside)) { // its keys say more than how many they are
		d.LowKey, d.HighKey = lo, hi
	} else if !d.Pedal && d.LowKey == 0 && (tenorC.MatchString(inside) || strings.Contains(inside, "from tenor c")) {
		d.LowKey = 48 // "Swell (from tenor C)"
	} else if m := fromKey.FindStringSubmatch(inside); m != nil && !d.Pedal && d.LowKey == 0 && keyNamed(m[1]) > 40 { // "Echo (discantklavier, vanaf c')"
		d.LowKey = keyNamed(m[1])
	}
	return d, true
}

// numberAlone is a bracket with the number of a manual as it stands; any other is left out.
func numberAlone(bracket string) string {
	if manualNumbers[strings.Trim(plain(bracket), "()[] ")] > 0 {
		return bracket
	}
	return " "
}

func plainHeading(text string) (d Division, ok bool) {
	text = strings.Trim(strings.TrimSpace(text), ":*_#=-~. \t>•·●○▪–")
	if text == "" || len(text) > 90 || strings.HasPrefix(text, "+") || strings.Contains(text, " + ") {
		return d, false
	}
	text = ofKeyboard.ReplaceAllString(text, "$1")
	text = clavierNamed.ReplaceAllString(leadIn.ReplaceAllString(text, ""), "")
	printed := text
	low := plain(text)
	if expressionPedal.MatchString(low) || pedalPair.MatchString(low) || octaveByPitch.MatchString(low) && roleOf(fold(strings.TrimRight(low, " 1648'"))) != "" {
		return d, false
	}
	pedal := strings.Contains(low, "ped") || strings.Contains(low, "contras")
	if m := bothManuals.FindStringSubmatch(text); m != nil {
		d.either = manualNumbers[plain(m[2]+m[4])]
		text = strings.Replace(text, m[0], "Manual "+m[1]+m[3]+" ", 1)
	}
	if l, h, rest, _, found := findCompass(text, pedal); found {
		if compassText.MatchString(text) && len(keyCount.FindAllStringIndex(text, 2)) == 1 { // "Pedal C-f', 30 Töne"
			rest = keyCount.ReplaceAllString(rest, " ")
		}
		d.LowKey, d.HighKey, text = l, h, rest
	} else if m := compassText.FindStringSubmatchIndex(text); m != nil { // a misprint, of no keyboard
		text = text[:m[2]] + " " + text[m[5]:]
	}
	text = wordCompass.ReplaceAllString(text, " ")
	text = southernRemark.ReplaceAllString(frenchStyle.ReplaceAllString(text, " "), " ")
	if t := inBoxSaid.ReplaceAllString(text, " "); t != text {
		d.Enclosed, text = true, t
	}
	if m := shortCompass.FindStringSubmatch(text); m != nil && d.HighKey == 0 {
		if n := atoi(m[1]); !pedal { // a keyboard of the treble alone ends where the others end, D6 in the organs that have one
			d.LowKey, d.HighKey = 87-n, 86
		}
		text = strings.Replace(text, m[0], " ", 1)
	}
	if m := fromKey.FindStringSubmatchIndex(text); m != nil && d.HighKey == 0 && !pedal { // "II. Echo ab f°"
		if key := keyNamed(text[m[2]:m[3]]); key > 40 {
			d.LowKey, text = key, text[:m[0]]+" "+text[m[1]:]
		}
	}
	text = keysSaid.ReplaceAllString(bareCompass.ReplaceAllString(text, " "), " ")
	text = stopsCount.ReplaceAllString(text, " ")
	if m := headWind.FindStringSubmatch(text); m != nil {
		d.WindMM = windOf(m[1], m[2])
		text = strings.Replace(text, m[0], " ", 1)
	}
	if footSign.MatchString(text) { // "Tuba 4'" is a stop
		return d, false
	}
	text = parens.ReplaceAllString(text, " ")
	words := strings.FieldsFunc(plain(text), func(r rune) bool { return strings.ContainsRune(" ,;:/-=&+*|\"'", r) })
	if len(words) == 0 || len(words) > 8 {
		return d, false
	}
	manual := false
	for i := 0; i < len(words); {
		n := len(words) - i
		for ; n > 0; n-- {
			phrase := strings.Join(words[i:i+n], " ")
			if n > 1 && manualNumbers[words[i+n-1]] > 0 && roleOf(fold(strings.Join(words[i:i+n-1], " "))) != "" {
				continue // "Organo Espressivo (I)": the number is the manual's
			}
			if role := roleOf(fold(phrase)); role != "" && (d.Role == "" || d.Role == role || boxed(fold(phrase))) && !(len(phrase) < 2 && len(words) > 1) {
				if d.Role == "" {
					d.Role = role
				} else if d.Role != role {
					d.Enclosed = true // "Positiv (Schwellwerk)"
				}
				d.Enclosed = d.Enclosed || boxed(fold(phrase))
				d.Name = strings.TrimSpace(d.Name + " " + phrase)
				break
			}
		}
		if n > 0 {
			i += n
			continue
		}
		w := strings.Trim(words[i], ".")
		switch number := manualNumbers[w]; {
		case number > 0 && d.Number == 0:
			d.Number = number
		case manualWords[w] || strings.HasSuffix(w, "manual") && manualNumbers[strings.Trim(strings.TrimSuffix(w, "manual"), ".")] > 0:
			manual = true
			if x := manualNumbers[strings.Trim(strings.TrimSuffix(w, "manual"), ".")]; x > 0 {
				d.Number = x
			}
		case boxWords[w] || nearWord(w):
			d.Enclosed = true
		case strings.HasPrefix(w, "i.manual") || strings.HasPrefix(w, "i.man"):
			manual, d.Number = true, 1
		case fillers[w] || w == "swell" || w == "" || w == "i" && d.Number > 0: // "II. manual (i svell)"
		case numberedManual.MatchString(w):
			manual, d.Number = true, manualNumbers[numberedManual.FindStringSubmatch(w)[1]]
		default:
			found := 0
			for n = min(3, len(words)-i); n > 0 && d.Role == "" && len(w) > 1; n-- {
				phrase := strings.Join(words[i:i+n], " ")
				if n > 1 && manualNumbers[words[i+n-1]] > 0 {
					continue
				}
				if d.Role = nearRole(phrase); d.Role != "" {
					d.Name, found = phrase, n
				}
			}
			if found == 0 {
				return d, false
			}
			i += found - 1
		}
		i++
	}
	switch {
	case d.Role == "" && d.Number == 0 && !manual && !(len(words) == 1 && (words[0] == "manual" || words[0] == "manuale" || words[0] == "manuaal")):
		return d, false
	case d.Role == "" && !manual && d.LowKey == 0 && !romanOnly.MatchString(strings.TrimSpace(printed)):
		return d, false
	case d.Role == "pedal":
		d.Pedal = true
	}
	d.Name = titled(d, text)
	d.Enclosed = d.Enclosed || boxed(fold(d.Name)) // "SW" is a Schwellwerk
	if strings.Contains(low, "unenclosed") || strings.Contains(low, "unexpressive") {
		d.Enclosed = false
	}
	return d, true
}

// nearRole is the role that a word heads with one wrong letter, "Positf"; "" where it heads none or is the name of a stop.
func nearRole(word string) string {
	key := fold(word)
	if len(key) < 6 || strings.ContainsAny(key, "0123456789") || nearWord(key) || len(table().byKey[key]) > 0 {
		return ""
	}
	return roleOf(roleSpellings().nearest(key, 6))
}

// roleSpellings are the folded names of divisions.
var roleSpellings = sync.OnceValue(func() *spellings {
	roles, _ := rolesAndBoxes()
	return spellingsOf(slices.Collect(maps.Keys(roles)))
})

// nearWord tells whether w is a word for a swell box with one wrong letter.
func nearWord(w string) bool {
	if len(w) < 7 {
		return false
	}
	for known, boxes := range boxWords {
		if boxes && oneEdit(known, w) {
			return true
		}
	}
	return false
}

var (
	keysSaid       = lazyregexp.New(`(?i)= ?\d\d (?:noten|töne|tasten|notes|keys|touches|tasti|tonen|toetsen|n\.)\b`)
	footSign       = lazyregexp.New(`\d ?'`)
	numberedManual = lazyregexp.New(`^(i{1,3}|iv|v|[1-5])\.?(?:manual|man|klavier|clavier|manuaal|manuale|tastiera|m|teclado|werk)\.?$`)
	headingWords   = lazyregexp.New(`[\s,;:()\[\]/]+`)
	// expressionPedal works a swell box or stops: "Pedal de expresión", "Expression du Récit", "Pédales de combinaisons". A choir organ is no keyboard.
	expressionPedal = lazyregexp.New(`^pedale?s? (?:de |d'|di )?(?:expres|espres|combin|appel|crescendo|accoupl)|^expresion (?:de(?:l| la)? )?\pL|^espressione (?:del(?:la)? )?\pL|^expression (?:du |de la |de l'|des )?\pL|^(?:grand )?orgue de choeur`)
	// pedalPair is a coupler: "II/Ped."
	pedalPair = lazyregexp.New(`^(?:i{1,3}|iv|[1-4]) ?[/>] ?(?:ped(?:al|ale|aal)?\.?|p\.?)$`)
	// octaveByPitch is an octave coupler, "Great 4": no manual is counted so behind its name.
	octaveByPitch = lazyregexp.New(`^\pL[\pL.]* (?:16|8|4)'?$`)
	romanOnly     = lazyregexp.New(`^[IVX]{1,3}\.?:?$`)
	// keyboardName is the name of a division for its keyboard alone.
	keyboardName = lazyregexp.New(`(?i)(?:klavier|manual|manuaal)$`)
)

// keyboardOf leads to the division of a keyboard.
var keyboardOf = lazyregexp.New(`(?i)^(?:\d(?:er|e|ème) )?clavier (?:de la |de l'|de |du |d')`)

// bothManuals heads stops of which each is drawn on one manual or on another: "Manuale I/II", "Wechselschleifen (Manual I/II)".
var bothManuals = lazyregexp.New(`(?i)^(?:(?:wechselschleifen?|wechselregister)[ :(\-]*)?(?:manuale?n? |(?:wechselschleifen?|wechselregister)[ :(\-]*(?:in |für |zwischen )?)(?:man\. ?)?(I{1,3}|IV)\.? ?(?:/|\+|&|-|und|u\.|oder) ?(?:manual |man\. ?)?(I{1,3}|IV)\b\.?\)?(?:[ ,(\-]*(?:wechselschleifen?|wechselregister)\)?)?|^(I{1,3}|IV)\. ?(?:/|\+|&|und|u\.) ?(I{1,3}|IV)\. manual(?:[ ,(\-]*(?:wechselschleifen?|wechselregister)\)?)?`)

// titled is the name of a division as it is printed, without compass, number and brackets.
func titled(d Division, printed string) string {
	if d.Role == "" {
		roman := []string{"", "I", "II", "III", "IV", "V", "VI"}
		if d.Number == 0 {
			return "Manual"
		}
		return "Manual " + roman[d.Number]
	}
	if first, _, found := strings.Cut(printed, " / "); found { // "Schwellwerk / Récit expressif"
		if name := titled(d, first); roleOf(fold(name)) == d.Role {
			return name
		}
	}
	// the printed words that made the role
	words := slices.DeleteFunc(headingWords.Split(printed, -1), func(w string) bool { return w == "" })
	if n := slices.IndexFunc(words, func(w string) bool { return w == "-" }); n > 0 && n+1 < len(words) && manualNumbers[plain(words[0])] > 0 && roleOf(fold(strings.Join(words[n+1:], " "))) == d.Role {
		words = words[n+1:] // "Prima tastiera - Grand'Organo"
	}
	if m := keyboardOf.FindStringIndex(printed); m != nil && m[1] < len(printed) && d.Role != "" { // "Clavier de Récit" is the Récit
		if name := titled(d, printed[m[1]:]); roleOf(fold(name)) == d.Role {
			return name
		}
	}
	keyboard := "" // "Onderklavier (Hoofdwerk)" is the Hoofdwerk
	for n := min(4, len(words)); n > 0; n-- {
		for i := 0; i+n <= len(words); i++ {
			phrase := strings.Join(words[i:i+n], " ")
			if last := words[i+n-1]; n > 1 && (len([]rune(last)) == 1 || manualNumbers[plain(last)] > 0 && roleOf(fold(strings.Join(words[i:i+n-1], " "))) == d.Role) { // "Bovenwerk C", "Positiv II"
				continue
			}
			if role := roleOf(fold(phrase)); role == d.Role && len(fold(phrase)) > 0 {
				phrase = strings.Trim(phrase, ".:*-_ ")
				for _, cut := range []string{" organ", " expressif", " (expressif)", " exp", " orgel"} {
					if n := len(phrase) - len(cut); n > 0 && strings.EqualFold(phrase[n:], cut) && roleOf(fold(phrase[:n])) == d.Role {
						phrase = strings.TrimRight(phrase[:n], " -")
					}
				}
				if !keyboardName.MatchString(phrase) {
					return capital(phrase)
				}
				if keyboard == "" {
					keyboard = capital(phrase)
				}
			}
		}
	}
	if keyboard != "" {
		return keyboard
	}
	return capital(d.Name)
}

// capital writes a name that is all in capitals or all small with one capital a word.
func capital(s string) string {
	if short := strings.ToUpper(strings.NewReplacer(".", "", "-", "", " ", "").Replace(s)); len([]rune(short)) <= 3 {
		if long := map[string]string{"HW": "Hauptwerk", "RP": "Rückpositiv", "OW": "Oberwerk", "BW": "Brustwerk", "SW": "Schwellwerk", "GO": "Grand Orgue", "PED": "Pedal", "POS": "Positif", "REC": "Récit", "RÉC": "Récit", "PÉD": "Pédale", "P": "Pedal", "GT": "Great", "CH": "Choir", "SO": "Solo", "RW": "Rugwerk", "NW": "Nevenwerk", "FW": "Fernwerk", "OE": "Organo Espressivo"}[short]; long != "" {
			return long
		}
	}
	if s != strings.ToUpper(s) && s != strings.ToLower(s) {
		return s
	}
	words := strings.Fields(strings.ToLower(s))
	for i, w := range words {
		if i > 0 && (w == "de" || w == "du" || w == "à" || w == "di" || w == "del") { // "Positif de dos"
			continue
		}
		r := []rune(w)
		words[i] = strings.ToUpper(string(r[0])) + string(r[1:])
	}
	return strings.Join(words, " ")
}
