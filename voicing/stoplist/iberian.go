package stoplist

import (
	"fmt"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// degreePattern is a degree above the unison as lists of Spain, Catalonia and Portugal write it: "19ª", "decinovena".
const degreePattern = `(?:(?:12|15|17|19|22|26|29) ?ª\.?|do[czs]ena|dotzena|duod[eé]cima|quin[czs]ena|(?:deci|di|deza|diez y )novena|dissetena|decisetena|v(?:e?)int(?:i|e|-i-)do[sz]ena)`

var (
	// mixtureOfDegrees is a compound stop with the degrees of its ranks: "Composta de 19ª e 22ª", "Lleno en 15ª".
	mixtureOfDegrees = lazyregexp.New(`(?i)\b(llenos?|compuestas?|compostas?|cheio|misturas?|mixturas?|plens?|forniments?|fornitur[ae]s?|na[sz]ardos) (?:de |em |en )?(` + degreePattern + `(?:(?:,? (?:y|e|i) |, ?|-)` + degreePattern + `)*)($|[^\pLª])`)
	// twoDegrees is a knob of two ranks: "Dezanovena e 22ª".
	twoDegrees = lazyregexp.New(`(?i)^([ \-–•*]*)(` + degreePattern + `)(?: (?:y|e|i) |-)(` + degreePattern + `)( *(?:\(.*\))?[ .]*)$`)
	oneDegree  = lazyregexp.New(`(?i)` + degreePattern)
)

// iberianDegrees writes the degrees of compound stops as number of ranks and length of the lowest, and of two ranks on one knob in the figures of a Ripieno.
func iberianDegrees(s string) string {
	if !strings.Contains(s, "ª") && !strings.Contains(strings.ToLower(s), "ena") {
		return s
	}
	s = mixtureOfDegrees.ReplaceAllStringFunc(s, func(m string) string {
		g := mixtureOfDegrees.FindStringSubmatch(m)
		degrees := oneDegree.FindAllString(g[2], -1)
		if len(degrees) == 1 {
			if strings.HasPrefix(plain(g[1]), "nas") || strings.HasPrefix(plain(g[1]), "naz") { // knobs of one rank each
				return m
			}
			return g[1] + " " + degreeFeet[degreeOfWord(degrees[0])] + "'" + g[3]
		}
		return fmt.Sprintf("%s %s' %d hileras%s", g[1], degreeFeet[degreeOfWord(degrees[0])], len(degrees), g[3])
	})
	if g := twoDegrees.FindStringSubmatch(s); g != nil && strings.ContainsAny(g[2]+g[3], "0123456789") {
		both := degreeRoman[degreeOfWord(g[2])] + "-" + degreeRoman[degreeOfWord(g[3])]
		if both == "XII-XV" {
			both = "Docena y quincena"
		}
		s = g[1] + both + g[4]
	}
	return s
}

var (
	degreeFeet  = map[int]string{12: "2 2/3", 15: "2", 17: "1 3/5", 19: "1 1/3", 22: "1", 26: "2/3", 29: "1/2"}
	degreeRoman = map[int]string{12: "XII", 15: "XV", 17: "XVII", 19: "XIX", 22: "XXII", 26: "XXVI", 29: "XXIX"}
)

// degreeOfWord is the number of a degree in figures or in a word of the three languages.
func degreeOfWord(word string) int {
	low := plain(word)
	if n := atoi(strings.TrimRight(low, "aª. ")); n > 0 {
		return n
	}
	switch {
	case strings.HasSuffix(low, "novena"):
		return 19
	case strings.HasSuffix(low, "setena"):
		return 17
	case strings.HasPrefix(low, "quin"):
		return 15
	case strings.HasPrefix(low, "v"):
		return 22
	}
	return 12
}

// hornsHeading heads the reeds in the front of a Spanish organ, which belong to a manual that is headed above.
var hornsHeading = lazyregexp.New(`(?i)^(?:lengüeter[ií]a|llengüeteria|trompeter[ií]a|palhetaria|trombetaria|registros|juegos|jocs|jogos|tubos)(?: de| en| da| em)? ?(?:l[ae]s? |el )?(?:horizontal(?:es|s)?|horitzontals?|exterior(?:es|s)?|fachada|façana|batalla|batalha|artiller[ií]a|chamade)(?: ?[(\[]([^()]*)[)\]])? *[:.]?$`)

// underHorns goes on with the manual to which the reeds in the front belong: the one in brackets, the one under way, or behind the pedal the main one.
func (r *reader) underHorns(text string) bool {
	m := hornsHeading.FindStringSubmatch(strings.TrimSpace(text))
	if m == nil || r.current < 0 {
		return false
	}
	to := r.current
	if ref := refOf(m[1]); ref.known() {
		to = r.list.resolve(ref)
	} else if r.inPedal() {
		to = r.list.main()
	}
	if to < 0 {
		return false
	}
	r.current, r.section, r.half, r.hands = to, inStops, "", nil
	r.say(IsExtra, "heading: stops of "+r.list.Divisions[to].Name, "")
	return true
}

// magnaLength is the octave below the others of a Trompeta magna in the treble, where the list prints no length (common practice); 0 for any other.
func (r *reader) magnaLength(name string) float64 {
	if r.list.Language == "es" && r.half == "treble" && strings.HasPrefix(plain(name), "trompeta magna") {
		return 16
	}
	return 0
}

// iberianReed tells a Violeta in the bass half of an old Spanish organ, which is a reed there (common practice), from the string of later ones.
func (r *reader) iberianReed(name string, printed float64) bool {
	return r.list.Language == "es" && r.half == "bass" && printed == 0 && fold(name) == "violeta"
}
