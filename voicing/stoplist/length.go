package stoplist

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"afterchord/acoustics/lazyregexp"
	"afterchord/voicing"
)

var glyphs = strings.NewReplacer("½", " 1/2", "⅓", " 1/3", "⅔", " 2/3", "¼", " 1/4", "¾", " 3/4", "⅕", " 1/5", "⅖", " 2/5", "⅗", " 3/5", "⅘", " 4/5", "⅙", " 1/6", "⅐", " 1/7", "⅛", " 1/8", "⅑", " 1/9",
	"⁄", "/", "∕", "/", "º", "°", "²", "2", "³", "3", "¹", "1", "⁴", "4", "⁵", "5", "₂", "2", "₃", "3", "₅", "5", "₇", "7",
	"sop.ni", "soprani", "sop.no", "soprano", " né ", " ne' ", " dé ", " de' ", ".Fach", " Fach", ".fach", " fach", "\u00a0", " ", "\u2009", " ", "\u202f", " ", "\u200b", "", "\ufeff", "", "\u00ad", "", "\r", "",
	"′", "'", "’", "'", "‘", "'", "´", "'", "`", "'", "ʹ", "'", "ʼ", "'", "‛", "'", "″", "\"", "”", "\"", "“", "\"", "‴", "'''", "♯", "#", "–", "-", "—", "-", "‐", "-", "‑", "-", "−", "-", "…", "...")

var (
	wideFraction = lazyregexp.New(`(\d) {2,}(\d/\d)`)
	ranksSpelled = lazyregexp.New(`(?i)(^|[^\pL])(due|tre|quattro|cinque|sei|zwei|drei|vier|fünf|sechs|two|three|four|five|six|deux|trois|quatre|cinq|twee|vijf|zes|dos|tres|cuatro|cinco|seis|siete|ocho|sis|set)[ -]?(file|fila|fach|ranks?|rangs?|sterk|hileras|fileres|rengles|filas|voci|di ripieno)`)
	ranksOf      = lazyregexp.New(`(?i)(lleno|c[ií]mbala|z[ií]mbala|corneta|mixtura|compuestas|nasardos|cornetto) d[ei] (dos|tres|cuatro|cinco|seis|siete|ocho|due|tre|quattro|cinque|sei)($|[^\pL])`)
	italianMixed = lazyregexp.New(`(\d),(\d/\d)`)
	spacedSign   = lazyregexp.New(`(\d) '($|[ +,;.)])`)                                                     // "8 '"
	octaveLetter = lazyregexp.New(`(ab |von |from |fra |från |vanaf |dès |[(\-] ?)([abcefgh])o($|[ ),\-])`) // "ab ao" is a°
	commaBracket = lazyregexp.New(`([IVX]),? [(]`)                                                          // "Cornet V, (c-f3)"
	oddThirds    = lazyregexp.New(`(^|[^\d/])2'/3'`)                                                        // what is meant is 2 2/3'
	signWithin   = lazyregexp.New(`(\d)' ?([1-8]/[23579])'?`)
	feetLetter   = lazyregexp.New(`(\d')(\pL{2})`)
	eitherRanks  = lazyregexp.New(`(?i)(\d)-?(?:, ?\d)* ?(?:ou|oder|or|of|à|bis|to|en|och|og|und|et|and) ?(\d) ?(rangs|fach|ranks|sterk|st\.|kor|chor|rijen|f\.)`)
	leaders      = lazyregexp.New(`(?: ?\.){4,} ?|(?: \.){2,} `)
	ditto        = lazyregexp.New(`(\d) {1,6}"`)
	rangsLetter  = lazyregexp.New(`(\d) ?R($|[^\pL])`)
	gluedFeet    = lazyregexp.New(`(\pL{3})(\d{1,2}(?: \d/\d)?')`)
	cutAndFeet   = lazyregexp.New(`(\pL{3}\.)((?:32|16|8|4|2)(?:$|['" ;,]))`)
	gluedRanks   = lazyregexp.New(`(\p{Ll}{3})((?:IV|V?I{1,3}|V)(?:-(?:IV|V?I{1,3}|V))?)($|[ ,;])`)
	mixedGlued   = lazyregexp.New(`(^|[^\d/])(1|2|3|5|6|10)([ .+\-]?)([1-6])/([2-9])(?:[^\d]|$)`)
	mixedByAnd   = lazyregexp.New(`(\d) ?(?:&|and) ?(\d/\d)`) // "2&2/3"
	// feetWords are the words for feet behind a number.
	feetWords = lazyregexp.New(`(?i)(\d) ?(?:''|"|ft\.?|feet|foot|fuß|fuss|füße|stopy|stóp|voets?|vt\.?|pieds?|piedi|pies|pi\.|p\.)($|[^\pL\d])`)
	ranksText = lazyregexp.New(`(?i)(?:^|[^\d/,.])(\d{1,2})(?: ?[-/x] ?(\d{1,2}))?(?: ?[-/] ?(\d{1,2}))? ?-?(?:fach|fachs?|fäch\.?|fch\.?|f\.?|x|rgs?\.?|rangs?|ranks?|rks?\.?|rows|sterk|rijen|rij|koor|korig|st\.?|file|fila|filas|hileras|h\.?|canne|choeurs|chœurs|chor\.?|ch\.?|kor|k\.?|körig|kör|kertainen|kert\.?|krt\.?|kordne|kārt\pL*|chörig|násobn\pL*|chórow\pL*|chór\pL*|rzęd\pL*|rz\.|v\.? ?st\.?|r\.|fold)(?:$|[^\pL\d])`)
	romanRun  = lazyregexp.New(`(?:^|[^\pL\d'])((?:X{0,2}(?:IX|IV|V?I{1,3}|V)|X{1,2})(?: ?(?:-|/|à|to|bis) ?(?:X{0,2}(?:IX|IV|V?I{1,3}|V)|X{1,2}))*)(?: ?-?(?:fach|f\.|rgs?\.?|rangs?|ranks?|rks?\.?|st\.?|sterk|rijen|kor|kör|file|x|h\.?|hileras))?(?:$|[^\pL\d'])`)
	lengthRun = lazyregexp.New(`(?:^|[^\pL\d/.,])((?:\d{1,2} )?\d{1,2}/\d{1,2}|\d{1,2}(?:[.,]\d{1,4})?) ?('?)(?:$|[^\pL\d/])`)
)

