package voicing

import (
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// abbreviations of stop names as they stand in scores, without the dot (common practice).
var abbreviations = map[string]string{
	"diap": "Diapason", "diaps": "Diapasons", "op": "Open", "st": "Stopped", "prin": "Principal", "princ": "Principal", "prinz": "Prinzipal", "mix": "Mixture", "mixt": "Mixture",
	"tpt": "Trumpet", "trump": "Trumpet", "tromp": "Trompette", "tromb": "Trombone", "clar": "Clarinet", "dulc": "Dulciana", "salic": "Salicional", "bdn": "Bourdon", "bourd": "Bourdon",
	"cel": "Celeste", "founds": "Foundations", "found": "Foundations", "fl": "Flute", "fls": "Flutes", "ob": "Oboe", "hautb": "Hautbois", "ged": "Gedackt", "fag": "Fagotto",
	"15th": "Fifteenth", "12th": "Twelfth", "1st": "First", "2nd": "Second",
}

// phrases are names of more than one word, and the word of tradeStops or kindWords that stands for them.
var phrases = []struct{ phrase, word string }{
	{"stopped diapason", "gedackt"}, {"open diapason", "diapason"}, {"open wood", "subbass"}, {"basse de trompette", "trompette"}, {"dessus de trompette", "trompette"},
	{"cor de nuit", "nachthorn"}, {"voix celeste", "celeste"}, {"voce celeste", "celeste"}, {"vox celeste", "celeste"}, {"vox angelica", "celeste"}, {"unda maris", "unda"},
	{"voce umana", "unda"}, {"voix humaine", "vox"}, {"jeux de fonds", "fonds"}, {"jeux de fond", "fonds"}, {"jeux d'anches", "anches"}, {"flute harmonique", "flute"}, {"bass flute", "bassflöte"},
	{"grand jeu", "anches foundations"}, {"grands jeux", "anches foundations"}, {"plein jeu", "principals mixtures"}, {"pleins jeux", "principals mixtures"},
	{"jeux doux", "soft"}, {"cor anglais", "oboe"}, {"corno di bassetto", "clarinet"},
}

// usualFeet are lengths of stops that go without saying: on the manuals, and in the pedal.
var usualFeet = map[string][2]float64{
	"octave": {4, 8}, "oktave": {4, 8}, "oktav": {4, 8}, "ottava": {4, 8}, "prestant": {4, 4}, "praestant": {8, 8}, "doublette": {2, 2}, "superoktave": {2, 2}, "fifteenth": {2, 2},
	"clairon": {4, 4}, "clarion": {4, 4}, "subbass": {16, 16}, "soubasse": {16, 16}, "subbasso": {16, 16}, "contrabass": {16, 16}, "contrabasso": {16, 16}, "contrabbasso": {16, 16}, "contrebasse": {16, 16},
	"kontrabass": {16, 16}, "violone": {16, 16}, "violonbass": {16, 16}, "bourdon": {8, 16}, "posaune": {8, 16}, "trombone": {8, 16}, "bombarde": {16, 16}, "bombarda": {16, 16},
}

var (
	dotBeforeNumber = lazyregexp.New(`(\pL)\.(\d)`)
	dotOrPlus       = lazyregexp.New(`(\d['′’]?)\s*[.+]\s*(\d)`)
	feetWithNoun    = lazyregexp.New(`(?i)(\d)['′’]?\s*-\s*(stimmen?|register|fuß|fuss|foot|ft)\b`)
	lengthsBefore   = lazyregexp.New(`(?i)(?:^|[.:]\s*)\d+['′’]?(?:\s*(?:,|&|and|und|et|e)\s*\d+['′’]?)+\s*(?:ft\.?|p\.)?\s+(?:flutes?|reeds?|strings?|principals?|diapasons?|flues?|foundations?|flöten|streicher|zungen|prinzipale|flûtes?|fonds|anches|gambes|flauti|ance|viole|principali)\b`)
	lengthSeparator = lazyregexp.New(`(?i)(\d['′’]?)\s*(?:,|&|and|und|et|e)\s*(\d)`)
	secondChoice    = lazyregexp.New(`(?i)\s(or|oder|ou|oppure)\s[^,;()]*`)
)

// spelledOut writes a clause with abbreviations as words and lengths apart, and keeps the first of two choices.
func spelledOut(clause string) string {
	clause = dotBeforeNumber.ReplaceAllString(clause, "$1. $2")
	for range 2 { // 8.4.2: the second pair shares a number with the first
		clause = dotOrPlus.ReplaceAllString(clause, "$1 $2")
	}
	clause = feetWithNoun.ReplaceAllString(clause, "$1 ")
	clause = lengthsBefore.ReplaceAllStringFunc(clause, func(m string) string { // "8, 4 & 2 flutes": the word is of all
		for range 2 {
			m = lengthSeparator.ReplaceAllString(m, "$1 $2")
		}
		return m
	})
	clause = secondChoice.ReplaceAllString(clause, "")
	words := strings.Split(clause, " ")
	for i, w := range words {
		bare := strings.Trim(w, ".,()[]+-−–")
		if full, ok := abbreviations[strings.ToLower(bare)]; ok {
			words[i] = strings.Replace(strings.Replace(w, bare+".", bare, 1), bare, full, 1)
		}
	}
	return strings.Join(words, " ")
}

// opening are words before an instruction that are no part of it.
var opening = []string{"prepare:", "prepare", "prep.", "prep:", "préparez", "préparer", "vorbereiten:", "preparare", "prepara", "both hands on", "both hands", "both on", "beide hände", "les deux mains",
	"r.h.", "l.h.", "rh", "lh", "m.d.", "m.g.", "m.s.", "solo on", "play on", "on the", "on", "auf dem", "auf", "sur le", "sur", "sul", "reduce to", "etwas", "ein wenig", "un peu", "un poco", "poco", "a little", "jeu de", "jeux de"}

// WithoutOpening is an instruction without the words before it that say to whom or when it is said ("Prepare", "R.H.", "both hands
// on"), where something is left.
func WithoutOpening(p string) string {
	for {
		was := p
		for _, w := range opening {
			if len(p) > len(w) && strings.EqualFold(p[:len(w)], w) && strings.ContainsRune(" :", rune(p[len(w)])) {
				p = strings.TrimLeft(p[len(w):], " :")
				break
			}
		}
		if p == was {
			return p
		}
	}
}

// movesNothing reports whether all words are fillers.
func movesNothing(p string) bool {
	for _, w := range strings.Fields(p) {
		if !fillers[plainLetters(strings.Trim(w, ".:"))] || markIndex(strings.ToLower(w)) >= 0 {
			return false
		}
	}
	return true
}

// articles stand between a sign and what it is for.
var articles = []string{"the ", "les ", "le ", "la ", "l'", "l’", "die ", "den ", "das ", "gli ", "i ", "il ", "all "}

func withoutArticle(p string) string {
	for _, a := range articles {
		if len(p) > len(a) && strings.EqualFold(p[:len(a)], a) {
			return strings.TrimSpace(p[len(a):])
		}
	}
	return p
}

// closingSigns are words behind what is to be drawn or retired (a knob that is "in" is retired, common practice).
var closingSigns = map[string]string{"off": "-", "in": "-", "ab": "-", "weg": "-", "out": "-", "on": "+", "dazu": "+", "hinzu": "+", "an": "+", "added": "+"}

// closingSign finds such a word at the end of p.
func closingSign(p string) (sign, rest string) {
	at := strings.LastIndexByte(p, ' ')
	if at < 0 {
		return "", p
	}
	sign = closingSigns[strings.ToLower(strings.Trim(p[at+1:], ".!"))]
	if sign == "" {
		return "", p
	}
	return sign, strings.TrimSpace(p[:at])
}

// joiners stand before a division that is named last ("Cornet du Récit").
var joiners = map[string]bool{"du": true, "de": true, "au": true, "la": true, "auf": true, "on": true, "am": true, "im": true, "in": true, "the": true, "del": true, "nel": true, "sul": true, "al": true, "sur": true, "le": true, "dem": true}

// otherwiseMeant are names of divisions that mean a stop or a manner where they stand last.
var otherwiseMeant = map[string]bool{"solo": true, "so": true, "echo": true, "eco": true, "écho": true, "bombarde": true, "bomb": true, "manual": true, "manuals": true, "go": true, "ch": true, "chair": true}

// divisionLast moves a division that is named last to the head: "full Swell", "Anches Péd.", "Flöten auf II".
func divisionLast(o *Organ, p string) string {
	words := strings.Fields(p)
	if coupledWords[strings.ToLower(strings.Trim(words[0], "."))] {
		return p
	}
	for n := 1; n <= 2 && n < len(words); n++ {
		tail := plainName(strings.Join(words[len(words)-n:], " "))
		head := words[:len(words)-n]
		joined := joiners[strings.ToLower(head[len(head)-1])]
		if otherwiseMeant[tail] && !joined || manualNumbers[tail] > 0 && !joined || len([]rune(tail)) < 2 && !joined {
			continue
		}
		if strings.EqualFold(head[len(head)-1], "to") || strings.ContainsAny(tail, "0123456789") {
			continue
		}
		if _, ok := o.DivisionByName(tail); !ok {
			continue
		}
		for len(head) > 0 && joiners[strings.ToLower(head[len(head)-1])] {
			head = head[:len(head)-1]
		}
		if len(head) > 0 {
			return strings.Join(words[len(words)-n:], " ") + " " + strings.Join(head, " ")
		}
	}
	return p
}

// fullWords ask for all that the organ, or a division, has; pleno words for the principals crowned.
var fullWords = map[string]string{"full": "fff", "full organ": "fff", "tutti": "fff", "tutta forza": "fff", "volles werk": "fff", "volle orgel": "fff", "grand chœur": "fff", "grand choeur": "fff", "tutta la forza": "fff",
	"organo pleno": "ff", "org pleno": "ff", "org pl": "ff", "o pl": "ff", "pleno": "ff", "plenum": "ff", "pro organo pleno": "ff", "organo pieno": "ff", "pieno": "ff", "pieno organo": "ff"}

// full reads "tutti", "Organo pleno", "Sw. full": the loudest steps of the dynamic plan, of every division where none is named.
func (c *RegChange) full(o *Organ, p, sign string) bool {
	m, ok := fullWords[strings.Join(strings.Fields(strings.NewReplacer(".", " ", ":", " ").Replace(strings.ToLower(p))), " ")]
	if !ok || sign != "" {
		return false
	}
	if c.Division >= 0 {
		return c.mark(o, m)
	}
	for d := range o.Divisions {
		c.Division = d
		c.mark(o, m)
	}
	c.Division = -1
	return true
}

// upTo reads "to Fifteenth", "up to Mixture" behind a division: the principals from 8 ft up to that stop (common practice).
func (c *RegChange) upTo(o *Organ, p string) bool {
	q, found := strings.CutPrefix(strings.TrimPrefix(strings.ToLower(p), "up "), "to ")
	if c.Division < 0 || !found {
		return false
	}
	least, ok := map[string]float64{"principal": 4, "octave": 4, "twelfth": 8.0 / 3, "fifteenth": 2, "mixture": 0, "mixtures": 0}[strings.Trim(q, " .")]
	if !ok {
		return false
	}
	var hit Registration
	for s := range o.Divisions[c.Division].Stops {
		stop := &o.Divisions[c.Division].Stops[s]
		if stop.Family == Principal && stop.Feet <= 8 && (least == 0 || !stop.Mixture() && stop.Feet >= least-0.1) {
			hit.Stops[c.Division] |= 1 << s
		}
	}
	if hit == (Registration{}) {
		return false
	}
	c.Draw = c.Draw.With(hit)
	c.afresh()
	c.Read = append(c.Read, o.Describe(hit)...)
	return true
}

// markFirst turns "ff Gt. coupled" into "Gt. ff" and what follows.
func markFirst(o *Organ, p string) (first, then string, ok bool) {
	words := strings.Fields(p)
	if len(words) < 3 || markIndex(strings.ToLower(words[0])) < 0 {
		return "", "", false
	}
	rest := strings.Join(words[1:], " ")
	d, after, found := leadingDivision(o, rest)
	if !found || after == "" {
		return "", "", false
	}
	return o.Divisions[d].Name + " " + words[0], after, true
}
