package stoplist

import (
	"strings"

	"afterchord/acoustics/lazyregexp"
	"afterchord/voicing"
)

// What only French lists write: the halves of a divided keyboard before the name, the subheadings of a division, and what a stop is
// behind its length.

// frenchHalf begins the name of half a stop: "Dessus de cornet", "Basse de trompette".
var frenchHalf = lazyregexp.New(`^(?:(dessus)|basses?) (?:de |d'|du )\pL`)

// halfNamed is the half of the keyboard that the name of a stop says, as a word for a note; "" where it says none. A "Basse de flûte" or "Basse de
// viole" is a whole stop.
func halfNamed(name string, k *Kind, pedal bool) string {
	m := frenchHalf.FindStringSubmatch(plain(name))
	switch {
	case m == nil || pedal:
		return ""
	case m[1] != "":
		return "dessus"
	case k.Family == voicing.Reed || k.Compound != "" || k.Name == "Stopped Diapason":
		return "basse"
	}
	return ""
}

// subheading stands over some of a division's stops: "Jeux de fonds", "Jeux d'anches", "sur appel".
var subheading = lazyregexp.New(`^(?:(?:les |autres )?jeux de (?:fonds?|fond et de mutation|combinaisons?|mutations?|detail|tierce et de detail|base|solo|l'appel|l'anche)|(?:les )?jeux d'(?:anches?|appel|echo|ornement)|jeux (?:ouverts|bouches|graves|aigus|expressifs|repris|neufs|anciens|reels|emprunte?s|doux|forts|sur appel|d'anches et de combinaisons?|de fonds et d'anches)|pleins? ?-?jeux et mixtures|fonds|anches|mutations|mixtures|(?:puis )?sur appel(?: d'anches)?|fonds et mutations|anches et mixtures)$`)

// sayWhat is what stands behind a length and is the rest of the name: "Flûte 8 ouverte", "Bourdon 8' à cheminée", "Trompette 8 en chamade". It is "" where
// what stands there is no part of a name.
func sayWhat(name, behind string) string {
	behind = strings.Trim(behind, " .")
	if !startsSmall(behind) || len(strings.Fields(behind)) > 3 || strings.ContainsAny(behind, ",;:()[]/") || len(spans(behind)) > 0 {
		return ""
	}
	if behind == "en chamade" && known(name) {
		return name + " en chamade"
	}
	if whole := name + " " + behind; len(table().byKey[fold(whole)]) > 0 && !onlyNotes(behind) {
		return whole
	}
	return ""
}

// tirasseWithin is what a bracket behind the heading of a pedal says of its coupler: "(tirasse permanente de la Résonance, 20 notes)".
var tirasseWithin = lazyregexp.New(`(?i)[(,] ?((?:en )?tirasses? [^(),]*)`)

// tirasseIn reads the coupler that the heading of a pedal names.
func (r *reader) tirasseIn(heading string) {
	if m := tirasseWithin.FindStringSubmatch(heading); m != nil && r.inPedal() {
		r.wait(IsCoupler, m[1], r.current)
	}
}

// saidOfBuilding begins a sentence on what a French list tells of console, case and chests.
var saidOfBuilding = lazyregexp.New(`^(?:(?:la|le|les|une?|grande?|belle) )?(?:consoles?|buffets?|soufflerie|soufflets?|sommiers?|tuyauterie|facades?|mecanique|abreges?|bancs?|tirants?|porcelaines?|plaques?|alimentation|ventilateurs?|inscriptions?|claires?-voies?|rideau|polychromie|reservoirs?|boite a soufflets|harmonisation|restauration|classement|emplacement|tribune|proprietaire|facteurs?|entretien|etat) ?[\pL,:(]`)

// letteredHalf is a half of the keyboard by its letter: "Clairon 4' (B)", "Flûte 8' (d)".
var letteredHalf = lazyregexp.New(`(?i)\( ?([bd])\.? ?\)`)

// halfInBrackets is the half that a letter in brackets stands for, "b" or "d", in a list that has halves; "" where it has none, and (b) may be a footnote.
func (r *reader) halfInBrackets(note string) string {
	m := letteredHalf.FindStringSubmatch(note)
	if m == nil || strings.Contains(r.whole, "(a)") || strings.Contains(r.whole, "(c)") || !containsAny(r.whole, "b+d", "b/d", "b.+d", "dessus", "(d)", "(d.)", "b et d") {
		return ""
	}
	return strings.ToLower(m[1])
}