// tidy writes a line in the signs that the patterns know: plain quotes and dashes, fractions parted from their whole number.
// couplerShort are words of couplers as lists shorten them, and what they stand for.
var couplerShort = []struct {
	short *lazyregexp.Regexp
	long  string
}{
	{lazyregexp.New(`(?i)(\b|oktav|octav)kopp?\.`), "${1}koppel"}, {lazyregexp.New(`(?i)copplung`), "koppel"}, {lazyregexp.New(`(?i)\bman(?:\.|ual)[ -]?[ck]opp?el`), "Manualkoppel"}, {lazyregexp.New(`(?i)\bped(?:\.|al)[ -]?[ck]opp?el`), "Pedalkoppel"},
	{lazyregexp.New(`(?i)(?:\bspojka manu[aá]l\pL*|\bmanu[aá]lov[aá] spojka|\bł[aą]cznik manuał\pL*)`), "Manualkoppel"}, {lazyregexp.New(`(?i)(?:\bspojka ped[aá]l\pL*|\bped[aá]lov[aá] spojka|\bł[aą]cznik pedał\pL*)`), "Pedalkoppel"},
	{lazyregexp.New(`(?i)\bsuper(?:okt[aá]vov[aá]|oktavn[ií]|-)? ?spojka`), "Superkoppel"}, {lazyregexp.New(`(?i)\bsub(?:okt[aá]vov[aá]|oktavn[ií]|-)? ?spojka`), "Subkoppel"}, {lazyregexp.New(`(?i)\b(?:spojk[ay]|łącznik(?:i|ów)?|połączeni[ea]|kopulac(?:ja|je|e))\b`), "Koppel"},
	{lazyregexp.New(`(?i)\b(?:ob|ok)\. ?((?:I{1,3}|IV)\b)`), "Superkoppel $1"}, {lazyregexp.New(`(?i)\b(?:ub|uk)\. ?((?:I{1,3}|IV)\b)`), "Subkoppel $1"}, {lazyregexp.New(`(?i)^(\s*)[ck]opp?el (?:zu |der |zwischen |beyder)*(?:be[iye]+de\pL*)(?: \pL+)?`), "${1}Manualkoppel"}, {lazyregexp.New(`(?i)^(\s*)[ck]opp?el (?:zum|ins|vom) pedal`), "${1}Pedalkoppel"},
	{lazyregexp.New(`(?i)\b[ck]opp?el ((?:I{1,3}|IV|HW|OW|BW|RP|SW) ?[/\-])`), "Koppel $1"},
	{lazyregexp.New(`(?i)^(\s*)p(?:ed)?\.? ?-?k\.(\s|$)`), "${1}Pedalkoppel$2"}, {lazyregexp.New(`(?i)^(\s*)m(?:an)?\.? ?-?k\.(\s|$)`), "${1}Manualkoppel$2"}, {lazyregexp.New(`(?i)\b(pedal|manual|oktav|super|sub|normal)-?k\.`), "${1}koppel"},
	{lazyregexp.New(`(?i)\bsub ?ottav`), "sottottav"}, {lazyregexp.New(`(?i)\bo[ck]tav[ck]opp`), "Oktavkopp"}, {lazyregexp.New(`(?i)\b(manual|pedal)[ck]oppl`), "${1}koppel"}, {lazyregexp.New(`(?i)(\pL )(sub|super)octav$`), "${1}${2}octave"},
	{lazyregexp.New(`(?i)(^|[^\d])([2-9]) di rip(?:ieno\b|\.|$)`), "${1}Ripieno $2 file"}, {lazyregexp.New(`(\d ?['’′]) Basso($|\t)`), "$1 bassi$2"}, {lazyregexp.New(`(\d ?['’′]) Soprano($|\t)`), "$1 soprani$2"},
	{lazyregexp.New(`(?i)\bcop\. ?`), ""}, {lazyregexp.New(`\bBd (16|8|32|4)\b`), "Bd. $1"}, {lazyregexp.New(`(?i)\bacc\. normaux\b`), "accouplements"}, {lazyregexp.New(`(?i)\bacc(?:\. ?|(?:ts?|oup?l?|plt?|pt)(?:\. ?| ))([IVGRPÉ]|à tiroir|du )`), "Accouplement $1"}, {lazyregexp.New(`(?i)\boct\. ?gr(?:\.|aves?)`), "octaves graves"}, {lazyregexp.New(`(?i)\boct\. ?aig(?:\.|uës?|ües?|ues?)`), "octaves aiguës"},
	{lazyregexp.New(`(?i)\baangeh\.`), "aangehangen"}, {lazyregexp.New(`(?i)\bangeh\.`), "angehängt"}, {lazyregexp.New(`(?i)\bexpr\. `), "expression "}, {lazyregexp.New(`(?i)\bcplrs?\b\.?`), "couplers"},
	{lazyregexp.New(`(?i)\b(?:acoplamentos|acoblaments)\b`), "Acoplamientos"}, {lazyregexp.New(`(?i)\b(?:acoplamento|acoblament|acopl?\b\.?)(\P{L}|$)`), "Acoplamiento$1"}, {lazyregexp.New(`(?i)\b(?:enganxaments|enganxes|engates)\b`), "Enganches"}, {lazyregexp.New(`(?i)\b(?:enganxament|enganxe|engate)\b`), "Enganche"},
	{lazyregexp.New(`(?i)\b(?:enganche|tirasa)(s?):? (?:de |del )?(?:teclado )?((?:I{1,3}|IV)(?:(?:,| y|, y| e) (?:I{1,3}|IV))*) *\.?$`), "Tirasse$1 $2"}, {lazyregexp.New(`(?i)\b(?:oct|oit)avas? (?:graves?|bajas?)\b`), "octaves graves"}, {lazyregexp.New(`(?i)\b(?:oct|oit)avas? agudas?\b`), "octaves aigues"},
	{lazyregexp.New(`(?i)\b(flautado|bordão|bordón) ((?:de )?\d{1,2}(?: palmos)?) (tapado|aberto|abierto)\b`), "$1 $3 $2"}, {lazyregexp.New(`(?i) (?:de |em |en )?(?:52|28|2[46]|1[234]|[67]|3)(?: palmos)? ?([\[(]\d{1,2} ?['’′\])])`), " $1"}, {lazyregexp.New(`(/P|/I{1,3}) i (I{1,3}/)`), "$1, $2"},
	{lazyregexp.New(`(?i)\((m(?:ão|ano|à) \pL+) ?/ ?(?:bass|treble|left|right)(?: hand)?\)`), "($1)"}, {lazyregexp.New(`(\(|-)([cdfga])s('{0,3}[-)])`), "$1$2#$3"}, {lazyregexp.New(` ?\(([bc]#?'+)/([bc]#?s?'+)\)`), ""},
	{lazyregexp.New(`(?i)\b(?:re)?uni[óo]n de (?:los )?teclados\b`), "Acoplamiento de teclados"}, {lazyregexp.New(`(?i)(^|[^\pL])r[ée]union (du|de la|des) (g|pos|r[ée]c|bomb|[ée]ch|cla|ch|sol)`), "${1}Accouplement $2 $3"},
	{lazyregexp.New(`(?i)( ?\)|'|\pL\)?) +[-–] +(m(?:[aã]o|ano|[aà]) (?:esquerda|direita|izquierda|derecha|esquerra|dreta)) *\.?$`), "$1 ($2)"},
	{lazyregexp.New(`(?i)\((?:da|a partire dal?|a partir d[eo]|desde el|del|des del) ((?:do|re|mi|fa|sol|la|si) ?#? ?\d)`), "(dal $1"},
	{lazyregexp.New(`(?i)\b(?:8ª|8\.ª|8va\.?|VIII|8°) (?:acut[ae]|agud[ao]|alta|sopra)\b`), "superottava"}, {lazyregexp.New(`(?i)\b(?:8ª|8\.ª|8va\.?|VIII|8°) (?:grave|bassa|baja|baixa|sotto)\b`), "sottottava"},
	{lazyregexp.New(`(?i)\b(sub|super)-(o[kc]ta(?:v|af)koppel)`), "${1}${2}"},
	{lazyregexp.New(`(?i)\bottav([ae]) grav[ei]\b`), "sottottava"}, {lazyregexp.New(`(?i)\bottav([ae]) acut[ae]\b`), "superottava"}, {lazyregexp.New(`(?i)\bunione t\. ?p\.?`), "unione tasto pedale"},
}

