package stoplist

import (
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// waiting is a coupler or a tremulant, which is read when all divisions are known.
type waiting struct {
	line, reading int // indexes
	text          string
	division      int
}

var (
	atOctaves     = lazyregexp.New(`(?i) at (?:the )?octaves?\b`)
	octavePrefix  = lazyregexp.New(`^(?:octaves? (?:graves?|aigue?s?)|sub-? (?:und|u\.|&) super-?(?:o[kc]tav)?-?koppeln?|su(?:b|per)[ -]?(?:o[kc]tav(?:koppeln?|en?)|koppeln?))`)
	couplersLabel = lazyregexp.New(`^(?i)(koppeln|couplers|koppelingen|accouplements|unioni|kopplungen|acoplamientos|uniones|enganches|acoblaments|accoppiamenti)(?: (?:meccanic|elettric|mec[aá]nic|el[eé]ctric)\pL+)?\s*[:\-]\s*`)
)

// couplers reads a list of couplers: they wait until all divisions are known.
func (r *reader) couplers(text string) {
	low := plain(text)
	if r.tremulant(text, low) {
		return
	}
	text = strings.TrimSpace(couplersLabel.ReplaceAllString(text, ""))
	text = bulletDash.ReplaceAllStringFunc(text, func(m string) string { // "- Accouplement à tiroir I - II - Tirasse II - P"
		word := strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(m), "-"))
		if first, _, _ := strings.Cut(word, " "); refOf(word).known() || refOf(first).known() {
			return m
		}
		return "; " + word + " "
	})
	text = endsBehindShort(text)
	if parts := partsBySign(text); len(parts) > 2 && !beginsWithDashedPair(text) && looksLikeCoupler(splitList(parts[0])[0]) && looksLikeCoupler(splitList(parts[1])[0]) {
		text = strings.Join(parts, "; ")
	}
	text = strings.ReplaceAll(strings.TrimSpace(actionBracket.ReplaceAllString(" "+text, "")), " sowie ", ", ")
	if strings.HasPrefix(plain(text), "tous les accouplements") { // "… en 16, 8 et 4"
		text = strings.NewReplacer(",", " ", " en ", " ").Replace(text)
	}
	text = r.spelledOut(text)
	var pieces []string
	text = atOctaves.ReplaceAllString(strings.ReplaceAll(text, "koppel / ", "koppel, "), " octave")
	for _, sentence := range sentences(text) {
		from := len(pieces)
		for _, p := range splitList(sentence) {
			if run := pairsInARow(p); run != "" {
				pieces = append(pieces, strings.Split(run, "; ")...)
				continue
			}
			if len(pieces) > from && (strings.HasPrefix(plain(pieces[len(pieces)-1]), "tirasse") && refOf(stripShift(p)).known() || namesDivisions(p) && !isPair(p) && !(isPair(pieces[len(pieces)-1]) && strings.ContainsAny(pieces[len(pieces)-1], "/-")) || shiftMarks.MatchString(p) && stripShift(p) == "") {
				pieces[len(pieces)-1] += ", " + p // "Tirasses GO, Pos, Réc"; "Swell to Great 16, 8, 4"
				continue
			}
			pieces = append(pieces, p)
		}
	}
	extra, melody, about := false, false, false
	octaves, at := "", "" // what stands before an octave coupler, and its divisions
	one := ""             // what stands before the last octave coupler, be it of one alone
	for _, p := range pieces {
		p = strings.Trim(stripBullet(p), " .;")
		if p == "" {
			continue
		}
		if m := romanCount.FindString(p); m != "" && !beginsWithManual(p[len(m):]) && (isPair(p[len(m):]) || octaveOnly.MatchString(plain(p[len(m):]))) { // "V Great to Pedal"
			p = p[len(m):]
		}
		if r.tremulant(p, plain(p)) {
			continue
		}
		if sectionOf(p) == inCouplers && len(pieces) > 1 && (len(strings.Fields(p)) > 1 || couplersWord.MatchString(p)) { // "mekaniske koblinger"
			r.say(IsExtra, "heading: "+inCouplers, "")
			continue
		}
		if (isExtra(plain(p)) || extra || dynamicMark.MatchString(p)) && !looksLikeCoupler(p) {
			extra = true
			r.accessory(p)
			continue
		}
		if !looksLikeCoupler(p) && !refOf(stripShift(p)).known() && r.notCoupler(p) {
			continue
		}
		if melody = melodyCoupler.MatchString(plain(p)) || melody && isPair(p); melody {
			r.say(IsExtra, "a coupler of the highest or lowest key alone, which is left out", "")
			continue
		}
		if noCouplers.MatchString(plain(p)) {
			r.say(IsProse, "no part of the stop list", "")
			continue
		}
		if drawsCouplers.MatchString(plain(p)) {
			r.say(IsExtra, "draws the couplers of the list", "")
			continue
		}
		if m := octavePrefix.FindString(plain(p)); m != "" {
			octaves, one, at = m, m, strings.TrimSpace(strings.TrimPrefix(plain(p), m))
			if !strings.HasSuffix(m, "n") && !strings.HasPrefix(m, "octaves") && isPair(at) { // "Suboktavkoppel II/I" is one
				octaves = ""
			}
		} else if plain(p) == at { // the same at its own pitch: "Octaves graves Réc/GO, Réc/GO"
			octaves = ""
		} else if octaves != "" && isPair(p) && len(shiftsOf(p)) == 1 && shiftsOf(p)[0] == 0 {
			p = octaves + " " + p // "Octaves graves GO, Réc/Pos"
		} else if one != "" && withItself(p) { // "Suboktavkoppel III/II, III/III"
			p = one + " " + p
		}
		if about = (about || aboutOrgan(plain(p))) && !looksLikeCoupler(p) && !refOf(p).known(); about {
			r.year(p)
			r.say(IsProse, "no part of the stop list", "")
			continue
		}
		r.say(IsCoupler, p, "")
		line := len(r.list.Lines) - 1
		r.waiting = append(r.waiting, waiting{line, len(r.list.Lines[line].Readings) - 1, p, r.current})
	}
}

