package stoplist

import (
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// The stops of a keyboard in two halves stand under a heading for each hand, one below the other or side by side.

// hand is a column with the stops of one half of the keyboard.
type hand struct {
	half   string
	offset int
}

var (
	// ofHand are the words that lead to the half in its heading: "Registros de mano izquierda", "Lado derecho", "Parte dei soprani".
	ofHand = lazyregexp.New(`^(?:(?:registros?|registos?|registri|registres|juegos?|jogos?|jocs?|jeux|stops|tiradores|lado|parte|parts?|mitad|metade|meitat|meta|lato|teclado|teclat|tastiera|costat) (?:del? |de la |da |do |dei |dels? |per |per a la |para la |for |for the )?)+(?:la |los |las |os |els |the )?`)
	// oneHand is a half of the keyboard: the bass, the treble, or both.
	oneHand = lazyregexp.New(`^(?:(mano izquierda|mao esquerda|ma esquerra|mano sinistra|main gauche|ma?o? esq\.?|m(?:ano|\.)? ?iz(?:q|qda|qu?ierd|da)?a?\.?|izquierd[oa]s?|izqd?[oa]?\.?|esquerd[oa]s?|esquerr[ae]?|esq\.?|left hand|left|baixos?|baixes|bajos?|bassi|m\.? ?[ie]\.?|basse|bas|bass)|(mano derecha|mao direita|ma dreta|mano destra|main droite|ma?o? dir\.?|m(?:ano|\.)? ?d(?:er|rch|ch|cha|recha)?a?\.?|derech[oa]s?|d(?:ch|rch)[oa]?\.?|direit[oa]s?|dret[ae]?|dir\.?|right hand|right|tiples?|soprani|m\.? ?d\.?|dessus|discantos?|discant|diskant|treble)|(ambas manos|ambas as maos|ambdues mans|ambas partes|(?:registros |registos |registri |registres )?(?:enter[oi]s?|inteir[oi]s?|inter[oi]|sencers?)|todo el teclado|toda la extension|intera tastiera))$`)
	// handKeys are the keys from which and to which a half goes: "Mão Direita (Dó#3-Fá5)".
	handKeys = lazyregexp.New(`((?:do|re|mi|fa|sol|la|si|[a-h]) ?(?:#|is|s)? ?[1-5'°]{1,3}) ?(?:-|a|to|al) ?((?:do|re|mi|fa|sol|la|si|[a-h]) ?(?:#|is|s)? ?[1-6'°]{1,4})`)
)

// handOf is the half of the keyboard that a heading stands for, "bass" or "treble", "both" for all of it; "" for none. Brackets may say its keys,
// or name it once more.
func handOf(text string) string {
	if len(text) > 60 {
		return ""
	}
	text = strings.Trim(handKeys.ReplaceAllString(plain(text), " "), " .:")
	bare := strings.Trim(strings.Join(strings.Fields(nameBrackets.ReplaceAllString(text, " ")), " "), " .:")
	if bare == "" {
		bare = strings.Trim(text, " .:()")
	}
	m := oneHand.FindStringSubmatch(ofHand.ReplaceAllString(bare, ""))
	switch {
	case m == nil:
		return ""
	case m[1] != "":
		return "bass"
	case m[2] != "":
		return "treble"
	}
	return "both"
}

// underHand goes on with the stops of a half; where its heading says its keys, the keyboard is cut there.
func (r *reader) underHand(half, text string) {
	r.half = half
	if m := handKeys.FindStringSubmatch(plain(text)); m != nil && r.trebleKey == 0 {
		first := keyNamed(m[1])
		if half == "bass" {
			first = keyNamed(m[2]) + 1
		}
		if first >= 55 && first <= 66 {
			r.trebleKey = first
		}
	}
	if half == "both" {
		r.say(IsExtra, "heading: both halves", "")
		return
	}
	r.say(IsExtra, "heading: "+half+" half", "")
}

// betweenHands parts the headings of both halves that stand in one cell.
var betweenHands = lazyregexp.New(` +[/\-–|] +|/| {2,}| (?:y|e|i|und|et|and|en) | ?[&+] ?`)

// twoHands reads "Mano izquierda     Mano derecha": the halves stand side by side from here on.
func (r *reader) twoHands(list []cell) bool {
	list = slices.DeleteFunc(slices.Clone(list), func(c cell) bool { return c.text == "" })
	if len(list) == 1 {
		list = handsInOne(list[0].text)
	}
	if len(list) != 2 {
		return false
	}
	var hands []hand
	for _, c := range list {
		half := handOf(c.text)
		if half == "" || half == "both" {
			return false
		}
		hands = append(hands, hand{half, c.offset})
	}
	if hands[0].half == hands[1].half {
		return false
	}
	r.hands = hands
	for i, c := range list {
		r.underHand(hands[i].half, c.text)
	}
	return true
}

// handsInOne are the headings of both halves that a copy left side by side in one cell, "Mano izquierda Mano derecha"; nil where it holds anything else.
func handsInOne(text string) []cell {
	if parts := betweenHands.Split(text, -1); len(parts) == 2 && handOf(parts[0]) != "" && handOf(parts[1]) != "" {
		return []cell{{parts[0], 0, 0}, {parts[1], 1, 0}}
	}
	words := strings.Fields(text)
	for n := 1; n < len(words) && len(words) <= 8; n++ {
		a, b := strings.Join(words[:n], " "), strings.Join(words[n:], " ")
		if x, y := handOf(a), handOf(b); x != "" && y != "" && x != y && x != "both" && y != "both" {
			return []cell{{a, 0, 0}, {b, 1, 0}}
		}
	}
	return nil
}

// handOver is the half to which a cell belongs, the n-th of those that have text in its row.
func (r *reader) handOver(c cell, n, filled int) string {
	if filled == len(r.hands) {
		return r.hands[n].half
	}
	if r.hands[0].offset == r.hands[1].offset { // their headings stood in one cell: which of both a row of one stop belongs to, only its name may tell
		if found, _ := r.stopsIn(stripBullet(c.text), false); len(found) == 1 && (found[0].Kind.Compound == "cornet" || found[0].Kind.Treble) {
			return "treble"
		}
		return "both"
	}
	best := r.hands[0]
	for _, h := range r.hands[1:] {
		if abs(h.offset-c.offset) < abs(best.offset-c.offset) {
			best = h
		}
	}
	return best.half
}

// besideHands parts a line without a gap into the stops of both halves, where their headings had none either.
func (r *reader) besideHands(list []cell) []cell {
	if len(r.hands) < 2 || r.hands[0].offset != r.hands[1].offset || len(list) != 1 || r.section != inStops {
		return list
	}
	parts := r.apart(list[0].text)
	if parts == nil {
		parts = r.twoInARow(list[0].text, false)
	}
	if parts == nil {
		if words := strings.Fields(list[0].text); len(words)%2 == 0 && slices.Equal(words[:len(words)/2], words[len(words)/2:]) { // "Octava Octava"
			half := strings.Join(words[:len(words)/2], " ")
			parts = []string{half, half}
		} else {
			parts = namesSideBySide(list[0].text)
		}
	}
	if len(parts) != 2 {
		return list
	}
	return []cell{{parts[0], 0, 0}, {parts[1], 1, 0}}
}

// handAtEnd is the half that the last words before a list of stops name: "… y los siguientes registros de mano izquierda"; "" for none.
func handAtEnd(text string) string {
	words := strings.Fields(strings.Trim(text, " .,:;"))
	for n := min(3, len(words)); n > 1; n-- {
		if half := handOf(strings.Join(words[len(words)-n:], " ")); half != "" {
			return half
		}
	}
	return ""
}

// countOfContras is how many pipes the pedal has, before their name: "12 contras".
var countOfContras = lazyregexp.New(`(?i)^\d{1,2} (contras|contres|pisas)\b`)

// handBehind is a half behind the name of a division or a stop: "Órgano Mayor - mano izquierda", "Cadereta (m.d.)".
var handBehind = lazyregexp.New(`^(.+?) ?(?:[-–,:(\[]|de) ?((?i:m(?:ano|ão|ao|à|a) \pL+\.?|lado \pL+|m\. ?[ide]\.|tiples?|bajos?))[)\]]?[ .:]*$`)

// headedHand reads the heading of a division that is one of its halves too.
func (r *reader) headedHand(text string) bool {
	m := handBehind.FindStringSubmatch(text)
	if m == nil {
		return false
	}
	half := handOf(m[2])
	d, ok := heading(m[1])
	if half == "" || !ok || d.Role == "" {
		return false
	}
	r.current, r.section, r.columns = r.open(d), inStops, nil
	r.say(IsHeading, r.headingText(r.current), "")
	r.underHand(half, text)
	return true
}