var (
	// gluedYear is a table's row of number, name, length and year that a copy left nothing between: "1Grand Bourdon32'1954".
	gluedYear = lazyregexp.New(`^ *(\d{1,3})(\p{Lu}\p{Ll}.*\pL ?(?:\d{1,2}(?: \d/\d)?'|\d-?fach|[IVX]+))(1[4-9]\d\d|20\d\d)$`)
	// gluedPedal is "PedalC-f'".
	gluedPedal = lazyregexp.New(`^([\pL. ]*\p{Ll}{3})(C{1,3} ?- ?[a-g]['1-4])`)
)

// symbolAsBullet writes a sign that pages put before the items of a list as the plain one.
func symbolAsBullet(r rune) rune {
	switch {
	case r < 0x80 || strings.ContainsRune("°©®™♭♯", r):
	case unicode.Is(unicode.So, r), unicode.Is(unicode.Co, r):
		return '•'
	}
	return r
}

// brokenFeet is "1 pied 1/3".
var brokenFeet = lazyregexp.New(`(\d) ?(?:pieds?|piedi|pie|pies|voet|ft|feet) (\d/\d)`)

func tidy(s string) string { return tidied.of(s, tidyText) }

var tidied textMemo[string]

func tidyText(s string) string {
	s = glyphs.Replace(strings.Map(symbolAsBullet, s))
	for _, w := range couplerShort {
		s = w.short.ReplaceAllString(s, w.long)
	}
	s = keysByOctave(iberianDegrees(southernSigns(s)))
	s = keysInAlt(s)
	s = gluedYear.ReplaceAllString(s, "$1. $2 $3")
	s = gluedPedal.ReplaceAllString(s, "$1 $2")
	s = ditto.ReplaceAllString(s, `$1"`)
	s = withoutLeaders(s)
	s = ranksSpelled.ReplaceAllStringFunc(s, func(m string) string {
		g := ranksSpelled.FindStringSubmatch(m)
		if strings.EqualFold(g[3], "di ripieno") {
			return m + " " + fmt.Sprint(spelled[strings.ToLower(g[2])]) + " file"
		}
		return g[1] + fmt.Sprint(spelled[strings.ToLower(g[2])]) + " " + strings.Replace(strings.ToLower(g[3]), "voci", "file", 1)
	})
	s = palmWords.ReplaceAllStringFunc(s, func(m string) string {
		g := palmWords.FindStringSubmatch(m)
		return g[1] + palmsSpelled[strings.ToLower(g[2])] + strings.Replace(g[3], "-", " ", 1)
	})
	s = italianMixed.ReplaceAllString(s, "$1 $2")
	s = spacedSign.ReplaceAllString(s, "$1'$2")
	s = octaveLetter.ReplaceAllString(s, "$1$2°$3")
	s = commaBracket.ReplaceAllString(s, "$1 (")
	s = oddThirds.ReplaceAllString(s, "${1}2 2/3'")
	s = signWithin.ReplaceAllString(s, "$1 $2'")
	s = ranksOf.ReplaceAllStringFunc(s, func(m string) string {
		g := ranksOf.FindStringSubmatch(m)
		return g[1] + " " + fmt.Sprint(spelled[strings.ToLower(g[2])]) + " hileras" + g[3]
	})
	s = inchesOfWind.ReplaceAllStringFunc(s, func(m string) string { return inchSign.ReplaceAllString(m, "$1 in.") })
	s = brokenFeet.ReplaceAllString(s, "$1 $2'")
	s = mixedByAnd.ReplaceAllString(s, "$1 $2")
	s = wideFraction.ReplaceAllString(s, "$1 $2")
	s = gluedFeet.ReplaceAllString(s, "$1 $2")
	s = cutAndFeet.ReplaceAllString(s, "$1 $2")
	s = rangsLetter.ReplaceAllString(s, "$1 rangs$2")
	s = eitherRanks.ReplaceAllString(s, "$1-$2 $3")
	s = feetLetter.ReplaceAllString(s, "$1 $2")
	s = gluedRanks.ReplaceAllString(s, "$1 $2$3")
	for range 2 {
		s = mixedGlued.ReplaceAllStringFunc(s, func(m string) string {
			p := mixedGlued.FindStringSubmatch(m)
			head, tail := p[1], m[len(m)-1:]
			if tail == p[5] {
				tail = ""
			}
			mixed := p[2] + " " + p[4] + "/" + p[5]
			if _, ok := feetOf(mixed); p[3] == "+" && (!ok || head == "+") { // "2 2/3 + 2 + 1 1/3" are ranks, "2+2/3" is how encyclopaedias print a fraction
				return m
			}
			return head + mixed + tail
		})
		s = feetWords.ReplaceAllString(s, "$1'$2")
	}
	return s
}