// withItself tells whether a coupler takes a division to itself at no other pitch, which only one of another octave does.
func withItself(text string) bool {
	a, b, _, ok := pairOf(text)
	return ok && a == b && slices.Equal(shiftsOf(text), []int{0})
}

// beginsWithManual tells whether a text goes on "Manual" behind its number.
func beginsWithManual(text string) bool {
	first, _, _ := strings.Cut(plain(text), " ")
	return manualWords[first]
}

// couplersWord heads couplers that stand behind it on its line.
var couplersWord = lazyregexp.New(`(?i)^(?:couplers|koppeln|koppels|accouplements)$`)

// romanCount is the number of a coupler in a list of them.
var romanCount = lazyregexp.New(`^[IVX]{1,5}[.)]? +`)

// namesDivisions tells whether text is a division or several: "II y III".
func namesDivisions(text string) bool {
	return refOf(text).known() || !slices.ContainsFunc(andBetween.Split(text, -1), func(p string) bool { return !refOf(p).known() })
}

var (
	// actionBracket says how a coupler works or is drawn: "(elektrisch)", "als Zug und Tritt", "(ausgebaut bis c5)".
	actionBracket = lazyregexp.New(`(?i) ?\((?:elektr|mechan|pneum|elettr|meccan|electr)\pL*\.?\)| ?\((?:durchgehend |bis \S+ )?ausgebaut[^()]*\)| als (?:(?:register|manual)?z[uü]ge?|(?:fuß)?tritte?|wechseltritte?|hakentritte?)(?: (?:und|u\.) (?:z[uü]ge?|(?:fuß)?tritte?))?\b`)
	// melodyCoupler couples the highest key that is held, or the lowest.
	melodyCoupler = lazyregexp.New(`^(?:melodie|diskant|bass|melody|solo)-?(?:koppeln?|kopp\.?|coupler)`)
	// noCouplers says that there are none: "Keine Oktavkoppeln!"
	noCouplers = lazyregexp.New(`^(?:keine?|ohne|no|without|sans|pas de|senza|nessun\pL*|sin|geen|zonder|inga|ingen|uden|utan) \pL*(?:koppel|coupler|accouple|tirasse|union|acopl|enganche|kopp?l|octave|oktav)`)
	// drawsCouplers is one knob for all couplers.
	drawsCouplers = lazyregexp.New(`^(?:general-?koppeln?|tuttikoppel|koppeltutti)$|koppeln? (?:ab|aus|weg)$|^couplers? (?:off|cancel)`)
	// bareCoupler is a kind of coupler without the divisions that it couples.
	bareCoupler = lazyregexp.New(`^(?:(?:normal|manual|pedal|melodie|diskant|bass)-?(?:koppeln?|kopp\.?)|(?:sub|super|ober|unter)-?(?:o[kc]tav)?-?(?:e|en|koppeln?|kopp\.?)|doppel-?o[kc]tav-?(?:koppeln?|kopp\.?)|tirasses?|octaves? (?:graves?|aigues?)):?$`)
)

