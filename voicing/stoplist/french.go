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