// palmWords are the lengths of Spanish lists in words, behind a name or before it.
var palmWords = lazyregexp.New(`(?i)(^|[ ,;(\-])(cincuenta y dos|veintis[eé]is|veinte y seis|veinticuatro|vinte e quatro|trece|catorce|doze|siete)($|[ ,;.)\-])`)

var palmsSpelled = map[string]string{"cincuenta y dos": "52", "veintiséis": "26", "veintiseis": "26", "veinte y seis": "26", "trece": "13", "siete": "7", "doze": "12", "vinte e quatro": "24", "veinticuatro": "24", "catorce": "14"}

// spelled are numbers of ranks in words.
var spelled = map[string]int{"due": 2, "tre": 3, "quattro": 4, "cinque": 5, "sei": 6, "zwei": 2, "drei": 3, "vier": 4, "fünf": 5, "sechs": 6, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6,
	"deux": 2, "trois": 3, "quatre": 4, "cinq": 5, "twee": 2, "vijf": 5, "zes": 6, "dos": 2, "tres": 3, "cuatro": 4, "cinco": 5, "sis": 6, "set": 7, "seis": 6, "siete": 7, "ocho": 8}

// span is a length or a number of ranks in a line.
type span struct {
	from, to int // bytes
	feet     float64
	marked   bool // with a sign for feet
	ranks    int
	least    int // fewest ranks, where it grows
	roman    bool
}