// withPairs puts the divisions of a coupler behind its kind where they stand on the next line: "Superoktave" and below it "II, II - I, II - P".
func withPairs(lines []string) []string {
	out := slices.Clone(lines)
	for i := 1; i < len(out); i++ {
		if !bareCoupler.MatchString(plain(tidy(lines[i-1]))) {
			continue
		}
		parts := splitList(strings.TrimSpace(tidy(lines[i])))
		if len(parts) == 0 || slices.ContainsFunc(parts, func(p string) bool { return !isPair(p) && !refOf(p).known() }) || !slices.ContainsFunc(parts, isPair) {
			continue
		}
		out[i-1], out[i] = strings.TrimSpace(lines[i-1])+" "+strings.TrimSpace(lines[i]), ""
	}
	return out
}

// toTheSame spells "Great, Swell, Choir to Pedal" out as three couplers.
func toTheSame(text string) string {
	parts := splitList(text)
	last := len(parts) - 1
	if last < 1 || !isPair(parts[last]) {
		return text
	}
	m := spokenPair.FindStringIndex(parts[last])
	if m == nil || slices.ContainsFunc(parts[:last], func(p string) bool { return isPair(p) || refOf(p).role == "" }) {
		return text
	}
	for i := range parts[:last] {
		parts[i] += parts[last][m[0]:]
	}
	return strings.Join(parts, "; ")
}

// oneOctave is an octave coupler of a manual by its name and pitch alone: "Swell 4".
var oneOctave = lazyregexp.New(`^(\pL[\pL.]*(?:[ -]or(?:gue|gan))?)(?: to \pL[\pL.]*)? (?:16|4)'?$`)

// ownOctave tells whether a line is an octave coupler of a manual: among the couplers, or behind the stops of that manual.
func (r *reader) ownOctave(text string) bool {
	m := oneOctave.FindStringSubmatch(plain(text))
	if m == nil || refOf(m[1]).role == "" || r.section == inStops && known(m[1]) { // "Bombarde 16" on the manual of that name
		return false
	}
	if r.section == inCouplers {
		return true
	}
	return r.current >= 0 && r.list.Divisions[r.current].Role == refOf(m[1]).role && len(r.list.Divisions[r.current].Stops) > 0 && !r.inPedal()
}

// speaksOfCouplers tells whether a part of a text is a coupler.
func speaksOfCouplers(text string) bool {
	return slices.ContainsFunc(sentences(text), func(s string) bool {
		return slices.ContainsFunc(splitList(s), func(p string) bool { return looksLikeCoupler(stripBullet(p)) })
	})
}

// couplersBySign reads a line of couplers with a sign between them: "Superottava Recitativo - III/I - Superottava Positivo/Pedale".
func (r *reader) couplersBySign(line string) bool {
	if r.section != inCouplers {
		return false
	}
	parts := partsBySign(line)
	for _, p := range parts {
		if !looksLikeCoupler(p) || len(strings.Fields(p)) > 5 {
			return false
		}
	}
	if len(parts) < 3 || refOf(parts[0]).known() {
		return false
	}
	r.couplers(strings.Join(parts, "; "))
	return true
}

// pairsWithin tells whether several parts of a list are couplers.
func pairsWithin(text string) bool {
	parts := slices.DeleteFunc(splitList(text), func(p string) bool { return !isPair(stripBullet(p)) })
	return len(parts) > 1
}

// bulletDash is a dash before a word that is no division.
var bulletDash = lazyregexp.New(`(?:^| )- \pL{4,}(?: \pL{4,})? ?`)

