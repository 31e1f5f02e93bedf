package stoplist

import (
	"cmp"
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

var (
	couplerWords    = []string{"koppel", "kopplung", "coupler", "couplage", "coupelon", "copula", "accoupl", "tirasse", "unione", "unioni", "union ", "acoplamiento", "enganche", "acople", "koppeling", "copula ", "superottava", "sottottava", "ottave sopra", "unione", "octaves graves", "octaves aigu", "octave grave", "octave aigu", "unison off", "unisson", "suboctave", "sub octave", "super octave coupler", "intermanual", "koppl", "pedalkoppel", "tir.", "accoppiament", "tirasses", "angehangt", "angehängt", "aangehangen", "pull-down", "pulldown", "superkoppel", "koppeln", "kobling", "koppling", "kopling", "yhdistin", "yhdistimet", "koplinger"}
	supText         = lazyregexp.New(`^sup(?:er)?(?:\. ?| )`)
	pitchRun        = lazyregexp.New(`(?i) (?:16|8|4|uo)'?(?:[-/](?:16|8|4|uo)'?)+$`)
	tirasseParts    = lazyregexp.New(`,| et | e | y |&|\+|;|/| - `)
	andBetween      = lazyregexp.New(` (?:und|and|et|e|y|en|u\.) | ?& ?`)
	severalText     = lazyregexp.New(`(^| )([2-9]|zwei|drei|two|three|deux|trois|due|tre|dos|tres|twee|drie) `)
	countedCouplers = lazyregexp.New(`^([2-9]|zwei|drei|two|three|twee|drie|deux|trois) (normal)?(koppeln|couplers|koppelingen|koppels|accouplements)`)
	spokenPair      = lazyregexp.New(` (?:to|on|an|auf|zu|zum|in|sur|au|al|alla|a|à|aan|op|til|till|nach) (?:the |das |le |la |il )?`)
	shiftMarks      = lazyregexp.New(`(?i)(?:\(|,| |^)(?:(sub[ -]?octave|sub[ -]?oct\.?|suboktav|sub|16'?|unten|grave|graves|sotto|sottottava)|(super[ -]?octave|superoktav|super|octave|4'?|oben|aigu|aiguë|aigue|aigues|sopra|superottava|acuta|oct\.?)|(8'?|uo|unison off|unison|normal))(?:\)|,|$| )`)
)

// looksLikeCoupler tells whether text can only be a coupler.
func looksLikeCoupler(text string) bool {
	low := plain(text)
	if spansOfStop(text) && !strings.Contains(low, "koppeln") {
		return false
	}
	long := len(strings.Fields(low)) > 12
	for _, w := range couplerWords {
		if long && !strings.HasPrefix(low, w) {
			continue
		}
		if strings.Contains(low, w) && !containsAny(low, "koppelfl", "coppelfl", "kuppelfl", "koppelged") {
			return true
		}
	}
	if strings.HasPrefix(low, "tir ") {
		return true
	}
	if octaveOn.MatchString(low) && refOf(octaveOn.FindStringSubmatch(low)[1]).known() {
		return true
	}
	for _, form := range []*lazyregexp.Regexp{ownOctaves, octaveBehind} {
		if m := form.FindStringSubmatch(low); m != nil && refOf(m[1]).known() {
			return true
		}
	}
	return isPair(text) || isPair(nameBrackets.ReplaceAllString(bothHalves.ReplaceAllString(text, " "), " "))
}

var (
	// ownOctaves are the couplers of a manual on itself in one line: "Great 16, Unison Off, 4".
	ownOctaves = lazyregexp.New(`^(\pL[\pL. \-]*?)[ ,:]+((?:(?:16'?|4'?|8'?|unison off|u\.? ?o\.?)(?:[ ,;/&\-]+|$)){2,})$`)
	unisonOff  = lazyregexp.New(`unison off|u\.? ?o\.?`)
	// octaveBehind is "Sw Super".
	octaveBehind = lazyregexp.New(`^(\pL{2,6})\.? (?:sub|super|sup|oct|octave)\.?(?:[ -]?oct(?:ave)?)?\.?$`)
)

// octaveOn is an octave coupler of one manual: "Sub II".
var octaveOn = lazyregexp.New(`^(?:sub|super)[ -](i{1,3}|iv|[1-4]|\pL{2,3}\.?)$`)

func isPair(text string) bool {
	_, _, _, ok := pairOf(text)
	return ok
}

// pairSigns are what stands between the two divisions of a coupler, the surest first.
var pairSigns = []string{" / ", " - ", "->", "→", "/", " + ", " & ", ">", "+", "&", "-"}

// pairOf takes "Swell to Great" and "II/I" apart; spoken tells that a word stands between them, which says which is which.
func pairOf(text string) (a, b ref, spoken, ok bool) {
	text = strings.Trim(text, " .,;:")
	if len(text) > 60 {
		return a, b, false, false
	}
	try := func(from, to int) bool {
		a, b = refOf(cmp.Or(stripShift(text[:from]), text[:from])), refOf(cmp.Or(stripShift(text[to:]), text[to:])) // a manual "4" is no pitch
		return a.known() && b.known()
	}
	for _, m := range spokenPair.FindAllStringIndex(text, -1) {
		if try(m[0], m[1]) {
			return a, b, true, true
		}
	}
	for _, sign := range []string{"←", "<-"} { // "I ← II": the second plays on the keys of the first
		if keys, sounds, found := strings.Cut(text, sign); found {
			a, b = refOf(stripShift(sounds)), refOf(stripShift(keys))
			return a, b, true, a.known() && b.known()
		}
	}
	for _, sign := range pairSigns {
		for at := 0; ; {
			i := strings.Index(text[at:], sign)
			if i < 0 {
				break
			}
			at += i
			if at > 0 && at+len(sign) < len(text) && try(at, at+len(sign)) {
				return a, b, false, true
			}
			at += len(sign)
		}
	}
	return a, b, false, false
}

// spansOfStop tells whether text ends as a stop does, with a length behind a name that is in the table.
func spansOfStop(text string) bool {
	s := spans(text)
	if len(s) > 0 && s[0].from == 0 && !s[0].roman && len(table().byKey[fold(trimName(text[s[0].to:]))]) > 0 { // "8' Copula"
		return true
	}
	if len(s) == 0 || s[0].from == 0 || s[0].roman {
		return false
	}
	k, how, _ := table().lookUp(strings.Trim(text[:s[0].from], " .,:-("), asked{feet: s[0].feet})
	return k != nil && how == exactly
}

// ref is a division as a coupler names it.
type ref struct {
	role   string
	number int
	name   string // folded
}

func (r ref) known() bool { return r.role != "" || r.number > 0 }

// shortRefs are abbreviations that head no division.
var shortRefs = map[string]string{"gd": "great", "zw": "swell", "exp": "swell", "expr": "swell", "schw": "swell", "p": "pedal", "ped": "pedal", "pd": "pedal", "g": "great", "gt": "great", "go": "great", "gc": "great", "hw": "great", "h": "great", "sw": "swell", "s": "swell", "r": "swell", "rec": "swell", "re": "swell", "ch": "choir", "pos": "positive", "po": "positive", "ps": "positive", "rp": "positive", "rw": "positive", "so": "solo", "sl": "solo",
	"ec": "echo", "bw": "breast", "ow": "upper", "nw": "upper", "bomb": "bombarde", "b": "bombarde", "aux": "bombarde", "uw": "choir", "e": "swell", "esp": "swell", "espr": "swell", "pd.": "pedal", "fw": "echo", "bov": "upper", "cad": "positive", "om": "great", "pedali": "pedal", "pedalier": "pedal", "recit": "swell", "mw": "great", "man": "great", "manual": "great", "manuaal": "great", "manuale": "great", "tast": "great", "kw": "positive", "pw": "pedal", "pe": "pedal", "hm": "great", "bp": "breast", "op": "upper", "hv": "great", "sv": "swell", "ov": "upper", "bv": "breast", "brv": "breast", "ryp": "positive", "rv": "positive", "jk": "pedal", "j": "pedal", "pk": "swell", "brw": "breast", "gm": "great", "rugp": "positive"}

// longRefs tell abbreviations of one role apart where a list has two divisions of it.
var longRefs = map[string]string{"go": "Grand Orgue", "gc": "Grand Chœur"}

func refOf(s string) ref { return refs.of(s, readRef) }

var refs textMemo[ref]

func readRef(s string) ref {
	s = strings.Trim(plain(s), " .:,;()")
	for _, w := range []string{"du ", "de la ", "de l'", "del ", "della ", "dell'", "des ", "of the ", "van het ", "vom ", "im ", "in das ", "in ", "auf das ", "auf ", "al ", "au ", "de "} {
		s = strings.TrimPrefix(s, w)
	}
	for _, w := range []string{"manual ", "man. ", "man ", "clavier ", "klavier ", "tastiera ", "the ", "das ", "die "} {
		s = strings.TrimPrefix(s, w)
	}
	for _, w := range []string{" manual", ". manual", ".manual", " man.", " man", " organ", " clavier"} {
		s = strings.TrimSuffix(s, w)
	}
	s = strings.Trim(s, " .")
	if n := manualNumbers[s]; n > 0 {
		return ref{number: n}
	}
	compact := strings.ReplaceAll(strings.ReplaceAll(s, ".", ""), " ", "")
	if role := shortRefs[compact]; role != "" {
		return ref{role: role, name: fold(longRefs[compact])}
	}
	if role := roleOf(fold(s)); role != "" {
		return ref{role: role, name: fold(s)}
	}
	if d, ok := heading(s); ok {
		return ref{role: d.Role, number: d.Number}
	}
	if key := fold(s); len(key) >= 5 { // "Peadle"
		if known := roleSpellings().nearest(key, 5); known != "" {
			return ref{role: roleOf(known)}
		}
	}
	return ref{}
}

// apartPitches writes "16-8-4" as "16 8 4".
func apartPitches(s string) string {
	return pitchRun.ReplaceAllStringFunc(s, func(m string) string {
		return strings.NewReplacer("-", " ", "/", " ", "uo", "", "UO", "").Replace(m)
	})
}

func stripShift(s string) string {
	s = apartPitches(" " + strings.TrimSpace(s))
	s = strings.TrimSpace(s)
	for range 3 {
		s = strings.TrimSpace(shiftMarks.ReplaceAllString(s, " "))
	}
	for range 3 {
		for _, w := range []string{" en", " et", " in", " and", " u.", " und", " e", ","} {
			s = strings.TrimSpace(strings.TrimSuffix(s, w))
		}
	}
	return s
}

// shiftsOf are the octaves that a coupler's text asks for, semitones: 0 where it says none.
func shiftsOf(s string) []int {
	var out []int
	for rest := " " + s; ; {
		m := shiftMarks.FindStringSubmatchIndex(rest)
		if m == nil {
			break
		}
		switch {
		case m[2] >= 0:
			out = append(out, -12)
		case m[4] >= 0:
			out = append(out, 12)
		default:
			out = append(out, 0)
		}
		rest = " " + rest[m[1]:]
	}
	if len(out) == 0 {
		return []int{0}
	}
	return out
}

// resolve is the index of the division that r names, or -1.
func (l *List) resolve(r ref) int {
	if r.number > 0 {
		for i := range l.Divisions {
			if l.Divisions[i].Number == r.number && !l.Divisions[i].Pedal {
				return i
			}
		}
		if l.allNumbered() {
			return -1
		}
		n := 0
		for i := range l.Divisions {
			if !l.Divisions[i].Pedal {
				if n++; n == r.number {
					return i
				}
			}
		}
		return -1
	}
	for _, named := range []bool{true, false} { // "Grand-Orgue" beside a Grand-Chœur
		for i := range l.Divisions {
			if d := &l.Divisions[i]; (d.Role == r.role || r.role == "pedal" && d.Pedal) && (!named || fold(d.Name) == r.name) {
				return i
			}
		}
	}
	// "Positif" for a Choir, "Hauptwerk" for a single manual
	for _, role := range map[string][]string{"choir": {"positive", "breast"}, "positive": {"choir", "breast"}, "swell": {"upper", "echo"}, "upper": {"swell", "positive"}, "great": {""}, "echo": {"swell"}, "bombarde": {"solo"}, "solo": {"bombarde"}, "breast": {"upper", "positive"}}[r.role] {
		for i := range l.Divisions {
			if l.Divisions[i].Role == role && !l.Divisions[i].Pedal {
				return i
			}
		}
	}
	return -1
}

// allNumbered tells whether the list gives each of its manuals a number.
func (l *List) allNumbered() bool {
	return !slices.ContainsFunc(l.Divisions, func(d Division) bool { return !d.Pedal && d.Number == 0 })
}

func (l *List) manuals() []int {
	var out []int
	for i := range l.Divisions {
		if !l.Divisions[i].Pedal {
			out = append(out, i)
		}
	}
	return out
}

func (l *List) pedal() int {
	for i := range l.Divisions {
		if l.Divisions[i].Pedal {
			return i
		}
	}
	return -1
}

// main is the main manual: the Great, else the first.
func (l *List) main() int {
	m := l.manuals()
	for _, i := range m {
		if l.Divisions[i].Role == "great" {
			return i
		}
	}
	first := -1
	for _, i := range m {
		if first < 0 || l.Divisions[i].Number > 0 && l.Divisions[i].Number < max(1, l.Divisions[first].Number) || l.Divisions[i].Number == 0 && l.Divisions[i].order < l.Divisions[first].order {
			first = i
		}
	}
	return first
}

// addCoupler adds one coupler; it says what was added, "" where it cannot be.
func (l *List) addCoupler(line int, text string, sounds, keys, shift int, fixed bool, assumed string) string {
	if sounds < 0 || keys < 0 || sounds == keys && shift == 0 {
		return ""
	}
	for i := range l.Couplers {
		if c := &l.Couplers[i]; c.Sounds == sounds && c.Keys == keys && c.Shift == shift {
			return l.couplerName(*c)
		}
	}
	c := Coupler{Line: line, Text: text, Keys: keys, Sounds: sounds, Shift: shift, Fixed: fixed, Assumed: assumed}
	l.Couplers = append(l.Couplers, c)
	return l.couplerName(c)
}

// couplerName is the coupler in words: "Swell to Great", "Swell Octave".
func (l *List) couplerName(c Coupler) string {
	a, b := l.Divisions[c.Sounds].Name, l.Divisions[c.Keys].Name
	octave := map[int]string{12: " octave", -12: " sub-octave"}[c.Shift]
	if c.Sounds == c.Keys {
		return a + octave
	}
	return a + octave + " to " + b
}

// coupler reads one piece of text as couplers and says which; ask is what was assumed.
func (l *List) coupler(line int, text string) (names []string, ask string, ok bool) {
	text = strings.Trim(bothHalves.ReplaceAllString(text, " "), " .;:*")
	low := strings.ReplaceAll(plain(text), "octavkopp", "oktavkopp")
	add := func(sounds, keys, shift int, fixed bool, assumed string) {
		if n := l.addCoupler(line, text, sounds, keys, shift, fixed, assumed); n != "" {
			names = append(names, n)
			if assumed != "" {
				ask = assumed
			}
		}
	}
	if m := ownOctaves.FindStringSubmatch(low); m != nil && refOf(m[1]).known() {
		low = m[1] + " " + unisonOff.ReplaceAllString(m[2], " ")
	} else if containsAny(low, "unison off", "unison cancel", "unisson") {
		return nil, "", true
	}
	fixed := containsAny(low, "angehangt", "aangehangen", "pull-down", "pulldown", "permanente", "standig", "fest gekoppelt", "always", "costantemente", "perm.", "fixe")
	low = southernCoupler(low)
	low = octaveOfFirst.ReplaceAllString(low, "$1$3$4 $2'")
	low = pitchGlued.ReplaceAllString(octaveDash.ReplaceAllString(apartPitches(low), "$1 $2"), "$1 $2'$3")
	body := supText.ReplaceAllString(octaveCouplers.ReplaceAllString(low, "$1 "), "super ")
	for _, w := range []string{"normalkoppeln", "normalkoppel", "manualkoppeln", "pedalkoppeln", "manualkoppel", "pedalkoppel", "koppeln", "koppel", "coupler", "couplers", "accouplements", "accouplement", "copula", "unione", "unioni", "union", "koppelingen", "koppeling", "koppelung", "acoplamientos", "acoplamiento", "enganches", "enganche", "kopplung", "copulas"} {
		body = strings.Trim(strings.TrimPrefix(body, w+":"), " :")
		if body == w {
			break
		}
		if rest, found := strings.CutPrefix(body, w+" "); found {
			body = rest
		}
	}
	if rest := plainKoppel.ReplaceAllString(body, ""); rest != body && isPair(rest) {
		body = rest
	}
	if m := kindOfCoupler.FindString(body); m != "" && isPair(body[len(m):]) && !containsAny(m, "okt", "oct", "sub", "super", "ober", "unter") {
		body = body[len(m):]
	}
	for _, w := range []string{" coupler", " koppel", " a tiroir", " par tiroir", " a cassetto"} {
		body = strings.TrimSpace(strings.TrimSuffix(body, w))
	}
	body = strings.TrimPrefix(strings.TrimPrefix(strings.TrimPrefix(body, "couplage "), "par tiroir "), "a tiroir ")
	if m := pitchesBefore.FindStringSubmatch(body); m != nil && isPair(m[2]) {
		body = m[2] + " " + strings.Join(pitchNumber.FindAllString(m[1], -1), "' ") + "'"
	}
	for _, b := range nameBrackets.FindAllString(low, -1) { // "Manualkoppel (II/I)"
		if in := strings.Trim(b, "()[] "); isPair(in) && !(strings.HasPrefix(low, "manualkoppel") && l.toPedal(in)) && l.pair(in, fixed, add) {
			return names, ask, len(names) > 0
		}
	}
	if isPair(nameBrackets.ReplaceAllString(body, " ")) && !isPair(strings.NewReplacer("(", " ", ")", " ").Replace(body)) { // "Positif au Grand-orgue (à tiroir)"
		body = strings.Join(strings.Fields(nameBrackets.ReplaceAllString(body, " ")), " ")
	}
	if rest := subAndSuper.ReplaceAllString(bothOctaves.ReplaceAllString(body, "sub et super "), ""); rest != body {
		below, _, a := l.coupler(line, "sub "+rest)
		if above, _, b := l.coupler(line, "super "+rest); a && b {
			return append(below, above...), "", true
		}
	}
	if l.pulled(low, add) || l.allToPedal(low, add) || l.usualOctaves(low, add) || l.french(low, add) || l.onEach(low, add) || l.several(body, fixed, add) || l.pair(body, fixed, add) || l.onItself(body, add) || l.toMain(low, add) || l.general(low, fixed, add) {
		return names, ask, len(names) > 0
	}
	return nil, "", false
}

// octaveCouplers is the label of the octave couplers: "Suboktavkoppeln: II/I".
var octaveCouplers = lazyregexp.New(`^((?:sub|super|ober|unter)-?(?:o[kc]tav)?-?koppeln?): `)

// plainKoppel begins a coupler at unison pitch with how it is drawn: "Manualschiebekoppel III/I".
var plainKoppel = lazyregexp.New(`^(?:normal|manual|pedal|schiebe|gabel|haken|zug|tritt|register|klavier|werk|-)+koppel\pL*:? `)

var (
	// pitchGlued is a pitch behind the number of a manual: "II4-P", "III16/I".
	pitchGlued = lazyregexp.New(`([ /\-]i{1,3}|^i{1,3}|iv)(16|4)'?($|[ /\-])`)
	// kindOfCoupler is a word for a coupler, whatever it works by, before what it couples: "Schuifkoppel Positief/Hoofdwerk".
	kindOfCoupler = lazyregexp.New(`^\pL*(?:koppel|kopl|kobl|koppl|yhdist)\pL*:? `)
	// octaveOfFirst is a pitch between the two divisions: "II 4'/I", "SV 16' - HV".
	octaveOfFirst = lazyregexp.New(`^(\pL[\pL.]*) ?(16|4)' ?(/| - |-| \+ |\+) ?(\pL[\pL.]*)$`)
	// octaveDash is "Sub-II", "Super-II-Pedal".
	octaveDash = lazyregexp.New(`^(sub|super)-((?:i|v|p|\d|hw|sw|rp|ow|bw)[ivxed]*)`)
)

var (
	// pitchesBefore is "8 et 4 Réc/GO", "en 8', 16' y 4' III/I".
	pitchesBefore = lazyregexp.New(`^(?:en )?((?:(?:16|8|4)'?(?:, ?| et | y | e |/|-| )+(?:en )?)+)(\D.*)$`)
	pitchNumber   = lazyregexp.New(`16|8|4`)
)

// toPedal tells whether a pair of divisions has the pedal in it.
func (l *List) toPedal(pair string) bool {
	a, b, _, _ := pairOf(pair)
	return a.role == "pedal" || b.role == "pedal"
}

// subAndSuper begins couplers of both octaves.
var subAndSuper = lazyregexp.New(`^sub[ -]*(?:oktav)?-?(?:koppeln?)?(?: en | und | u\. | and | et | e | y |/|\+| ?& ?)super-?(?:o[kc]tav)?-?(?:koppeln?)? `)

// bothOctaves are those of a French list: "Octaves graves et aiguës du Récit".
var bothOctaves = lazyregexp.New(`^octaves? graves? (?:et|/|&|-) (?:octaves? )?aigue?s? (?:(?:du|de la|de l'|sur le|sur la|au) ?)?`)

// pulled reads "angehängt" alone.
func (l *List) pulled(low string, add adder) bool {
	pedal := l.pedal()
	if words := len(strings.Fields(nameBrackets.ReplaceAllString(low, " "))); pedal < 0 || !pulledDown.MatchString(low) || words > 2 && !(words < 5 && strings.HasPrefix(low, "ped")) {
		return false
	}
	for _, b := range nameBrackets.FindAllString(low, -1) { // "Pedal angehängt (HW)"
		if i := l.resolve(refOf(b)); i >= 0 && refOf(b).known() && !l.Divisions[i].Pedal {
			add(i, pedal, 0, true, "")
			return true
		}
	}
	add(l.main(), pedal, 0, true, "which manual is pulled down is not said: the main one")
	return true
}

var pedalCouplers = lazyregexp.New(`^(?:pedalkoppeln?|pedaalkoppels?) (?:zu |zum |zur |aus |von |vom |mit |für |für das |des )?`)

// allToPedal reads "Pedalkoppel I + II".
func (l *List) allToPedal(low string, add adder) bool {
	m := pedalCouplers.FindString(low)
	if m == "" || l.pedal() < 0 {
		return false
	}
	var manuals []int
	for _, part := range tirasseParts.Split(andBetween.ReplaceAllString(strings.TrimSuffix(low[len(m):], " zum pedal"), ","), -1) {
		i := l.resolve(refOf(part))
		if i < 0 || l.Divisions[i].Pedal || !refOf(part).known() {
			return false
		}
		manuals = append(manuals, i)
	}
	for _, i := range manuals {
		add(i, l.pedal(), 0, false, "")
	}
	return true
}

type adder func(sounds, keys, shift int, fixed bool, assumed string)

// french reads "Tirasse GO", "Tirasses G.O., Réc." and "Tir I, II, III".
func (l *List) french(low string, add adder) bool {
	rest, found := "", false
	low = atThePedal.ReplaceAllString(low, "")
	low = permanentTirasse.ReplaceAllString(strings.Replace(low, "tirasse:", "tirasse ", 1), "tirasse ")
	low = sameOctaves.ReplaceAllStringFunc(low, func(m string) string { // "Tirasses G.O., Réc. en 8 et 4"
		g := sameOctaves.FindStringSubmatch(m)
		parts := tirasseParts.Split(g[1], -1)
		return strings.Join(parts, " "+g[2]+" "+g[3]+",") + " " + g[2] + " " + g[3]
	})
	for _, w := range []string{"tirasses ", "tirasse ", "tir. ", "tir ", "tirasses: ", "tirasses"} {
		if rest, found = strings.CutPrefix(low, w); found {
			break
		}
	}
	pedal := l.pedal()
	if !found || pedal < 0 {
		return false
	}
	if allManuals.MatchString(strings.Trim(low, " .:")) {
		for _, i := range l.manuals() {
			add(i, pedal, 0, false, "")
		}
		return true
	}
	done := false
	for _, part := range tirasseParts.Split(strings.Trim(rest, " :."), -1) {
		if isPair(part) && l.toPedal(part) { // "Tirasses : G.O.-Péd., Réc.-Péd."
			done = l.pair(part, false, add) || done
			continue
		}
		for _, shift := range shiftsOf(apartPitches(" " + part)) {
			if i := l.resolve(refOf(stripShift(part))); i >= 0 {
				add(i, pedal, shift, false, "")
				done = true
			}
		}
	}
	if !done && strings.Trim(rest, " .:") == "" {
		add(l.main(), pedal, 0, false, "which manual the tirasse takes is not said: the main one")
		done = true
	}
	return done
}

var (
	// permanentTirasse is a tirasse that cannot be put off.
	permanentTirasse = lazyregexp.New(`^(?:en )?tirasse (?:permanente|fixe|constante)(?: (?:sur|avec|du|au|de))?`)
	// atThePedal says of a tirasse what its name says: "Tirasse du 1er clavier au pédalier".
	atThePedal = lazyregexp.New(` (?:au pedalier|a la pedale|sur (?:la |le )?pedal(?:e|ier)|au pedale)$`)
	// sameOctaves are the pitches of all tirasses in a row.
	sameOctaves = lazyregexp.New(`^(tirasses? .*?),? (?:en |\(?(?:en )?)(16|8|4)'? et (?:en )?(16|8|4)'?\)?$`)
)

// pair reads "II/I", "Swell to Great", "HW-P", "Réc. sur G.O. 16".
func (l *List) pair(body string, fixed bool, add adder) bool {
	for _, w := range []string{"superoktavkoppeln", "suboktavkoppeln", "superoktavkoppel", "suboktavkoppel", "superoktave", "suboktave", "super-oktavkoppel", "sub-oktavkoppel", "oberoktavkoppel", "unteroktavkoppel", "oktavkoppel", "superoctaafkoppel", "suboctaafkoppel", "superkoppel", "subkoppel", "super", "sub", "octaves graves", "octaves aigues", "octave grave", "octave aigue", "superottava", "sottottava", "oberoctavkoppel", "oktavkoppeln", "superkoppeln", "subkoppeln", "doppeloktavkoppel"} {
		if rest, found := strings.CutPrefix(body, w+" "); found {
			mark := " 4'"
			if containsAny(w, "sub", "grave", "sotto", "unter") {
				mark = " 16'"
			}
			return l.pair(strings.Trim(rest, " :")+mark, fixed, add)
		}
	}
	body = octaveGlued.ReplaceAllString(body, " $1 -$2")
	if m := pitchBeforeSign.FindStringSubmatch(body); m != nil && !strings.ContainsAny(m[4], "0123456789") {
		body = m[1] + m[3] + m[4] + " " + m[2] + "'"
	}
	shifts := shiftsOf(body)
	text := stripShift(strings.NewReplacer("(", " ", ")", " ").Replace(body))
	text = stripShift(text)
	a, b, spoken, ok := pairOf(text)
	if !ok {
		return false
	}
	x, y := l.resolve(a), l.resolve(b)
	if x < 0 || y < 0 {
		return false
	}
	assumed := ""
	switch main := l.main(); {
	case l.Divisions[x].Pedal && !l.Divisions[y].Pedal:
		x, y = y, x
	case !spoken && x == main && y != main && !l.Divisions[y].Pedal:
		x, y = y, x
		assumed = "which keys it is played from is not said: those of the main manual"
	}
	for _, shift := range shifts {
		add(x, y, shift, fixed, assumed)
	}
	return true
}

// pitchBeforeSign is "III 4'/I".
var pitchBeforeSign = lazyregexp.New(`^([\pL.]{1,12}) (16|8|4)'? ?(/|-|->| to | an | auf | sur | su | op | aan )(.+)$`)

// octaveGlued is "Sw Oct-Gt".
var octaveGlued = lazyregexp.New(` (oct|sub|super)-((?:gt|great|ped|sw|ch|pos|hw|go|so|i{1,3}|p)\b)`)

// several reads "Oberoktavkoppel II-I und II-II".
func (l *List) several(body string, fixed bool, add adder) bool {
	parts := andBetween.Split(body, -1)
	if len(parts) < 2 {
		return false
	}
	prefix := ""
	if w, rest, found := strings.Cut(parts[0], " "); found && isPair(rest) && containsAny(w, "oktav", "octav", "sub", "super") {
		prefix, parts[0] = w+" ", rest
	}
	for _, p := range parts {
		if !isPair(stripShift(p)) {
			return false
		}
	}
	done := false
	for _, p := range parts {
		done = l.pair(prefix+p, fixed, add) || prefix != "" && l.onItself(prefix+strings.SplitN(p, "-", 2)[0], add) || done
	}
	return done
}

// onItself reads "Swell Octave", "Suboktavkoppel II".
func (l *List) onItself(body string, add adder) bool {
	body = strings.NewReplacer("superoktavkoppel", " super ", "superoktave", " super ", "suboktave", " sub ", "superkoppel", " super ", "subkoppel", " sub ", "suboctaafkoppel", " sub ", "superoctaafkoppel", " super ", "suboktavkoppel", " sub ", "sub-oktavkoppel", " sub ", "superoktav", " super ", "suboktav", " sub ", "oktavkoppel", " super ", "octaves graves", " sub ", "octave grave", " sub ", "octaves aigues", " super ", "octave aigue", " super ", "ottave sopra", " super ", "ottave sotto", " sub ", "superottava", " super ", "sottottava", " sub ",
		"at octaves", " super ", "at the octave", " super ", "sub octave", " sub ", "sub-octave", " sub ", "super octave", " super ", "super-octave", " super ", "suboctave", " sub ", "superoctave", " super ", "oberoctavkoppel", " super ", "oberoktavkoppel", " super ").Replace(body)
	if !shiftMarks.MatchString(" " + body + " ") {
		return false
	}
	r := refOf(stripShift(stripShift(body)))
	i := l.resolve(r)
	if !r.known() {
		return false
	}
	if i < 0 {
		return false
	}
	for _, shift := range shiftsOf(body) {
		if shift != 0 {
			add(i, i, shift, false, "")
		}
	}
	return true
}

// onEach reads "octaves graves GO, Pos, Réc": each sounds its own octave.
func (l *List) onEach(low string, add adder) bool {
	prefix := octavePrefix.FindString(low)
	parts := strings.Split(strings.Trim(low[len(prefix):], " :"), ",")
	if prefix == "" || len(parts) < 2 {
		return false
	}
	shift := -12
	if strings.Contains(prefix, "aigu") || strings.HasPrefix(prefix, "sup") {
		shift = 12
	}
	for _, p := range parts {
		i := l.resolve(refOf(p))
		if i < 0 || !refOf(p).known() {
			return false
		}
		add(i, i, shift, false, "")
	}
	return true
}

// general reads words for couplers that name no divisions: "Manualkoppel", "2 Pedalkoppeln", "Normalkoppeln", "Unione tastiere".
func (l *List) general(low string, fixed bool, add adder) bool {
	manuals, pedal, main := l.manuals(), l.pedal(), l.main()
	const which = "which divisions it couples is not said"
	toPedal := func(all bool) bool {
		if pedal < 0 {
			return false
		}
		for _, m := range manuals {
			if all || m == main {
				ask := which
				if len(manuals) == 1 {
					ask = ""
				}
				add(m, pedal, 0, fixed, ask)
			}
		}
		return true
	}
	toMain := func() bool {
		done := false
		for _, m := range manuals {
			if m == main {
				continue
			}
			for _, shift := range shiftsOf(low) {
				add(m, main, shift, fixed, which)
				done = true
			}
		}
		return done
	}
	several := severalText.MatchString(low)
	words := len(strings.Fields(low))
	if words == 2 && refOf(strings.Fields(low)[1]).known() { // "Superoktavkoppel II" of a keyboard that the list does not have
		return false
	}
	switch {
	case words > 9:
		return false
	case containsAny(low, "normalkoppel", "normalkopl", "normalkoppl", "normalkobl", "normaaliyhd", "usual couplers", "tutte le unioni", "tutti gli accoppiamenti", "unioni usuali", "unioni normali", "todos los acoplamientos", "acoplamientos usuales", "acoplamientos normales", "acoplamientos habituales", "alle koppeln", "intermanual"), low == "koppeln", low == "couplers", countedCouplers.MatchString(low):
		if low == "koppeln" || low == "couplers" {
			return false
		}
		a := toMain()
		return toPedal(true) || a
	case containsAny(low, "pedalkoppel", "pedaalkoppel", "pedaalikoppel", "pedalkobling", "pedalkoppling", "pedalkopling", "pedal coupler", "manual to pedal", "manuals to pedal", "tasto pedale", "tasto-pedale", "tasto al ped", "tasto e ped", "tasti al ped", "tasto/ped", "unione tasti ", "teclado al pedal", "teclado a pedal", "teclados a pedal", "teclados al pedal", "tecla-pedal", "manual a pedal", "manual al pedal", "angehangtes pedal", "aangehangen pedaal", "pull-down pedal", "pulldown", "unione pedale", "unione al pedale", "unione tasto", "manual/pedal", "pedal angehangt", "pedaal aangehangen", "unione ped", "pedal pull", "pedalkopplung", "unione a pedale", "pedale unito"):
		return toPedal(several || strings.Contains(low, "koppeln") && len(manuals) > 1)
	case containsAny(low, "manualkoppel", "manualkobling", "manualkoppling", "manualkopling", "manuaalkoppel", "manuaalikoppel", "klavierkoppel", "manual coupler", "unione tastiere", "unione manuali", "union manuales", "union de manuales", "union teclados", "acoplamiento manuales", "acoplamiento de manuales", "acoplamiento teclados", "unione dei manuali", "union de los teclados", "accouplement", "schiebekoppel", "manualschiebekoppel", "accouplements des claviers", "koppel manuale", "unione delle tastiere", "klaviaturkoppel", "shove coupler", "acoplamiento de teclados", "enganche de teclados", "gavelkoppel", "gabelkoppel"):
		done := toMain()
		return strings.HasPrefix(low, "tous les accouplements et tirasses") && toPedal(true) || done
	case low == "tirasse" || low == "tirasses" || strings.HasPrefix(low, "tirasse ped") || low == "tirasse permanente":
		return toPedal(several || low == "tirasses")
	case low == "octaves graves" || low == "octave grave" || low == "octaves aigues" || low == "octave aigue":
		add(main, main, map[bool]int{true: -12, false: 12}[strings.Contains(low, "grave")], false, which+": the main manual is taken")
		return main >= 0
	case containsAny(low, "suboktavkoppel", "sub-oktavkoppel", "unteroktavkoppel", "sottottava", "sub octave coupler") && len(manuals) > 0:
		i := manuals[len(manuals)-1]
		add(i, i, -12, false, which+": the upper manual is taken")
		return true
	case containsAny(low, "ottave sopra", "superoktavkoppel", "superottava", "octave coupler", "oktavkoppel", "oktavkobling") && len(manuals) > 0:
		i := manuals[len(manuals)-1]
		add(i, i, 12, false, which+": the upper manual is taken")
		return true
	case slices.Contains([]string{"koppel", "koppeling", "coupler", "copula", "koppling", "kobling", "kopling", "kopplung"}, strings.TrimPrefix(strings.TrimPrefix(strings.TrimPrefix(low, "een "), "eine "), "en ")):
		if toMain() {
			return true
		}
		return toPedal(false)
	}
	return false
}

func joinNames(names []string) string {
	if len(names) == 0 {
		return "nothing that sounds"
	}
	var once []string
	for _, n := range names {
		if !slices.Contains(once, n) {
			once = append(once, n)
		}
	}
	return strings.Join(once, ", ")
}
