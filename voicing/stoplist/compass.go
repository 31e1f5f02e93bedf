package stoplist

import (
	"strings"

	"afterchord/acoustics/lazyregexp"
)

var (
	// compassText is "C-g3", "C, D - c'''", "CC to g'''", "Do1-La5", "CDEFGA-c3".
	compassText = lazyregexp.New(`(?:^|[^\pL\d'])((?i:tenor [cfg]|fiddle g|gamut g|middle c)|(?:FF|GG)(?:, ?(?:FF|GG|AA|BB|C|D|E)#?)+|CDEFGABH|CDEFGAB|CDEFGA|CDE|CD|C\.D|C, ?D, ?E, ?F, ?G, ?A|C ?D ?E ?F ?G ?A|C, ?D, ?E|C ?D ?E|C, ?D|C ?D|C/E|(?i:do|ut|fa) ?-?\d|C{1,3}|HH|FF|GG|F|G|C1|C2)(?: ?(?:-|\.\.\.?|to|bis|à|a|au|tot|t/m|al) ?|-)((?:(?i:do|re|ré|mi|fa|sol|la|si) ?#? ?\d|[a-h](?:is|s|#|b)? ?(?:(?:['"] ?){1,5}|\d|°)|[A-H]\d))(?:$|[^\pL\d'])`)
	countBehind = lazyregexp.New(`(?i)(?:tasti|pedali|note|tasten|notes|keys) +(?:n\.? ?[°º]?|nr?\.?|n°|num\.)? ?(\d{2})`)
	keysBehind  = lazyregexp.New(`(?i)edal\pL* (?:[\pL\-–]+ ){0,4}?(?:di|of|de|van|mit|à) (\d{2})(?:$|[^\d'])`)
	keyCount    = lazyregexp.New(`(?i)(?:^|[^\d.,/])(\d{2}) ?-? ?(?:di )?(?:notes?|keys?|tasten|töne|noten|claves|klaves|touches|marches|tasti|note|pedali|teclas|notas|n|toetsen|tonen|key|pipes|pedals)(?:$|[^\pL])`)
)

// smallPedal is the compass of a pedal that ends within the small octave.
var smallPedal = lazyregexp.New(`\(C(?:/E|,? ?D)? ?- ?([a-h])\)`)

// chestAlone is the same said of the chest: "61 notes (sommier de 73 notes)".
var chestAlone = lazyregexp.New(`(?i)[ (,]+(?:sur )?(?:sommiers?|laye|windlade|chest) (?:de |à |of |von |mit )?(?:6[68]|7[03])[ -]?(?:n\.|notes?|touches|töne|note chest|pfeifen)\)?`)

// longerChest is a keyboard whose chest has an octave more for the octave couplers: "56/68 n."
var longerChest = lazyregexp.New(`(?i)(^|[^\d])(?:(5\d|61) ?/ ?(?:6[68]|7[03])|(?:6[68]|7[03]) ?/ ?(5\d|61))( ?(?:n|notes?|touches|tasten|töne|pfeifen|keys)\b)`)

// trebleCompass is that of a keyboard without a bass, a Récit or an Echo: "c'-c”'", "sol2-ré5", "c1 à d3", "g-d3".
var trebleCompass = lazyregexp.New(`(?:^|[^\pL\d'])([c-g]#?(?:['°1]{1,2}|0)|[fg]|(?:ut|do|fa|sol|re|ré|mi|la|si) ?#?[23]) ?(?:-|à|a|au|to|bis) ?([a-g]#?(?:['"]{2,3}|[3])|(?:ut|do|re|ré|mi|fa|sol) ?#?[56])(?:$|[^\pL\d'])`)

// pulledKeys is the compass of a pedal that is pulled down, which may end within the small octave: "Bihangspedal C-a".
var pulledKeys = lazyregexp.New(`(?:^|[ (:])C(?:/E|,? ?D)? ?- ?([a-h])(?:$|[ ).,;])`)

// fewContras is a pedal of eight to eleven keys, with the compass that goes without saying.
var fewContras = lazyregexp.New(`(?i)(?:^|[^\d.,/'])(?:[89]|1[01]) (?:notas|notes|note|tasti|pedali|pedales|contras|pisas|teclas)\b(?:,? ?\(?(?:C|do) ?- ?(?:B|H|si)\)?)?`)