// oldLengths are what an old list rounds: "Quinte 3'" is 2 2/3 ft (common practice).
var oldLengths = map[float64]float64{0.75: 0.5, 3: 2 + 2.0/3, 6: 5 + 1.0/3, 12: 10 + 2.0/3, 1.5: 1 + 1.0/3, 2.67: 2 + 2.0/3, 2.66: 2 + 2.0/3, 2.6: 2 + 2.0/3, 1.33: 1 + 1.0/3, 1.3: 1 + 1.0/3, 1.6: 1.6, 5.33: 5 + 1.0/3, 5.3: 5 + 1.0/3, 10.67: 10 + 2.0/3, 10.6: 10 + 2.0/3}

// usualLength are the lengths a rank can have.
func usualLength(f float64) bool {
	for _, base := range []float64{64, 42 + 2.0/3, 25.6, 21 + 1.0/3, 9 + 1.0/7, 7 + 1.0/9} {
		for x := base; x > 0.1; x /= 2 {
			if math.Abs(x-f) < 0.011*x {
				return true
			}
		}
	}
	return false
}

// spans finds the lengths and ranks of text in order.
func spans(text string) []span {
	var out []span
	taken := func(from, to int) bool {
		for _, s := range out {
			if from < s.to && to > s.from {
				return true
			}
		}
		return false
	}
	for _, m := range every(ranksText, text) {
		from, to := m[2], m[1]
		if to > from && to <= len(text) && !wordEnd(text, to) {
			to--
		}
		a := atoi(text[m[2]:m[3]])
		s := span{from: from, to: to, ranks: a, least: a}
		for g := 4; g < 8; g += 2 {
			if m[g] >= 0 {
				s.ranks = max(s.ranks, atoi(text[m[g]:m[g+1]]))
			}
		}
		if s.ranks >= 1 && s.ranks <= 12 {
			out = append(out, s)
		}
	}
	for _, m := range every(romanRun, text) {
		from, to := m[2], m[3]
		if taken(from, to) || from > 0 && text[from-1] == '.' || initial.MatchString(text[from:]) {
			continue
		}
		end := m[1]
		if end < len(text) || end > to && !wordEnd(text, end) {
			end = max(to, end-1)
		}
		s := span{from: from, to: end, roman: true}
		for _, w := range oneRoman.FindAllString(text[from:to], -1) {
			n := romanNumber(w)
			if s.least == 0 {
				s.least = n
			}
			s.ranks = max(s.ranks, n)
		}
		if s.ranks > 12 { // an interval: "Cornetta prima XV" is two knobs
			continue
		}
		out = append(out, s)
	}
	for _, m := range every(lengthRun, text) {
		from, to := m[2], m[5]
		if taken(from, to) {
			continue
		}
		feet, ok := feetOf(text[from:m[3]])
		if m[5] > m[4] && text[from:m[3]] == "3/4" { // of an organ whose lengths are those of a low F
			feet, ok = 0.75, true
		}
		if !ok {
			continue
		}
		out = append(out, span{from: from, to: to, feet: feet, marked: m[5] > m[4]})
	}
	for i := 1; i < len(out); i++ {
		for j := i; j > 0 && out[j].from < out[j-1].from; j-- {
			out[j], out[j-1] = out[j-1], out[j]
		}
	}
	return out
}

