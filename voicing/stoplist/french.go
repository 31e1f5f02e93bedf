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