// shortOctave tells that the lowest octave leaves four keys out: a count of the keys falls short of the compass by as many.
var shortOctave = lazyregexp.New(`(?i)scavezza|ottava corta|kurze(?:r|n)? (?:große[rn]? )?oktave|short octave|octava corta|oitava curta|octava curta|8ª corta|octave courte|kort octaaf|korte octaaf|prima (?:ottava )?corta`)

var pitchClass = map[byte]int{'c': 0, 'd': 2, 'e': 4, 'f': 5, 'g': 7, 'a': 9, 'b': 11, 'h': 11}
var solmization = map[string]int{"do": 0, "ut": 0, "re": 2, "ré": 2, "mi": 4, "fa": 5, "sol": 7, "la": 9, "si": 11}

// findCompass finds a keyboard's compass in text; rest is the text without it. Low and high are MIDI keys, C2 = 36.
func findCompass(text string, pedal bool) (low, high int, rest string, short, ok bool) {
	text = longerChest.ReplaceAllString(chestAlone.ReplaceAllString(text, " "), "$1$2$3$4")
	if low, high, rest, ok = ravalement(text, pedal); ok {
		return low, high, rest, false, true
	}
	if m := compassText.FindStringSubmatchIndex(text); m != nil {
		lowText, highText := text[m[2]:m[3]], text[m[4]:m[5]]
		count := 0
		if c := keyCount.FindStringSubmatch(text); c != nil {
			count = atoi(c[1])
		}
		low, high, ok = keysOf(lowText, highText, pedal, count)
		if ok {
			short = strings.ContainsAny(lowText, "DE") && len(lowText) > 3
			if n := high - low + 1; abs(n-count) >= 10 && (pedal && count >= 12 && count <= 33 || !pedal && count >= 40 && count <= 73) {
				high = low + count - 1 // the keys that are counted, where the octave is written in a way of its own: "27 notes CCC - d0"
			}
			return low, high, strings.TrimSpace(text[:m[2]] + " " + text[m[5]:]), short, true
		}
	}
	if m := trebleCompass.FindStringSubmatchIndex(text); m != nil && !pedal {
		if low, high = keyNamed(text[m[2]:m[3]]), keyNamed(text[m[4]:m[5]]); low >= 48 && high >= 77 && high-low >= 19 && high-low < 44 {
			return low, high, strings.TrimSpace(shortCompass.ReplaceAllString(" "+text[:m[2]]+" "+text[m[5]:]+" ", " ")), false, true
		}
	}
	if m := smallPedal.FindStringSubmatch(text); m != nil && pedal { // "C/E-a"
		if pc, known := pitchClass[m[1][0]]; known {
			return 36, 48 + pc, strings.Replace(text, strings.Trim(m[0], "() ,;"), " ", 1), strings.Contains(m[0], "E"), true
		}
	}
	if low, high, rest, ok = fromSmall(text); ok && !pedal {
		return low, high, rest, false, true
	}
	missing := 0
	if shortOctave.MatchString(text) {
		missing = 4
	} else if withoutLowSharp.MatchString(text) {
		missing, text = 1, withoutLowSharp.ReplaceAllString(text, " ")
	}
	m := countBehind.FindStringSubmatch(text)
	if m == nil && pedal && !keyCount.MatchString(text) {
		m = keysBehind.FindStringSubmatch(text)
	}
	if m != nil {
		n := atoi(m[1])
		if n >= 40 && n <= 73 || pedal && n >= 12 && n <= 33 {
			return 36, 36 + n + missing - 1, strings.Replace(text, m[0], " ", 1), missing > 0, true
		}
	}
	if m := keyCount.FindStringSubmatchIndex(text); m != nil {
		n := atoi(text[m[2]:m[3]])
		if !pedal && (n == 68 || n == 73) { // the chests have an octave more, for the octave couplers: no keyboard is so long (common practice)
			n = 61
		}
		if n >= 40 && n <= 73 || pedal && n >= 12 && n <= 33 {
			return 36, 36 + n + missing - 1, strings.TrimSpace(text[:m[2]] + " " + text[min(len(text), m[1]):]), missing > 0, true
		}
	}
	if m := fewContras.FindStringIndex(text); m != nil && pedal { // the lowest octave, short (common practice)
		return 36, 47, strings.TrimSpace(text[:m[0]] + " " + text[m[1]:]), true, true
	}
	if m := englishCompass.FindStringSubmatchIndex(text); m != nil && strings.EqualFold(text[m[2]:m[3]], "CCC") == pedal {
		if keys := englishKeys[pedal][text[m[4]]|0x20]; keys > 0 {
			return 36, 35 + keys, strings.TrimSpace(text[:m[2]] + " " + text[m[5]:]), false, true
		}
	}
	return 0, 0, text, false, false
}