// initial is a word cut off to a letter that is a Roman numeral too: "V. humana".
var initial = lazyregexp.New(`^[VIXC]{1,4}\. ?\pL{3,}`)

// feetOf reads a length as lists print it.
func feetOf(s string) (float64, bool) {
	f, ok := voicing.ParseFeet(strings.ReplaceAll(s, ",", "."))
	return f, ok && (usualLength(f) || oldLengths[f] > 0 || palms[f] > 0)
}

// exactFeet is a printed length in feet as kind k is built: "Quinte 3'" is 2 2/3 ft, "Flautado de 13" 8 ft; ok is false where k
// is not built so.
func exactFeet(k *Kind, printed float64) (feet float64, ok bool) {
	if k.Name == "Seventeenth" && (printed == 2 || printed == 4) { // "Tertia aus 2'"
		return printed * 0.8, true
	}
	if printed == 12 && k.Name == "Trombone" { // of a pedal whose lowest pipe is a low F, or sounds from there
		return 16, true
	}
	quint := slices.ContainsFunc(k.Feet, func(f float64) bool { return math.Abs(f-2-2.0/3) < 0.01 || math.Abs(f-5-1.0/3) < 0.01 })
	if f := oldLengths[printed]; quint && f > 0 { // "Roerquint 12'"
		return f, true
	}
	for _, f := range []float64{printed, oldLengths[printed], palms[printed]} {
		for _, usual := range k.Feet {
			if f > 0 && math.Abs(f-usual) < 0.01 {
				return usual, true
			}
		}
	}
	if usualLength(printed) {
		return printed, false
	}
	if f := palms[printed]; f > 0 {
		return f, false
	}
	return oldLengths[printed], false
}