// beginsWithDashedPair tells whether the dash in a list of couplers stands between the two divisions of each: "Koppel Man. I - Man. II, …".
func beginsWithDashedPair(text string) bool {
	parts := splitList(text)
	if len(parts) < 2 || !strings.Contains(parts[0], " - ") {
		return false
	}
	_, behind, _ := strings.Cut(parts[0], " ")
	return isPair(parts[0]) || isPair(behind)
}

// endsBehindShort ends the sentences behind short names with a semicolon.
func endsBehindShort(text string) string {
	return shortEnd.ReplaceAllStringFunc(text, func(m string) string { // not in "I. Manual"
		if g := shortEnd.FindStringSubmatch(m); !manualWords[strings.ToLower(g[2])] && !spokenPair.MatchString(" "+g[2]+" ") {
			return g[1] + "; " + g[2]
		}
		return m
	})
}

// shortEnd is the end of a sentence behind a short name: "Accouplement POS/GO. Tirasse GO."
var shortEnd = lazyregexp.New(`((?:^|[ /\-])(?:[IVP]{1,3}|GO|G\.O|HW|POS|REC|Ped|SW|RP))\. (\pL{3,})`)

// notCoupler reads a stop or a fact that stands among couplers; behind them the knobs may be listed a second time.
func (r *reader) notCoupler(text string) bool {
	if r.current >= 0 {
		if s, left := r.stopsIn(text, r.inPedal()); len(s) == 1 && len(left) == 0 && s[0].how <= byBeginning && s[0].printedFeet {
			if r.standing(s) {
				r.say(IsExtra, "the stop is in the list already", "")
				return true
			}
			r.add(r.current, s[0])
			r.section = inStops
			return true
		}
	}
	if r.tremulant(text, plain(text)) {
		return true
	}
	if bothHalves.FindString(text) == text { // "Manuaalkoppel, bas en discant"
		r.say(IsExtra, "in both halves", "")
		return true
	}
	if pulledDown.MatchString(r.lines[r.at]) && r.pulledCompass(text) {
		return true
	}
	if said := r.list.facts(text); len(said) > 0 {
		r.say(IsFact, strings.Join(said, ", "), "")
		return true
	}
	return false
}

// dynamicMark names a fixed combination.
var dynamicMark = lazyregexp.New(`^(?i:(?:p{1,3}|mp|mf|f{1,3}|tt?|piano|mezzo-?piano|mezzo-?forte|forte|fortissimo|pianissimo|pleno)(?:[ ,]+|$))+$`)

// spacedPair is a pair with spaces about its sign: "II / P".
var spacedPair = lazyregexp.New(`\b(I{1,3}|IV|V|HW|SW|RP|OW|BW) / (I{1,3}|IV|V|P|Ped|HW|SW|RP|OW|BW)\b`)

// pairsInARow writes couplers that stand in a row with nothing between them, "I-P II-P 4 II-I 16 II", with commas; "" for anything else.
func pairsInARow(text string) string {
	words := strings.Fields(spacedPair.ReplaceAllString(text, "$1/$2"))
	var out []string
	pairs, pitch := 0, ""
	for _, w := range words {
		switch {
		case footNumber.MatchString(strings.TrimSuffix(w, "'")):
			pitch = w
			continue
		case isPair(w) && strings.ContainsAny(w, "-/"):
			pairs++
		case pitch != "" && refOf(w).known():
		default:
			return ""
		}
		if pitch == "8" || pitch == "8'" { // at unison pitch
			pitch = ""
		}
		out = append(out, strings.TrimSpace(w+" "+pitch))
		pitch = ""
	}
	if pairs < 2 || pitch != "" {
		return ""
	}
	return strings.Join(out, "; ")
}

// couplersAmong reads the couplers at the head of a list of accessories: "I-P, II-P, II-I, Fondi, Tutti".
func (r *reader) couplersAmong(text string) bool {
	parts := splitList(text)
	n := 0
	for n < len(parts) && isPair(parts[n]) {
		n++
	}
	if n == 0 {
		return false
	}
	r.couplers(strings.Join(parts[:n], ", "))
	if rest := strings.Join(parts[n:], ", "); rest != "" {
		r.other(rest, plain(rest), len(strings.Fields(rest)))
	}
	return true
}
