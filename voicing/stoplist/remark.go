package stoplist

import (
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// What a list says of how the pipes of a stop are made, and how far each material goes.

const materialNames = `(?:wood|oak|pine|metal|zinc|zink|tin|lead|copper|holz|eiche|fichte|kiefer|metall|zinn|blei|kupfer|bois|sapin|chêne|étain|étoffe|legno|stagno|piombo|zinco|madera|estaño|hout|eiken|metaal|lood)`

var (
	// materialRemark is a piece of a line that says it of all pipes, or of some: "all metal", "GG to D wood", "the rest metal".
	materialRemark = lazyregexp.New(`(?i)^(?:(?:all|the rest|rest|remainder|of)(?: of)?|[A-H]{1,3}(?:is|#|°|\d)? ?(?:to|bis|-|–|\.\.\.?|…) ?[A-H]{1,2}(?:is|#|°|'+|\d)?(?: in)?) ` + materialNames + `(?: through(?:out)?)?(?: \d\d pipes)?$`)
	// keyAndMaterial is the key from which a stop goes, and what its pipes are made of: "ab c° Zink".
	keyAndMaterial = lazyregexp.New(`(?i)((?:^|[ (,])(?:ab|from|vanaf|dès|dal|desde) [a-h](?:is|°|'{1,2}|\d)?) ` + materialNames + `(?: ([^ ]+)|$|[,;)])`)
	// materialFrom is what the pipes are made of from a key on, where the stop goes through: only one that beats is likely to begin there.
	materialFrom = lazyregexp.New(`(?i)(?:^|[ (,])(?:ab|from|vanaf|dès|dal|desde) [a-h](?:is|°|0|'{1,2}|\d)? (?:in )?` + materialNames + `(\)|[ ,;]|$)`)
	beatsByName  = lazyregexp.New(`(?i)c[oö]e?lest|schweb|unda|piffa|bifar|voce umana|vox angel|vox virg|d\pL*zu 8`)
	// lowestPipes are those of the lowest octaves, by themselves: "C … H Holz, ab c Metall". The stop goes through.
	lowestPipes = lazyregexp.New(`(?:^|[ ,(])C ?(?:-|–|\.\.\.?|…|bis|to) ?[A-Ha-h](?:is|°|\d|'+)?[ ,.]`)
)

// changesFrom says how the pipes of a stop are built from a key on: "ab c' offen". The stop goes through.
var changesFrom = lazyregexp.New(`(?i)(?:^|[ ,;(])(?:ab|from|von|vanaf|dès|dal|desde|od) [a-h](?:is|s|#)?[°0-3]?'{0,3} (?:an )?(?:offen|open|ouverte?s?|apert[oa]|gedeckt|gedackt|ged\.|(?:im )?prospekt|(?:in )?front|überblasend|konisch|zylindrisch|doppelt labiert|rep\.|repetierend|doppelt|zweifach|2-?fach|\d{1,2}(?: \d/\d)? ?(?:'|ft\b|fuß))'?`)

// notBorrowed says that another stop draws the pipes of this one: "Transmission ins Pedal möglich", "auch als Transmission im Pedal".
var notBorrowed = lazyregexp.New(`(?i)(?:auch |als |ist )*(?:transmission|transm\.|auszug|vorabzug|extension) (?:ins|in das|zum|für das|im|nach|auf|möglich|to|available|au|vers)\b[^,;()]*(?:möglich|spielbar|available)?|als vorabzug(?: (?:vorhanden|spielbar|ziehbar))?`)

// facadeFrom says from which key on the pipes of a stop stand in the front: "en façade dès do2", "(façade à partir du fa1)". The stop goes through.
var facadeFrom = lazyregexp.New(`(?i)(?:en |la )?(?:façade|montre|étain|bois|sapin|chêne|étoffe|ouverte?|bouchée?),? (?:dès|à partir (?:du|de)|depuis) (?:l'|le )?(?:ut|do|ré|mi|fa|sol|la|si) ?#?\d`)

// saidOfLowest is what is said of the lowest pipes, up to the end of the clause.
var saidOfLowest = lazyregexp.New(`(?:^|[ ,(])C ?(?:-|–|\.\.\.?|…|bis|to) ?[A-Ha-h](?:is|°|\d|'+)?[ ,][^.,;]*`)

// withoutMaterial takes away what a line says of the material of its stop, and the material behind a key where it is no stop with a length of
// its own.
func withoutMaterial(text string) string {
	if head, rest, found := strings.Cut(text, ","); found {
		kept := []string{head}
		for _, piece := range strings.Split(rest, ",") {
			if !materialRemark.MatchString(strings.Trim(piece, " .")) {
				kept = append(kept, piece)
			}
		}
		text = strings.Join(kept, ",")
	}
	if !beatsByName.MatchString(text) {
		text = strings.TrimSpace(materialFrom.ReplaceAllString(text, "$1"))
	}
	m := keyAndMaterial.FindStringSubmatchIndex(text)
	if m == nil || m[4] >= 0 && len(spans(text[m[4]:m[5]])) > 0 {
		return text
	}
	rest := text[m[1]:]
	if m[4] >= 0 {
		rest = " " + text[m[4]:]
	}
	return strings.TrimSpace(text[:m[3]] + rest)
}

// remarkCells reads the row of a table whose first cell is a stop and whose others say something of it: "Salicional 8' | ab c° Metall, zylindrisch |
// im Schweller".
func (r *reader) remarkCells(list []cell) bool {
	if len(r.columns) > 1 || r.section != inStops || r.current < 0 {
		return false
	}
	var cells []string
	for _, c := range list {
		if c.text != "" {
			cells = append(cells, c.text)
		}
	}
	if len(cells) < 2 || !r.isOneStop(stripBullet(cells[0])) {
		return false
	}
	for _, text := range cells[1:] {
		if !r.isRemarkCell(text) {
			return false
		}
	}
	found, _ := r.stopsIn(stripBullet(cells[0]), r.inPedal())
	for _, text := range cells[1:] {
		if lowestPipes.MatchString(text) { // what is said of them is not said of the others
			rest := saidOfLowest.ReplaceAllString(text, " ")
			found[0].Borrowed = found[0].Borrowed || borrowed.MatchString(rest)
			continue
		}
		for _, piece := range splitList(text) {
			r.note(&found[0], piece)
		}
	}
	r.add(r.current, found[0])
	return true
}

// isRemarkCell tells whether a cell holds words without a length, and no stop, division, coupler or tremulant.
func (r *reader) isRemarkCell(text string) bool {
	if onlyNotes(text) || startsSmall(text) && stoppedNote.FindString(text) == text {
		return true
	}
	if originCell.MatchString(text) {
		return true
	}
	_, head := heading(text)
	return !head && sectionOf(text) == "" && len(spansOfFeet(countedStop.ReplaceAllString(text, ""))) == 0 && beginsWithLetter(strings.TrimLeft(text, "0123456789% ")) &&
		!known(text) && !looksLikeCoupler(text) && !tremulantText.MatchString(text) && (startsSmall(text) || !isExtra(plain(text)))
}

// originCell says of which stop the pipes are: "Auszug aus Subbass 16'".
var originCell = lazyregexp.New(`(?i)^(?:auszug|vorabzug|vorauszug|transmission|transm\.|extension|ext\.|verlängerung|kombiniert|unit|borrowed|emprunt|prolungamento|uit|aus) (?:(?:aus|von|vom|mit|from|of|de|du|da|dal|van|dem|der|des) )*\pL[\pL .]+(?: \d{1,2}(?: \d/\d)? ?(?:'|ft|fuß)?)?$`)

// countedStop is another stop by its number in the list: "Auszug aus Nr. 4".
var countedStop = lazyregexp.New(`(?i)\b(?:nr?|no|nummer|number|n°)\.? ?\d{1,3}\b`)

// besidesIt stands before a stop that a line adds: "angehängt, dazu Untersatz 16'".
var besidesIt = lazyregexp.New(`(?i)(^|[,;] *)(?:dazu|ferner|außerdem|sowie|zusätzlich|ergänzt durch|plus)(?: noch)?:? `)

// secondInBrackets is another stop of the same knob: "Untersatz 32 Fuß (mit Octavbaß 16 Fuß)".
var secondInBrackets = lazyregexp.New(`(?i) *\((?:mit|und|with|and|avec|et|con|met|\+) ([^()]+)\)`)

// withSecond writes a stop that is drawn with another as a stop of its own.
func (r *reader) withSecond(text string) string {
	if r.section != inStops {
		return text
	}
	return secondInBrackets.ReplaceAllStringFunc(text, func(m string) string {
		second := secondInBrackets.FindStringSubmatch(m)[1]
		if !printsFeet(second) || !r.isOneStop(second) {
			return m
		}
		return ", " + second
	})
}