// palms are the lengths of Spanish (palmos) lists and of Italian and Dutch organs that begin below C: the octave they stand for, ft.
var palms = map[float64]float64{52: 32, 26: 16, 13: 8, 24: 16, 22: 16, 12: 8, 7: 4, 6.5: 4, 6: 4, 14: 8, 28: 16}

// every is all matches of re, also such as share the character between them.
func every(re *lazyregexp.Regexp, text string) [][]int {
	var out [][]int
	for at := 0; at <= len(text); {
		m := re.FindStringSubmatchIndex(text[at:])
		if m == nil {
			break
		}
		for i := range m {
			if m[i] >= 0 {
				m[i] += at
			}
		}
		out = append(out, m)
		at = m[1]
		if m[1] > m[0]+1 && !wordEnd(text, m[1]) { // what parts two matches belongs to both; the end of a number is no other one
			at = m[1] - 1
		}
		if at <= m[0] {
			at = m[0] + 1
		}
	}
	return out
}

// wordEnd tells whether text[:to] ends with a letter, a digit or a full stop, so that nothing behind it was taken in.
func wordEnd(text string, to int) bool {
	c := text[to-1]
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '.' || c >= 0x80
}

func atoi(s string) int {
	n, _ := strconv.Atoi(s)
	return n
}

// romanNumber reads a Roman numeral up to XX.
func romanNumber(s string) int {
	values := map[byte]int{'I': 1, 'V': 5, 'X': 10}
	n := 0
	for i := range len(s) {
		v := values[s[i]]
		if i+1 < len(s) && values[s[i+1]] > v {
			n -= v
		} else {
			n += v
		}
	}
	return n
}