// alsoAt says in a bracket at which other pitches couplers work: "III/I, III/II (également en 16' et 4' pour III/I)".
var alsoAt = lazyregexp.New(`(?i),? ?\(?(?:[ée]galement|aussi) (?:disponibles? )?(?:en |à )?(16|8|4)'?(?:(?: et |, | & )(?:en )?(16|8|4)'?)?(?: pour ([^()]+))?\)?`)

// withOtherPitches adds the couplers of such a bracket to the text that it stands in.
func withOtherPitches(text string) string {
	m := alsoAt.FindStringSubmatchIndex(text)
	if m == nil {
		return text
	}
	pitches := text[m[2]:m[3]]
	if m[4] >= 0 {
		pitches += ", " + text[m[4]:m[5]]
	}
	head := text[:m[0]]
	parts := splitList(head)
	if m[6] >= 0 {
		parts = splitList(andWord.ReplaceAllString(text[m[6]:m[7]], ", "))
	} else if len(parts) > 0 {
		parts = parts[len(parts)-1:]
	}
	for _, p := range parts {
		if isPair(p) {
			head += "; " + p + " " + pitches
		}
	}
	return head + text[m[1]:]
}

// wordCompass is a compass without its octaves, which a count of the keys goes with: "d'ut à sol, 56 notes".
var wordCompass = lazyregexp.New(`(?i)[ ,(]+(?:de |d'|du )?(?:ut|do|fa|la) (?:à|au) (?:ut|do|ré|mi|fa|sol|la)\b\)?`)

// ofThePipes tells whether what stands behind a colon says how the pipes of a stop are made: "Montre 8' : étain, en façade".
func ofThePipes(text string) bool {
	from := fromKey.FindStringIndex(text)
	return len(spansOfFeet(text)) == 0 && pipesMade.MatchString(plain(text)) && (from == nil || from[0] > len(text)/2) // "dès ut 3, étain" begins there
}

var pipesMade = lazyregexp.New(`(?:^|[^\pL])(?:sapin|chene|etain|etoffe|bois|plomb|cuivre|zinc|metal|anciens?|anciennes?|neu[fv]e?s?|facade|pavillons?|d'origine|holz|zinn|metall|eiche|alt|neu)(?:$|[^\pL])`)

// workedByFoot is the pedal or the knob that a tremulant is drawn by: "Pédale de tremblant".
var workedByFoot = lazyregexp.New(`(?i)^ *(?:pédale|tirant|bouton|cuillère)s? (?:de |du |d')`)

// inBoxSaid says of a keyboard that its pipes stand in a box: "Clavier de Récit (56 notes) dans une boîte expressive".
var inBoxSaid = lazyregexp.New(`(?i)[ ,(]+(?:(?:enfermée?s? |placée?s? |en entier )?(?:dans|en|sous) (?:une |la |sa )?bo[iî]te (?:d'expression|expressive)|sous expression)\)?`)

// ofKeyboard begins a division's name with a word for its keyboard: "Clavier d'Écho", "Clavier des Bombardes".
var ofKeyboard = lazyregexp.New(`(?i)^(?:le |la |les |jeux )?(?:claviers?|manuels?) (?:de la |des |de |du |d'|de l')([gprébrsch]\pL)`)

// frenchStyle says in a heading how a pedal is made, its low keys apart.
var frenchStyle = lazyregexp.New(`(?i)[ ,(]+(?:(?:dite? )?(?:à|a) la française|(?:avec |en )?ravalement(?: (?:au|à|en|jusqu'au|jusqu'à l') ?(?:fa|sol|la|si|ut|do)[ -]?[01]?| (?:au|à|en) [FGAB][°0]?)?)\b\)?`)

var (
	// lowerKeys is the key down to which the compass of a keyboard goes on below its C: "ravalement au fa".
	lowerKeys = lazyregexp.New(`(?i)(?:(?:avec|en|à) )?ravalement (?:au|à|en|jusqu'au|jusqu'à l')? ?(fa|sol|la|si|[fgab])[ -]?[°01]?(?:$|[^\pL\d])`)
	// belowC is a compass that begins below C: "A° - f", "la0 à fa3". No pedal begins in the small octave.
	belowC = lazyregexp.New(`(?:^|[^\pL\d])(?:([FGABH])[°,0]|((?i:fa|sol|la|si)) ?-?0) ?(?:-|à|au) ?(?:([a-g])(?:[°0])?|((?i:do|ut|ré|re|mi|fa|sol|la)) ?([234]))(?:$|[^\pL\d'])`)
)