// englishCompass is "CC to g", "CCC-f": English lists leave the octave of the highest key out.
var englishCompass = lazyregexp.New(`(?:^|[^\pL\d])(CCC?|ccc?)(?: to |-| - )([a-gA-G])(?:$|[^\pL\d'#])`)

// englishKeys are the keyboards that end on a key, manuals and pedals (common practice).
var englishKeys = map[bool]map[byte]int{false: {'f': 54, 'g': 56, 'a': 58, 'c': 61}, true: {'d': 27, 'e': 29, 'f': 30, 'g': 32}}

// keysOf reads both ends of a compass. The octave of the upper one is written in several ways (g3 and g”' of Helmholtz, with c' = C4;
// la5 of Italian and sol5 of French lists, with do1 = C2; G6 of the scientific ones): the first that makes a keyboard is taken, where
// the keys are counted one that has as many, or four more with a short octave.
func keysOf(lowText, highText string, pedal bool, count int) (low, high int, ok bool) {
	low, least := 36, 34
	switch l := strings.ToLower(strings.ReplaceAll(lowText, " ", "")); {
	case (l == "ut2" || l == "do2") && count > 0 && count < 49: // "42 notes (ut2-fa5)"
		low = 48
	case strings.HasPrefix(l, "do-1"): // the octave below, of Lombard keyboards
		low = 24
	case (l == "ut3" || l == "do3") && count > 0 && count < 40: // a Récit of the treble
		low, least = 60, 20
	case l == "g":
		low = 43
	case l == "hh":
		low = 35
	case strings.HasPrefix(l, "ff"):
		low = 29
	case strings.HasPrefix(l, "gg"):
		low = 31
	case strings.HasPrefix(l, "fa"):
		low = 29
		if strings.HasSuffix(l, "1") {
			low = 41
		}
	}
	switch l := strings.ToLower(lowText); { // an old Swell, of the treble
	case strings.HasPrefix(l, "tenor"), strings.HasPrefix(l, "fiddle"), strings.HasPrefix(l, "gamut"), strings.HasPrefix(l, "middle"):
		low, least = keyNamed(l), 20
	}
	fits := func(h int) bool {
		n := h - low + 1
		if pedal {
			return n >= 12 && n <= 33
		}
		return n >= least && n <= 73
	}
	h := strings.ToLower(strings.ReplaceAll(highText, " ", ""))
	for name, pc := range solmization {
		if rest, found := strings.CutPrefix(h, name); found {
			rest, sharp := strings.CutPrefix(rest, "#")
			if len(rest) != 1 {
				continue
			}
			if sharp {
				pc++
			}
			if key := 36 + 12*(int(rest[0]-'0')-1) + pc; fits(key) {
				return low, key, true
			}
		}
	}
	pc, known := pitchClass[h[0]]
	if !known {
		return 0, 0, false
	}
	h = h[1:]
	for _, sharp := range []string{"is", "#", "s"} {
		if rest, found := strings.CutPrefix(h, sharp); found && len(rest) > 0 {
			pc, h = pc+1, rest
			break
		}
	}
	octave := 0
	h = strings.ReplaceAll(strings.ReplaceAll(h, " ", ""), `"`, "''")
	switch {
	case h == "°":
	case strings.HasPrefix(h, "'"):
		octave = strings.Count(h, "'")
	case len(h) == 1 && h[0] >= '0' && h[0] <= '9':
		octave = int(h[0] - '0')
	default:
		return 0, 0, false
	}
	keys := []int{60 + 12*(octave-1) + pc, 12*(octave+1) + pc, 36 + 12*(octave-1) + pc}
	if lowText == "C1" { // the octaves are counted from the lowest
		keys[0], keys[2] = keys[2], keys[0]
	}
	for _, key := range keys {
		if n := key - low + 1; fits(key) && count > 0 && (n == count || n == count+4) {
			return low, key, true
		}
	}
	for _, key := range keys {
		if fits(key) {
			return low, key, true
		}
	}
	return 0, 0, false
}