// ravalement finds the compass of a pedal that goes on below its C, as French organs of the 18th century have it.
func ravalement(text string, pedal bool) (low, high int, rest string, ok bool) {
	if !pedal {
		return 0, 0, text, false
	}
	if m := belowC.FindStringSubmatchIndex(text); m != nil {
		part := func(n int) string {
			if m[2*n] < 0 {
				return ""
			}
			return strings.ToLower(text[m[2*n]:m[2*n+1]])
		}
		low, high = 24, 48
		if s := part(1); s != "" {
			low += pitchClass[s[0]]
		} else {
			low += solmization[part(2)]
		}
		if s := part(3); s != "" {
			high += pitchClass[s[0]]
		} else {
			high = 36 + 12*(atoi(part(5))-1) + solmization[part(4)]
		}
		if high-low >= 12 && high-low < 44 {
			return low, high, text[:m[0]] + " " + text[m[1]:], true
		}
	}
	m, n := lowerKeys.FindStringSubmatch(text), keyCount.FindStringSubmatch(text)
	if m == nil || n == nil || compassText.MatchString(text) {
		return 0, 0, text, false
	}
	s := strings.ToLower(m[1])
	pc, named := solmization[s]
	if !named {
		pc = pitchClass[s[0]]
	}
	low = 24 + pc
	return low, low + atoi(n[1]) - 1, strings.Replace(strings.Replace(text, m[0], " ", 1), strings.Trim(n[0], " ,("), " ", 1), true
}

// smallCompass is that of a keyboard that begins in the small octave, with the count of its keys to tell it from one in loose spelling: "c - c”', 37 notes".
var smallCompass = lazyregexp.New(`(?:^|[^\pL\d'])([c-g]) ?(?:-|à|to|bis) ?([a-g])(?:'''|3)(?:$|[^\pL\d'])`)

// fromSmall finds such a compass.
func fromSmall(text string) (low, high int, rest string, ok bool) {
	m, n := smallCompass.FindStringSubmatchIndex(text), keyCount.FindStringSubmatch(text)
	if m == nil || n == nil {
		return 0, 0, text, false
	}
	low, high = 48+pitchClass[text[m[2]]], 84+pitchClass[text[m[4]]]
	if high-low+1 != atoi(n[1]) {
		return 0, 0, text, false
	}
	return low, high, keyCount.ReplaceAllString(text[:m[2]]+" "+text[m[1]:], " "), true
}

// withoutLowSharp says that the lowest C sharp is left out, so that the keys are one fewer than the compass.
var withoutLowSharp = lazyregexp.New(`(?i)[ ,(]*\b(?:sans|moins|senza) (?:le |l'|il )?(?:1er |premier |primo )?(?:do|ut) ?(?:#|dièse|diesis|1 ?#|#1|1 (?:dièse|diesis))(?: ?1| grave)?`)

// ordinalKey is a key or an octave by its number: "à partir du 2e ut", "(3e do)", "2e octave", "troisième ut".
var ordinalKey = lazyregexp.New(`(?i)(?:(du |au |le |de la |à la |la |[(])?\b([23]|deuxième|second|seconde|troisième)(?:e|ème|nd|nde)?)(?: |-)(ut|do|sol|fa|octave)\b`)

// keysByOctave writes such keys as "ut2".
func keysByOctave(s string) string {
	return ordinalKey.ReplaceAllStringFunc(s, func(m string) string {
		g := ordinalKey.FindStringSubmatch(m)
		n, name := "2", g[3]
		if g[2] == "3" || strings.EqualFold(g[2], "troisième") {
			n = "3"
		}
		if strings.EqualFold(name, "octave") {
			if g[1] == "" { // a "2e octave" without more may be a stop
				return m
			}
			name = "ut"
		}
		switch lead := strings.ToLower(g[1]); lead {
		case "de la ":
			return "du " + name + n
		case "à la ", "la ":
			return "au " + name + n
		default:
			return g[1] + name + n
		}
	})
}
