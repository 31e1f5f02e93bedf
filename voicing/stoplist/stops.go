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

// foundStop is a stop as it stands in the text.
type foundStop struct {
	Stop
	printedFeet bool
	how         sure
	as          string
	grouped     []span // its lengths and ranks as printed
	tremulant   bool   // the tremulant is printed behind it
	InPedal     bool   // it is said to be in the pedal
	silent      bool   // its knob has no pipes
}

var (
	noteWords = map[string]bool{"holz": true, "w": true, "m": true, "&": true, "ff": true, "fichte": true, "kiefer": true, "nussbaum": true, "metall": true, "zunge": true, "zungen": true, "wood": true, "metal": true, "ged": true, "gedeckt": true, "offen": true, "zinn": true, "eiche": true, "prospekt": true, "ext": true, "ext.": true, "transm": true, "transm.": true, "tr": true, "tr.": true, "neu": true, "new": true, "bas": true, "disc": true, "disk": true, "b": true, "d": true, "dessus": true, "basse": true, "tc": true, "ch": true,
		"rep": true, "hz": true, "pipes": true, "b/d": true, "bas/disc": true, "disc.": true, "disk.": true, "bass": true, "treble": true, "bassi": true, "soprani": true, "p": true, "s": true, "b+d": true, "bd": true, "bas/discant": true, "discant": true, "diskant": true, "kupfer": true, "copper": true, "tin": true, "nogle": true, "bois": true, "etain": true, "m.s": true, "me": true, "md": true, "m.e": true, "m.d": true, "m.i": true, "t.c": true, "cyl": true, "conical": true, "open": true, "stopped": true, "pr": true, "h": true, "wechselschleife": true, "ws": true, "neues": true, "original": true, "kopie": true, "schwebend": true, "alt": true, "f": true}
	parenthesis  = lazyregexp.New(`^\s*[(\[][^)\]]*[)\]]?`)
	intervals    = lazyregexp.New(`(?:^|[^\d.])(\d{1,2}(?:(?:[.,] ?|[\-: ])\d{2}){1,6})(?:$|[^\d])`)
	andWord      = lazyregexp.New(` (?:y|e|et|und|and|en) `)
	leadingAnd   = lazyregexp.New(`(?i)^(?:e|et|ed|und|and|en|y) `)
	noteNumber   = lazyregexp.New(`(?i)(?:^|[( ])C ?(13|25)(?:[), ]|$)`)
	halfBefore   = lazyregexp.New(`^(D|B)\. ?(\pL{4,})`)
	ofLength     = lazyregexp.New(`(?i)\(aus (\d)`)
	digits       = lazyregexp.New(`\d+`)
	doubledFrom  = lazyregexp.New(`(?i)dessus (?:de |à )?(?:2|deux) (?:tuyaux|rangs)|dubbel|doppelt|double from|doubled|double à partir|doublé`)
	fromKey      = lazyregexp.New(`(?i)(?:^|[^\pL])(?:(?:ab|ab/(?:dès|from|dal|vanaf)|(?:dès|from|dal|vanaf)/ab|down to|(?:only )?to|from|von|à partir d[eu]|a partir d[eu]|dal|dès|des|vanaf|desde|od|från|fra|frå|fr\.o\.m\.|starts? at|fr\.?|alates|alkaen|van|v\.?a\.?) (?:l'|le |lille |lit(?:et|en|la) |kleine? )?|à partir d')((?:tenor|ten\.?|middle|mid\.?|gamut|fiddle) ?[a-g]#?|t\.?c\.?|(?:CC|DD|EE|FF|GG|AA|BB)\b|(?:do|ut|sol|fa|re|ré|mi|la|si)[ -]?\d|c(?:13|25)\b|[a-h](?:is|s|#)? ?(?:°|'{1,3}|\d)|[a-h](?:#|(?:is|s)?\b))`)
	tenorC       = lazyregexp.New(`(?i)(?:^|[^\pL])(?:t\.? ?c\.?|tenor c|ten\.? c)(?:$|[^\pL])`)
	middleC      = lazyregexp.New(`(?i)[( ](?:mid\.?|middle) c[), ]`)
	gamutG       = lazyregexp.New(`(?i:[(\[](?:from )?(?:low|gamut|bass) g[)\]])|\((?:GG|from G)\)`)
	smallC       = lazyregexp.New(`[(\[](?:c|c0|C3|do ?2)[)\]]`)
	greatA       = lazyregexp.New(`(?i:[(\[](?:from )?(?:low|bass) a[)\]])|\(AA\)`)
	trebleOnly   = lazyregexp.New(`(?i)(?:^|[^\pL/+])(?:(?:durchs? )?halbe[sn]? (?:[ck]lavier|manual)|diskant|discant|disc\.?|disk\.?|dessus|soprani|soprano|soprana|soprane|treble|tiples?|m\.? ?d\.?|mano d(?:erecha|cha|er)\.?|m\.? ?d(?:er|cha)\.?|m[aã]o dir(?:eita|\.)|m[aà] dreta|de tiple|discantus|sop\.?|ne' soprani|superius)(?:$|[^\pL/+])`)
	bassOnly     = lazyregexp.New(`(?i)(?:^|[^\pL/+])(?:bassi|bass-?seite|basse|bas|m\.? ?[ie]\.?|mano izq(?:uierda|da)?\.?|mano izda\.?|m\.? ?izq\.?|m[aã]o esq(?:uerda|\.)|m[aà] esquerra|de bajos?|ne' bassi|bassa|bajos?)(?:$|[^\pL/+])`)
	trebleSign   = lazyregexp.New(`(?:^|[^\pL/+&])D\.?(?:$|[^\pL/+&'])`)
	stoppedNote  = lazyregexp.New(`(?i)(?:^|[^\pL])(?:gedackt|gedeckt|ged\.|gedekt|stopped|kryt[ýáéy]|bouchée?s?|tappat[oi]|tapad[oa])(?:$|[^\pL])`)
	measureOf    = lazyregexp.New(`(?i) (?:di|de|da|a|à|en|of|von)(?: piedi| palmos| pies| palmi)?$`)
	italianHalf  = lazyregexp.New(`(?:(?i) (?:ne' ?|nei |di )?(?:bass[oia]|soprani?|sopran[ae]|sop\.)| [BS]\.?)$`)
	materials    = lazyregexp.New(`(?i)(?:wood|metal|holz|metall|bois|hout|legno|madera|zinc|copper)`)
	bareKey      = lazyregexp.New(`(?i)^\s*\(?([a-h](?:is)?[°0]|c[1']|(?:ut|do|sol|fa) ?\d)(?:$|[^\pL\d])`)
	bassLetter   = lazyregexp.New(`(?:^|[^\pL/+&])B\.?(?:$|[^\pL/+&'])`)
	trebleLetter = lazyregexp.New(`(?:^|[^\pL/+&])S\.?(?:$|[^\pL/+&'])`)
	inPedal      = lazyregexp.New(`(?i)(?:^|[^\pL])(?:al |ai |in |im |en |au |à la )?(?:ped|pédalier|pedalier|pedal|pedale|pedali|pedaliera|pedaal|pédale|pedal:)(?:$|[^\pL])`)
	tremoloEnd   = lazyregexp.New(`(?i)[ ,]+(?:tremolo|tremulant|tremblant|trémolo)$`)
	bothHalves   = lazyregexp.New(`(?i)(?:bass?e? ?[/&+] ?(?:haute|dessus|treble|discant|disk(?:ant)?|sop(?:rani)?|superius|hauts?)|bass? (?:and|und|et|en) (?:treble|diskant|dessus|discant)|dessus et basse|basse et dessus|\bb/d|bas ?/ ?disc|b\+d|bass[ieoa] e(?:d)? sopran[ieoa]|bass ?/ ?disk|\bb\.? ?/ ?s\b|\bb\.? (?:e|y|und|et) [sd]\b\.?|bas en disc|bassi/soprani|b\.? ?& ?d|bas/dis|b\.-d\.)`)
	borrowed     = lazyregexp.New(`(?i)(?:^|[^\pL])(?:ext\.?|extension|transm\.?|transmission|emprunt|emprunté|emp\.|from|aus|trasm\.?|trasmission[ei]|trasmess[oa]|transmissi[oó]|transmissão|transmisión|prestad[oa]|trm\.|borrowed|derived|prolungamento|prol\.|transmissie|transmis[sj]on|transmitt?er\pL+|fælles|felles|gemensam|lånt|lån|prolongement|prolong\.|emprunt[ée]e?s?|transmise?|ontleend|geleend|siirto|tr\.|duplexed|unit|extensie|auszug|vorabzug|ex)(?:$|[^\pL])`)
	nameBrackets = lazyregexp.New(`[(\[][^)\]]*[)\]]?`)
)

// intervalFeet is the length in feet of each interval above the key at 8 ft, by scale degree.
var intervalFeet = map[int]float64{1: 8, 5: 5 + 1.0/3, 8: 4, 10: 3.2, 12: 2 + 2.0/3, 15: 2, 17: 1.6, 19: 1 + 1.0/3, 21: 8.0 / 7, 22: 1, 24: 0.8, 26: 2.0 / 3, 29: 0.5, 33: 1.0 / 3, 36: 0.25}

// stopsIn finds the stops in text; left are the pieces that are none.
func (r *reader) stopsIn(text string, pedal bool) (found []foundStop, left []string) {
	var pieces []string
	for _, piece := range splitList(text) {
		if n := len(pieces) - 1; n >= 0 && len(spans(pieces[n])) == 0 && (onlySizeAndNotes(piece) || romanWord.MatchString(piece) && isCompound(trimName(pieces[n]))) { // "Open Diapason, large, metal 8'", "Mixture, IV"
			pieces[n] += " " + piece
			continue
		}
		if n := len(pieces) - 1; n >= 0 && ranksBehind(pieces[n], piece) { // "Mixtur 1 1/3, 3-4f."
			pieces[n] += " " + piece
			continue
		}
		pieces = append(pieces, twoByAnd(piece)...)
	}
	for i, piece := range pieces {
		if i > 0 && len(found) > 0 && tremulantText.MatchString(strings.TrimSpace(piece)) {
			left = append(left, piece)
			continue
		}
		if i > 0 && len(found) > 0 && (len(spans(piece)) == 0 || keyAlone.MatchString(piece)) && (onlyNotes(piece) || keyAlone.MatchString(piece) || keyBehind.FindString(" "+piece) == " "+piece || r.keyOfOctave(piece) > 0 || startsSmall(piece) && (found[len(found)-1].printedFeet || fromKey.MatchString(piece))) {
			r.note(&found[len(found)-1], piece)
			continue
		}
		stops, rest := r.stopsOf(stripBullet(piece), pedal)
		found = append(found, stops...)
		left = append(left, rest...)
	}
	return found, left
}

// onlySizeAndNotes tells whether a piece holds no name: a size, or words of how the stop before is built, or both.
func onlySizeAndNotes(piece string) bool {
	bare := withoutSizes(nameBrackets.ReplaceAllString(piece, " "))
	rest := fromKey.ReplaceAllString(bare, " ")
	words := strings.Fields(plain(strings.Trim(rest, " .")))
	if len(words) == 0 && rest != bare || keyAlone.MatchString(strings.TrimSpace(bare)) && len(spans(piece)) > 0 { // "from middle C", "ten. C  8"
		return true
	}
	for _, w := range words {
		if !noteWords[strings.Trim(w, ".")] && w != "large" && w != "small" && w != "and" && w != "&" && !ranksUnit.MatchString(w) {
			return false
		}
	}
	return len(words) > 0 || strings.TrimSpace(piece) != "" && len(spans(piece)) > 0 && (romanless(strings.Fields(piece)[0]) || len(strings.Fields(piece)) > 1)
}

// ranksBehind tells whether a piece is nothing but the ranks of the one before it, which has a length.
func ranksBehind(before, piece string) bool {
	r, s := spans(piece), spans(before)
	return len(r) == 1 && r[0].ranks > 0 && strings.Trim(piece[:r[0].from]+piece[r[0].to:], " .'") == "" &&
		len(s) > 0 && s[len(s)-1].feet > 0 && !slices.ContainsFunc(s, func(x span) bool { return x.ranks > 0 })
}

// twoByAnd parts the last two of an enumeration, "Nasardo 17ª y Cromorno 8'": two known names with a word for and between them that are
// no name together.
func twoByAnd(piece string) []string {
	m := andAt(piece)
	if m == nil || feetByDegree(piece) > 0 || known(withoutSizes(piece)) || severalDegrees(piece) != nil {
		return []string{piece}
	}
	a, b := piece[:m[0]], piece[m[1]:]
	for _, part := range []string{a, b} {
		name := part
		for sp := spans(name); len(sp) > 0 && sp[len(sp)-1].from > 0; sp = spans(name) {
			name = name[:sp[len(sp)-1].from]
		}
		if !known(nameBrackets.ReplaceAllString(name, " ")) || onlyNotes(name) {
			return []string{piece}
		}
	}
	return []string{a, b}
}

// andAt is the place of the word for and in a piece; nil where it has none. The "en" of "en chamade" is no Dutch one.
func andAt(piece string) []int {
	m := andWord.FindStringIndex(piece)
	if m == nil || strings.HasPrefix(piece[m[1]:], "chamade") {
		return nil
	}
	return m
}

// withoutSizes is a text without its lengths and ranks.
func withoutSizes(text string) string {
	for sp := spans(text); len(sp) > 0; sp = spans(text) {
		text = text[:sp[0].from] + " " + strings.TrimLeft(text[sp[0].to:], "'")
	}
	return strings.TrimSpace(text)
}

// startsSmall tells whether text begins with a small letter, as a remark does and a name does not.
func startsSmall(text string) bool {
	for _, c := range text {
		return unicode.IsLower(c)
	}
	return false
}

// degrees takes "12.15.19" out of text: the ranks of a mixture by the interval that they sound.
func degrees(text string) (string, []int) {
	m := intervals.FindStringSubmatchIndex(text)
	if m == nil {
		return text, nil
	}
	var list []int
	for _, w := range digits.FindAllString(text[m[2]:m[3]], -1) {
		n := atoi(w)
		if intervalFeet[n] == 0 || len(list) > 0 && n <= list[len(list)-1] {
			return text, nil
		}
		list = append(list, n)
	}
	return text[:m[2]] + text[m[3]:], list
}

// stopsOf reads a piece between commas: a stop, or several that stand one after the other.
func (r *reader) stopsOf(text string, pedal bool) (found []foundStop, left []string) {
	whole := text
	if several := severalDegrees(ripienoOf.ReplaceAllString(text, "")); several != nil {
		if s, ok := r.stop("Ripieno", nil, "", pedal, several); ok {
			s.Name, s.Text, s.Feet = strings.Trim(text, " ."), strings.TrimSpace(text), intervalFeet[several[0]]
			return []foundStop{s}, nil
		}
	}
	if s, ok := r.nameOnly(text, pedal, nil); ok && s.how == exactly && len(spans(nameBrackets.ReplaceAllString(text, ""))) == 0 {
		return []foundStop{s}, nil
	}
	if names := namesSideBySide(text); names != nil {
		for _, name := range names {
			s, ok := r.nameOnly(name, pedal, nil)
			if !ok {
				left = append(left, name)
				continue
			}
			s.Assumed = append(s.Assumed, fmt.Sprintf("%q is no name, its parts are: taken as %d stops", strings.Trim(text, " ."), len(names)))
			found = append(found, s)
		}
		return found, left
	}
	text, sounds := degrees(text)
	sp := spans(text)
	if r.lengthFirst && len(sp) > 0 && sp[0].from <= 1 && sp[len(sp)-1].to < len(strings.TrimRight(text, " .")) {
		return r.lengthFirstStops(text, sp, pedal, sounds)
	}
	if len(sp) > 1 && sp[0].from == 0 && sp[0].ranks > 0 && sp[1].from > sp[0].to+3 {
		if stops, rest := r.lengthFirstStops(text, sp, pedal, sounds); len(stops) > 0 && len(rest) == 0 {
			return stops, rest
		}
	}
	if len(sp) == 2 && sp[0].from == 0 && sp[0].ranks == 0 && sp[1].ranks > 0 && sp[1].from > sp[0].to+3 { // "2 2/3 Kornet II"
		if stops, rest := r.lengthFirstStops(text, sp, pedal, sounds); len(stops) == 1 && len(rest) == 0 {
			return stops, rest
		}
	}
	if len(sp) > 0 && sp[0].from == 0 && (sp[0].marked || sp[0].roman || len(sp) == 1) && sp[len(sp)-1].to < len(strings.TrimRight(text, " .)")) && !insideBrackets(text, sp[len(sp)-1].from) {
		if stops, rest := r.lengthFirstStops(text, sp, pedal, sounds); len(stops) > 0 && len(rest) == 0 {
			return stops, rest
		}
	}
	at := 0
	for at < len(text) {
		name, group, end := r.nextGroup(text, sp, at, pedal)
		if group == nil {
			if s, ok := r.nameOnly(text[at:], pedal, sounds); ok && !(len(found) > 0 && stoppedOnly.MatchString(text[at:])) && (len(found) == 0 || s.how == exactly || !startsSmall(strings.TrimSpace(text[at:]))) {
				found = append(found, s)
			} else if t := strings.Trim(text[at:], " .,:;-()"); t != "" {
				if len(found) > 0 && (noteOnly(t) || startsSmall(t) || strings.HasPrefix(strings.TrimSpace(text[at:]), "(")) {
					r.note(&found[len(found)-1], t)
				} else if len(found) > 0 && r.fromDivision(t) { // "Trumpet 8 Gt"
					found[len(found)-1].Borrowed = true
				} else {
					left = append(left, t)
				}
			}
			break
		}
		note, next := takeNote(text, end, sp)
		if whole := sayWhat(name, text[end:]); whole != "" {
			name, note, next = whole, "", len(text)
		}
		s, ok := r.stop(name, group, note, pedal, sounds)
		if !ok {
			left = append(left, strings.TrimSpace(text[at:next]))
		} else {
			s.Text = strings.TrimSpace(text[at:next])
			if at == 0 && next == len(text) {
				s.Text = strings.TrimSpace(whole)
			}
			found = append(found, s)
			sounds = nil
		}
		at = next
	}
	return found, left
}

// ripienoOf leads to the ranks of a ripieno: "Ripieno XXVI-XXIX".
var ripienoOf = lazyregexp.New(`(?i)^[ \-•*]*(?:ripieno|pieno|accordo|file|ranghi)(?: di| in)? (?:file )?`)

// stoppedOnly says behind its length that a stop is stopped: "Principale 8' tappato".
var stoppedOnly = lazyregexp.New(`^ *(?:tappat[oi]|tapad[oa]s?|tapat|bouchée?s?|gedeckt|gedackt|stopped) *$`)

// namesSideBySide parts names without lengths that stand one after the other and are no name together, "Docena Quincena"; nil for anything
// else. Each is in the table as it stands and begins with a capital: "Clarinet flute" says how a flute sounds, and "Rohrflöte Quinte" which
// pipes a fifth has.
func namesSideBySide(text string) []string {
	words := strings.Fields(strings.Trim(text, " ."))
	if len(words) < 2 || len(words) > 6 || strings.ContainsAny(text, ",;:/()[]") || known(text) || len(spans(text)) > 0 {
		return nil
	}
	var out []string
	var before *Kind
	for at := 0; at < len(words); {
		n := len(words) - at
		for ; n > 0; n-- {
			name := strings.Join(words[at:at+n], " ")
			k, how, _ := table().lookUp(name, asked{})
			if k == nil || how != exactly || onlyNotes(name) || !unicode.IsUpper([]rune(name)[0]) {
				continue
			}
			if before != nil && before.Family != k.Family && k.Compound == "" && !octaveOf(k.Feet[0]) {
				return nil
			}
			out, before = append(out, name), k
			break
		}
		if n == 0 {
			return nil
		}
		at += n
	}
	return out
}

func insideBrackets(text string, at int) bool {
	return strings.LastIndexAny(text[:at], "([") > strings.LastIndexAny(text[:at], ")]")
}

// nextGroup finds the next name and the run of lengths and ranks that belongs to it.
func (r *reader) nextGroup(text string, sp []span, at int, pedal bool) (name string, group []span, end int) {
	for i := range sp {
		if sp[i].from < at || insideBrackets(text, sp[i].from) && i+1 < len(sp) {
			continue
		}
		name = stopName(text[at:sp[i].from])
		if len(fold(name)) < 2 || onlyNotes(name) && i+1 < len(sp) {
			continue
		}
		if m := numbered.FindString(name); m != "" && i+1 < len(sp) && sp[i+1].from-sp[i].to < 3 { // "Open Diapason no. 1 8"
			numeral := text[sp[i].from:sp[i].to]
			name, i = name+" "+numeral, i+1
			group, end = []span{sp[i]}, sp[i].to
			for end < len(text) && strings.ContainsRune("'])", rune(text[end])) {
				end++
			}
			return name, group, end
		}
		if sp[i].roman && !insideBrackets(text, sp[i].from) {
			with := name + " " + text[sp[i].from:sp[i].to]
			k, how, _ := table().lookUp(name, asked{ranks: 2, pedal: pedal, lang: r.list.Language})
			if len(table().byKey[fold(with)]) > 0 && (k == nil || k.Compound == "" || how != exactly || i+1 == len(sp) && r.countsNames(name, &sp[i])) {
				if i+1 < len(sp) {
					continue
				}
				return with, nil, 0
			}
			if k == nil || k.Compound == "" {
				if i+1 < len(sp) {
					continue // "Principal II 8"
				}
				return "", nil, 0
			}
		}
		group = []span{sp[i]}
		end = sp[i].to
		for j := i + 1; j < len(sp); j++ {
			between := strings.ToLower(strings.Trim(text[end:sp[j].from], " .,:;-()'[]/+"))
			if between != "" && between != "u" && between != "und" && between != "bis" && between != "to" && between != "rks" && between != "et" && between != "à" && between != "fach" {
				break
			}
			if sp[j].from-end > 6 && between == "" || pedal && sp[j].roman && insideBrackets(text, sp[j].from) && isOneRank(name, sp[i].feet) { // "Bordão 16' (III)" is that keyboard's
				break
			}
			group = append(group, sp[j])
			end = sp[j].to
		}
		for end < len(text) && strings.ContainsRune("'])", rune(text[end])) {
			end++
		}
		return name, group, end
	}
	return "", nil, 0
}

// isOneRank tells whether the pedal stop of a name has one rank.
func isOneRank(name string, feet float64) bool {
	k, how, _ := table().lookUp(name, asked{feet: feet, pedal: true})
	return k != nil && how == exactly && k.Compound == ""
}

// numbered is a name that a number follows: "Open Diapason no.".
var numbered = lazyregexp.New(`(?i) n(?:[or]|um)\.?$`)

// countsNames tells whether a Roman numeral behind a compound stop's name tells it from another of the same name: "Cornetto I" beside
// "Cornetto II".
func (r *reader) countsNames(name string, s *span) bool {
	return s.ranks == 1 || s.ranks == 2 && strings.Contains(strings.ReplaceAll(r.whole, " i,", " i "), plain(leadingAnd.ReplaceAllString(name, ""))+" i ")
}

// onlyNotes tells whether a name consists of words that say how a stop is built, not which it is.
func onlyNotes(name string) bool {
	for _, w := range strings.Fields(plain(name)) {
		if !noteWords[strings.Trim(w, ".,()")] {
			return false
		}
	}
	return true
}

// stopName is trimName that keeps the full stop behind a word cut off: "Rohrfl. 8'".
func stopName(s string) string {
	name := trimName(s)
	if m := endsCut.FindString(s); m != "" && name != "" && len(table().byKey[fold(name)]) == 0 {
		return name + "."
	}
	return name
}

var endsCut = lazyregexp.New(`\pL\.[ '"]*$`)

func trimName(s string) string {
	const around = " \t\n\f\r.,:;-–*_\"/+="
	return strings.TrimSpace(strings.TrimRight(strings.TrimLeft(s, around), around+"("))
}

// takeNote is what stands behind a length and belongs to the stop before it: brackets and words such as "Holz" or "ab c0".
func takeNote(text string, at int, sp []span) (note string, next int) {
	next = at
	for {
		rest := text[next:]
		if m := parenthesis.FindString(rest); m != "" {
			note += " " + m
			next += len(m)
			continue
		}
		if m := bareKey.FindStringSubmatchIndex(rest); m != nil {
			note += " " + rest[m[2]:m[3]]
			next += m[3]
			continue
		}
		if m := bothHalves.FindStringIndex(rest); m != nil && strings.Trim(rest[:m[0]], " ,.;-") == "" {
			note += " " + rest[:m[1]]
			next += m[1]
			continue
		}
		if m := fromKey.FindStringIndex(rest); m != nil && strings.Trim(rest[:m[0]], " ,.;-") == "" {
			note += " " + rest[:m[1]]
			next += m[1]
			continue
		}
		trimmed := strings.TrimLeft(rest, " ,.;:-*+§†#°'")
		word := trimmed
		if i := strings.IndexAny(word, " ,;("); i >= 0 {
			word = word[:i]
		}
		if word == "" {
			return note, len(text)
		}
		if !noteWords[strings.Trim(plain(word), ".,")] || namesNext(text[next:], sp, next) {
			break
		}
		note += " " + word
		next += len(rest) - len(trimmed) + len(word)
		if origin := originBehind(word, text[next:], sp, next); origin > 0 { // "8' Ext. Subbass"
			note += text[next : next+origin]
			next += origin
		}
	}
	for _, s := range sp { // another stop follows
		if s.from >= next {
			return note, next
		}
	}
	return note, next
}

// namesNext tells whether the words at a place are the name of the next stop, "Bourdon 16 Open Wood 16", though each of them could say how the one
// before is built.
func namesNext(rest string, sp []span, place int) bool {
	for _, s := range sp {
		if s.from < place {
			continue
		}
		name := trimName(rest[:s.from-place])
		return strings.Contains(name, " ") && known(name)
	}
	return false
}

// originBehind is how many bytes behind a word for borrowed pipes, at place in a text, name the stop that they are of: all that is left, where no
// further stop stands in it.
func originBehind(word, rest string, sp []span, place int) int {
	if !borrowed.MatchString(word) || !beginsWithLetter(strings.TrimSpace(rest)) {
		return 0
	}
	behind := slices.DeleteFunc(slices.Clone(sp), func(s span) bool { return s.from < place })
	if strings.ContainsAny(rest, ",;") || len(behind) > 1 || len(behind) == 1 && strings.Trim(rest[behind[0].to-place:], " .')") != "" {
		return 0
	}
	return len(rest)
}

func noteOnly(text string) bool {
	return onlyNotes(text) || keyAlone.MatchString(text) || fromKey.MatchString(text) || borrowed.MatchString(text)
}

// keyAlone is an English or French name of the key that a stop begins at: "Ten. C", "mid. C", "ut 3".
var keyAlone = lazyregexp.New(`(?i)^[( ]*(?:(?:tenor|ten\.?|middle|mid\.?|gamut|fiddle) ?[a-g]#?|(?:ut|do|ré|mi|fa|sol|la|si) ?#?[1-5])[) .]*(?:\([^()]*\))?$`)

// nameOnly reads a stop whose length is not printed: its name must be in the table.
func (r *reader) nameOnly(text string, pedal bool, sounds []int) (foundStop, bool) {
	note := strings.Join(nameBrackets.FindAllString(text, -1), " ")
	name := stopName(nameBrackets.ReplaceAllString(text, " "))
	if name == "" || len(strings.Fields(name)) > 5 && !known(name) {
		return foundStop{}, false
	}
	s, ok := r.stop(name, nil, note, pedal, sounds)
	if !ok || s.how == byEnding || s.how == bySpelling && isExtra(plain(name)) { // "Timballi" are no Cimbali
		return foundStop{}, false
	}
	if rest, prefix := strings.CutPrefix(name, s.as); s.how == byWords && len(strings.Fields(name)) > 2 && !(prefix && startsSmall(strings.TrimSpace(rest))) {
		return foundStop{}, false
	}
	s.Text = strings.TrimSpace(text)
	return s, true
}

// lengthFirstStops reads "8' Principal", "IV Mixture"; sounds are the degrees of the compound stop among them.
func (r *reader) lengthFirstStops(text string, sp []span, pedal bool, sounds []int) (found []foundStop, left []string) {
	for i := 0; i < len(sp); {
		if insideBrackets(text, sp[i].from) {
			i++
			continue
		}
		group := []span{sp[i]}
		end := sp[i].to
		j := i + 1
		for j < len(sp) && strings.Trim(text[end:sp[j].from], " .,-'()") == "" {
			group = append(group, sp[j])
			end = sp[j].to
			j++
		}
		stopAt := len(text)
		for k := j; k < len(sp); k++ {
			if insideBrackets(text, sp[k].from) {
				continue
			}
			if group[0].ranks > 0 && sp[k].ranks == 0 && strings.Trim(text[sp[k].to:], " .)'") == "" { // "IV Mixture 1 1/3'"
				group = append(group, sp[k])
				continue
			}
			if sp[k].marked || sp[k].ranks == 0 && sp[k].to < len(strings.TrimRight(text, " .")) {
				stopAt = sp[k].from
				break
			}
			if sp[k].ranks > 0 { // "2 2/3' Mixture IV"
				if t := strings.Trim(text[sp[k].to:], " .')"); t == "" || strings.HasPrefix(t, "(") || noteOnly(t) || k+1 < len(sp) {
					group = append(group, sp[k])
				}
			}
		}
		body := text[end:stopAt]
		for _, g := range group {
			if g.from >= end && g.to <= stopAt {
				body = strings.Replace(body, text[g.from:g.to], " ", 1)
			}
		}
		note := strings.Join(nameBrackets.FindAllString(body, -1), " ")
		name := stopName(nameBrackets.ReplaceAllString(body, " "))
		if m := fromKey.FindStringIndex(name); m != nil && m[0] > 3 {
			note, name = note+" "+name[m[0]:], trimName(name[:m[0]])
		}
		var ranks []int
		if slices.ContainsFunc(group, func(g span) bool { return g.ranks > 0 }) {
			ranks = sounds
		}
		if s, ok := r.stop(name, group, note, pedal, ranks); ok {
			s.Text = strings.TrimSpace(text[sp[i].from:stopAt])
			found = append(found, s)
		} else if t := strings.TrimSpace(text[sp[i].from:stopAt]); t != "" {
			left = append(left, t)
		}
		for i = j; i < len(sp) && sp[i].from < stopAt; i++ {
		}
	}
	return found, left
}

// stop puts name, lengths and notes together; ok is false where the name is not known.
func (r *reader) stop(name string, group []span, note string, pedal bool, sounds []int) (foundStop, bool) {
	var s foundStop
	if brackets := nameBrackets.FindAllString(name, -1); brackets != nil {
		note += " " + strings.Join(brackets, " ")
		name = stopName(nameBrackets.ReplaceAllString(name, " "))
	}
	beats := beating.MatchString(name + note)
	if t := trimName(beating.ReplaceAllString(name, " ")); beats && t != "" {
		name, note = t, beating.ReplaceAllString(note, " ")
	}
	cut := strings.HasSuffix(name, ".")
	if stripped := stripBullet(name + " "); len(strings.TrimSpace(stripped)) > 2 {
		name = strings.TrimSpace(stripped)
	}
	for _, form := range []*lazyregexp.Regexp{upToKey, fromKey} {
		if m := form.FindStringIndex(name); m != nil && m[0] > 3 {
			note, name = note+" "+name[m[0]:m[1]], trimName(name[:m[0]]+" "+name[m[1]:])
		}
	}
	if t := strings.Join(strings.Fields(trimName(bothHalves.ReplaceAllString(name, " "))), " "); t != "" {
		name = t
	}
	if m := halfBefore.FindStringSubmatch(name); m != nil && r.list.Language == "fr" { // "D. Flûte", "B. Trompette"
		name = name[len(m[0])-len(m[2]):]
		note += map[string]string{"D": " dessus", "B": " basse"}[m[1]]
	}
	if rest := leadingAnd.ReplaceAllString(name, ""); rest != name && len(table().byKey[fold(rest)]) > 0 {
		name = rest
	}
	if inPedal.MatchString(name) && len(fold(inPedal.ReplaceAllString(name, " "))) > 3 && !pedal {
		s.InPedal, name = true, trimName(inPedal.ReplaceAllString(name, " "))
	} else if inPedal.MatchString(note) && !pedal && !borrowed.MatchString(note) {
		s.InPedal = true
	}
	if t := tremoloEnd.ReplaceAllString(name, ""); t != "" && t != name {
		s.tremulant, name = true, t
	}
	name = trimName(measureOf.ReplaceAllString(name, ""))
	if short, found := strings.CutSuffix(name, " en chamade"); found && !known(name) { // "Tuba magna 16' en chamade"
		name = short
	}
	if m := withRemark.FindStringIndex(name); m != nil && known(name[:m[0]]) && !known(name) {
		name = name[:m[0]]
	}
	for words := strings.Fields(name); len(words) > 1 && (noteWords[strings.Trim(plain(words[len(words)-1]), ".,")] || strings.HasSuffix(name, " and")) && !known(name); words = strings.Fields(name) {
		note, cut = note+" "+words[len(words)-1], false // "Principal, metal"
		name = stopName(strings.Join(words[:len(words)-1], " "))
	}
	if m := tenorAtEnd.FindStringIndex(name); m != nil && m[0] > 2 {
		note, name, cut = note+" t.c.", stopName(name[:m[0]]), cut || name[m[0]-1] == '.'
	}
	if cut && !strings.HasSuffix(name, ".") && len(table().byKey[fold(name)]) == 0 {
		name += "."
	}
	if numeral := r.countsItalian(name, group); numeral != "" {
		name, group = name+" "+numeral, nil
	}
	printed := s.group(name, group, sounds)
	for _, b := range nameBrackets.FindAllString(note, -1) {
		if s.sounding(b) && len(group) == 1 && group[0].roman { // "Cornetto I [VIII-XII]": its first
			name, group = name+" "+strings.Repeat("I", group[0].ranks), nil
		}
	}
	if printed == 0 {
		printed = s.bracketed(note)
	}
	half := note
	a := asked{feet: printed, ranks: s.Ranks, pedal: pedal, lang: r.list.Language}
	if m := italianHalf.FindStringIndex(name); m != nil && a.lang == "it" && !pedal {
		half, name = half+" "+name[m[0]:], trimName(name[:m[0]])
		if strings.Contains(strings.ToLower(half), "basso") || bassLetter.MatchString(half) {
			half += " bassi"
		}
		if trebleLetter.MatchString(half) {
			half += " soprani"
		}
	}
	bare, said := r.halfInName(name, pedal)
	half += said
	k, how, as := table().lookUp(bare, a)
	if k == nil {
		return s, false
	}
	if trebleAtEnd.MatchString(name) && !pedal {
		half += " " + name
	}
	if beats && k.Compound == "" && k.Family != voicing.Reed {
		k = table().best("celeste", asked{})
	}
	if k.Family != voicing.Reed && k.Compound == "" && withTongue.MatchString(note) {
		if reed := table().byKey[fold(name+" anche")]; len(reed) > 0 { // a Dulciane is a string, or a reed
			k = table().best(fold(name+" anche"), a)
		} else {
			k = table().best(fold("Physharmonika"), a)
		}
	}
	if k.Family != voicing.Reed && k.Compound == "" && printed >= 32 && ofTwoRanks.MatchString(note) { // "Soubasse 32 (acoustique)"
		k = table().best(fold("Acoustic Bass"), a)
	}
	if pedal && k.Family == voicing.Principal && k.Compound == "" && printed >= 8 && openWood.MatchString(name) && ofWood.MatchString(note+" "+name) {
		k = table().best(fold("Open Wood"), a)
	}
	if n := lengthsOf(group); k.Compound != "" && s.Ranks == 0 && n > 1 { // "Rauschquinte 2 2/3' + 2'"
		s.Ranks, s.Least = n, n
		printed = group[0].feet
	}
	if k.Compound == "cornet" && s.Ranks == 0 && printed > 1.5 && printed < 1.7 && a.lang == "it" { // the Cornetta of Venice is a tierce (common practice)
		k = table().best(fold("Terza"), asked{feet: printed})
	}
	if venetian := r.venetianKind(name, strings.TrimSpace(half), printed, s.Ranks); venetian != nil {
		k = venetian
	}
	if r.iberianReed(name, printed) {
		k = table().best(fold("Violetas"), a)
	}
	s.Kind, s.how, s.as, s.Name = k, how, as, name
	s.printedFeet = printed > 0
	if bare := printed == float64(int(printed)) && printed >= 3 && printed <= 8 && k.Compound != ""; bare && s.Ranks == 0 && len(group) == 1 &&
		(!group[0].marked && printed != 8 || !usualLength(printed)) {
		s.Ranks, s.Least, printed = int(printed), int(printed), 0 // "Mixture 4"
	}
	r.length(&s, k, printed)
	if ranks := s.resultant(); ranks != nil {
		s.Assumed = append(s.Assumed, fmt.Sprintf("acoustic: sounds as %s and %s ft together", voicing.FeetText(ranks[0]), voicing.FeetText(ranks[1])))
	}
	if named := halfNamed(name, k, pedal); named != "" {
		half += " " + named
	}
	r.note(&s, half)
	if how == byWords && stoppedNote.MatchString(name) && k.Family != voicing.Reed {
		s.Stopped = true
	}
	s.assume(how, as)
	return s, true
}

// lengthsOf is the number of lengths that grow shorter.
func lengthsOf(group []span) int {
	n, last := 0, math.Inf(1)
	for _, g := range group {
		if g.feet > 0 && g.feet < last {
			n, last = n+1, g.feet
		}
	}
	return n
}

// group takes the lengths and ranks that are printed with a stop, and what it sounds; it gives its length in feet, 0 where none is printed.
func (s *foundStop) group(name string, group []span, sounds []int) (printed float64) {
	for i, g := range group {
		switch {
		case g.ranks > 0:
			s.Ranks, s.Least = g.ranks, g.least
		case printed == 0, g.marked && !group[i-1].marked && group[i-1].ranks == 0 && i == 1:
			printed = g.feet
		case strings.HasSuffix(strings.ToLower(name), "no") || strings.HasSuffix(strings.ToLower(name), "nr"):
			printed = g.feet
		}
	}
	s.grouped = group
	if len(sounds) > 1 {
		s.Ranks, s.Least = max(s.Ranks, len(sounds)), max(s.Least, len(sounds))
		s.degrees = sounds
	}
	return printed
}

var (
	// beating is a stop that is tuned off the others, or from a key on, from which it does so; below it sounds alone.
	beating = lazyregexp.New(`(?i)(?:(?:^|[ ,(])ab [a-h][°']{0,2} ?|\b)(?:schwebend|in schwebung)\b`)
	// withTongue says that a stop is a reed.
	withTongue = lazyregexp.New(`(?i)durchschlagend|aufschlagend|\bzunge\b|[( '’]anches?[) ,]`)
	// ofTwoRanks says that a long stop is made of two shorter ones.
	ofTwoRanks = lazyregexp.New(`(?i)acoust|akust|acúst|resultant|résultant|risultant`)
	// withTremulant says that a stop has a tremulant.
	withTremulant = lazyregexp.New(`(?i)(?:^|[ (,])(?:mit|m\.|with|avec|con|met|z|s) (?:\pL+ )?(?:tremolo|tremul\pL*|trem\.|tremblant)`)
	withRemark    = lazyregexp.New(` (?:with|mit|avec|con|met) (?:\p{Ll}|\d).*$`)
	// trebleAtEnd is the treble half of a stop by its name: "Trompet Discant".
	trebleAtEnd = lazyregexp.New(`(?i)\pL,? (?:dis[ck]ant|dis[ck]\.)$`)
	tenorAtEnd  = lazyregexp.New(`(?i) (?:t\.? ?c\.?|ten\.? ?c\.?|tenor c)$`)
)

// bracketed takes a length or a number of ranks that stands in brackets: "Fagotto [8 B]", "Cornetto S. [4 file]".
func (s *foundStop) bracketed(note string) (printed float64) {
	for _, b := range strings.FieldsFunc(strings.Join(nameBrackets.FindAllString(note, -1), ";"), func(c rune) bool { return c == ';' || c == ',' }) {
		words := wordsOf(strings.Trim(b, "()[] "))
		n := sizeAt(words)
		if n == 0 || n < len(words) && !(n+1 == len(words) && onlyNotes(words[n].text)) {
			continue
		}
		for _, g := range spans(strings.Trim(b, "()[] ")) { // "(2 h.)" are ranks
			if g.ranks > 0 {
				if s.Ranks == 0 {
					s.Ranks, s.Least = g.ranks, g.least
				}
			} else if printed == 0 {
				printed = g.feet
			}
		}
	}
	return printed
}

// romanIntervals are intervals in brackets: "[VIII-XII]".
var romanIntervals = lazyregexp.New(`^[(\[]([XVI]{1,6})(?:[-, ]+([XVI]{1,6}))*[)\]]$`)

// sounding takes the intervals that a stop sounds from a bracket; false where it holds anything else.
func (s *foundStop) sounding(bracket string) bool {
	if !romanIntervals.MatchString(bracket) {
		return false
	}
	var degrees []int
	for _, w := range oneRoman.FindAllString(bracket, -1) {
		n := romanNumber(w)
		if intervalFeet[n] == 0 || n < 8 {
			return false
		}
		degrees = append(degrees, n)
	}
	s.degrees, s.Ranks, s.Least = degrees, len(degrees), len(degrees)
	return true
}

// assume says what the reading of a name rests on where it is not the name itself.
func (s *foundStop) assume(how sure, as string) {
	switch how {
	case byBeginning:
		s.Assumed = append(s.Assumed, fmt.Sprintf("short for %q", as))
	case bySpelling:
		s.Assumed = append(s.Assumed, fmt.Sprintf("spelling: read as %q", as))
	case byWords:
		if rest, prefix := strings.CutPrefix(s.Name, as); prefix && startsSmall(strings.TrimSpace(rest)) {
			s.Name = as
		}
		s.Assumed = append(s.Assumed, fmt.Sprintf("read by its word %q", as))
	case byEnding:
		s.Assumed = append(s.Assumed, fmt.Sprintf("the name is not in the table; read as %q by its ending", as))
	}
}

// inOctave is a stop that sounds an octave above the keys by its name: "Flauto in ottava".
var inOctave = lazyregexp.New(`(?i)(?:(?:^|[^\pL])in (?:ottava|viii|octava)|^octava (?:tapada|violón)|^tapadillo)$`)

// octaveOfBass is the octave of the pedal's open 16 ft.
var octaveOfBass = lazyregexp.New(`(?i)^ottav[ae] (?:d|ai |al |di )`)

// length settles length and ranks.
func (r *reader) length(s *foundStop, k *Kind, printed float64) {
	if feet := fromLowF(printed); printed > 0 && r.onLowF && feet != printed {
		s.Feet = feet
		s.Assumed = append(s.Assumed, fmt.Sprintf("%s at the low F is read as %s ft", voicing.FeetText(printed), voicing.FeetText(feet)))
	} else if printed > 0 {
		feet, usual := exactFeet(k, printed)
		s.Feet = feet
		if !usual && feet != printed || feet != printed {
			s.Assumed = append(s.Assumed, fmt.Sprintf("%s is read as %s ft", strconv.FormatFloat(printed, 'g', -1, 64), voicing.FeetText(feet)))
		}
	} else {
		s.Feet = k.Feet[0]
		if r.list.Language == "es" && k.Name == "Bassoon" && !r.inPedal() { // Iberian manuals have it at the pitch of the Flautado (common practice)
			s.Feet = 8
		}
		if feet := r.italianLength(s.Name, k); feet > 0 && (k.Bass || !r.inPedal()) {
			s.Feet = feet
		}
		if feet := r.magnaLength(s.Name); feet > 0 {
			s.Feet = feet
		}
		if feet := r.englishLength(s.Name); feet > 0 {
			s.Feet = feet
		}
		if feet := r.aboveContras(k); feet > 0 {
			s.Feet = feet
		}
		if strings.HasPrefix(plain(s.Name), "gros") && len(k.Feet) > 1 && k.Feet[0] < 3 && k.Feet[1] == 2*k.Feet[0] && k.Compound == "" { // "Gros Nazard"
			s.Feet = k.Feet[1]
		}
		if octaveOfBass.MatchString(s.Name) && k.Bass && slices.Contains(k.Feet, 8) { // "Ottave de' contrabassi"
			s.Feet = 8
		}
		if inOctave.MatchString(s.Name) && slices.Contains(k.Feet, 4) {
			s.Feet = 4
		}
		if feet := feetByDegree(s.Name); feet > 0 && k.Compound == "" {
			s.Feet = feet
		}
		if k.Compound == "" {
			s.Assumed = append(s.Assumed, fmt.Sprintf("length not printed: %s ft", voicing.FeetText(s.Feet)))
		}
	}
	if k.Compound == "" {
		if s.Ranks > 1 {
			s.Assumed = append(s.Assumed, fmt.Sprintf("%d ranks of one pitch are taken as one", s.Ranks))
		}
		s.Ranks, s.Least = 1, 1
		return
	}
	if lengths := slices.DeleteFunc(slices.Clone(s.grouped), func(g span) bool { return g.ranks > 0 }); s.Ranks == 0 && len(lengths) > 1 { // "Rauschkvint 2 2/3' + 2'"
		s.Ranks, s.Least = len(lengths), len(lengths)
	}
	if s.Ranks == 0 {
		s.Ranks = map[string]int{"quint": 3, "tierce": 2, "cornet": 5, "ripieno": 4}[k.Compound]
		if twoRanks.MatchString(s.Name) {
			s.Ranks = 2
		}
		s.Least = s.Ranks
		s.Assumed = append(s.Assumed, fmt.Sprintf("number of ranks not printed: %d", s.Ranks))
	}
	if s.Ranks == 1 {
		s.Least = 1
	}
	if printed == 0 && k.Compound == "cornet" {
		s.Feet = map[int]float64{3: 2 + 2.0/3, 4: 4}[s.Ranks]
		if s.Feet == 0 {
			s.Feet = 8
		}
		if s.Ranks < 3 {
			s.Feet = 2 + 2.0/3
		}
	}
	if printed == 0 && k.Compound == "tierce" && tertian.MatchString(s.Name) && s.Ranks == 2 { // the tierce and the fifth above it (common practice)
		s.degrees = []int{17, 19}
	}
	if printed == 0 && len(s.degrees) > 0 {
		s.Feet = intervalFeet[s.degrees[0]]
	}
	if printed == 0 && len(s.degrees) == 0 {
		s.Assumed = append(s.Assumed, fmt.Sprintf("composition not printed: from %s ft", voicing.FeetText(s.Feet)))
	}
}

// tertian is a stop of the tierce and of the fifth above it.
var tertian = lazyregexp.New(`(?i)^ter[tzcs]i?[aá]+[nj]`)

// saidOfPedal is a remark that the stop is the pedal's: "ped.", "al pedale".
var saidOfPedal = lazyregexp.New(`(?i)^ *(?:al |in |im |au |en )?(?:ped\.?|pedal|pedale|pedaal|pédale|pedaliera)(?: \([^()]*\)?)? *$`)

// twoRanks is a knob for two ranks by their names: "Twelfth & Fifteenth".
var twoRanks = lazyregexp.New(`(?i)\pL (?:&|and|und|et|e|y|en) \pL|doppelt$`)

// note reads what a bracket or a word behind the stop says of its compass or where its pipes come from.
func (r *reader) note(s *foundStop, text string) {
	text = frontFrom.ReplaceAllString(bassOtherwise.ReplaceAllString(" "+tidy(text)+" ", " "), " ")
	ranged := false
	for _, b := range nameBrackets.FindAllString(text, -1) { // "(dal G.O.)", "(Gt)", "(from the Swell)"
		if s.keysIn(b); keyRange.MatchString(b) {
			text, ranged = strings.Replace(text, b, " ", 1), true
			continue
		}
		if handsInOne(strings.Trim(b, "()[] ")) != nil { // "(m.i. y m.d.)"
			text, ranged = strings.Replace(text, b, " ", 1), true
			continue
		}
		if half := handOf(b); (half == "bass" || half == "treble") && !r.inPedal() && !s.Kind.Bass { // "(mano dcha.)", "(md)"
			r.halve(s, half == "treble")
			text, ranged = strings.Replace(text, b, " ", 1), true
			continue
		}
		if r.fromDivision(strings.Trim(b, "()[] ")) && !(s.Kind.Celeste && gamutG.MatchString(b)) { // a celeste "(from G)" begins there
			s.Borrowed = true
			text = strings.Replace(text, b, " ", 1)
		}
	}
	if saidOfPedal.MatchString(text) && !r.inPedal() {
		s.InPedal = true
	}
	if theSame.MatchString(text) && r.current >= 0 { // "Flûte 4 (id.)" below "Bourdon 8 (extension du 39)"
		if stops := r.list.Divisions[r.current].Stops; len(stops) > 0 {
			s.Borrowed = s.Borrowed || stops[len(stops)-1].Borrowed
		}
	}
	if m := pipesOf.FindStringSubmatch(text); m != nil && s.Kind.Family == voicing.Flute && s.Kind.Construction == voicing.Open { // "Flûte 8' (transmission du Bourdon 8')"
		if k, how, _ := table().lookUp(m[1], asked{feet: s.Feet, lang: r.list.Language}); k != nil && how == exactly && k.Family == voicing.Flute && k.Compound == "" {
			s.Kind = k
		}
	}
	s.tremulant = s.tremulant || withTremulant.MatchString(text)
	s.silent = s.silent || noPipes.MatchString(text)
	if key := r.keyOfOctave(text); key > 36 {
		s.LowKey = key
		return
	}
	if bassElsewhere.MatchString(text) { // "Holpijp 8 (bas uit de Prestant)" goes through
		text = bassElsewhere.ReplaceAllString(text, " ")
	}
	if !s.Kind.Celeste {
		text = materialFrom.ReplaceAllString(text, "$1")
	}
	text = notBorrowed.ReplaceAllString(facadeFrom.ReplaceAllString(changesFrom.ReplaceAllString(text, " "), " "), " ")
	if materials.MatchString(text) {
		text = bassOnly.ReplaceAllString(trebleOnly.ReplaceAllString(text, " "), " ")
	}
	if doubledFrom.MatchString(text) {
		text = "" // a second rank from there on: the stop itself goes through
	}
	if m := noteNumber.FindStringSubmatch(text); m != nil && atoi(m[1])%12 == 1 { // "C13"
		s.LowKey = 35 + atoi(m[1])
	}
	if m := upToKey.FindStringSubmatch(text); m != nil && keyNamed(m[1]) > 40 {
		s.HighKey = keyNamed(m[1])
		return
	}
	switch m := fromKey.FindStringSubmatch(text); {
	case bothHalves.MatchString(text), ranged:
	case s.Kind.Celeste && gamutG.MatchString(text):
		s.LowKey = 43
	case s.Kind.Celeste && smallC.MatchString(text):
		s.LowKey = 48
	case m != nil && keyFrom(m) > 0 && !(keyFrom(m) == 36 && (r.list.Language == "it" || r.list.Language == "es")): // "dal Do1" is from its lowest
		s.LowKey = keyFrom(m)
	case englishKey.MatchString(text) && r.list.Language == "en" && !strings.Contains(r.whole, "(a)") && !strings.Contains(r.whole, "(b)"):
		s.LowKey = keyNamed(englishKey.FindStringSubmatch(text)[1])
	case bareKey.MatchString(text):
		s.LowKey = keyNamed(bareKey.FindStringSubmatch(text)[1])
	case tenorC.MatchString(text):
		s.LowKey = 48
	case middleC.MatchString(text):
		s.LowKey = 60
	case gamutG.MatchString(text):
		s.LowKey = 43
	case greatA.MatchString(text):
		s.LowKey = 45
	case r.list.Language == "it" && bassLetter.MatchString(text) || (r.list.Language == "nl" || r.list.Language == "sv") && (bassLetter.MatchString(text) || smallHalf.bass.MatchString(text)):
		r.halve(s, false)
	case (r.list.Language == "nl" || r.list.Language == "sv") && smallHalf.treble.MatchString(text):
		r.halve(s, true)
	case r.list.Language == "it" && trebleLetter.MatchString(text):
		r.halve(s, true)
	case r.list.Language == "fr" && r.halfInBrackets(text) != "" && !r.inPedal():
		r.halve(s, r.halfInBrackets(text) == "d")
	case trebleOnly.MatchString(text) || trebleSign.MatchString(text):
		r.halve(s, true)
	case (bassOnly.MatchString(text) || strings.Trim(plain(text), " ()") == "basses" || strings.Contains(plain(text), "(bass)") || bassWord.MatchString(text) && divided.MatchString(r.whole)) && !s.Kind.Bass:
		r.halve(s, false)
	}
	if stoppedNote.MatchString(text) && s.Kind.Family != voicing.Reed {
		s.Stopped = true
	}
	if borrowed.MatchString(ofLength.ReplaceAllString(gamutG.ReplaceAllString(fromKey.ReplaceAllString(text, " "), " "), " ")) {
		s.Borrowed = true
	}
}

var (
	// bassOtherwise says how the lowest pipes alone are made: "stopped bass", "les 12 premières notes bouchées", "C-H gedeckt". The stop goes through.
	bassOtherwise = lazyregexp.New(`(?i)\b(?:les )?\d{1,2} premi\pL+ (?:notes|tuyaux|basses) bouch\pL+|\bcc? ?[-–] ?[a-h]s? (?:ged\pL*|stopped|bouch\pL+)\b|\b(?:stopped|stopt|grooved|open|wood(?:en)?|zinc|common|helper) (?:wood |metal )?(?:bass(?: octave)?|(?:lowest|bottom) octave)\b|\b(?:bass|lowest octave|bottom octave|lowest (?:12|twelve)) (?:is |are )?(?:stopped|stopt|grooved|open|helpered|of wood|wood)\b`)
	// frontFrom says which pipes stand in the case front: "in façade from low D".
	frontFrom = lazyregexp.New(`(?i)\b(?:in (?:the )?)?(?:façade|facade|front|case|prospect)(?: pipes)? from (?:low |bottom |tenor |middle )?[A-G]#?\b`)
)

// upToKey is the key at which a stop of the bass ends: "up to Fiddle G".
var upToKey = lazyregexp.New(`(?i)\bup to ((?:tenor|ten\.?|middle|mid\.?|fiddle) ?[a-g]#?)`)

// smallHalf is a half of the keyboard by its small letter, as Dutch and Swedish lists have it: "Prestant 16 vt (d)".
var smallHalf = struct{ bass, treble *lazyregexp.Regexp }{lazyregexp.New(`\(b\.?\)|^ +b\.? *$`), lazyregexp.New(`\(d\.?\)|^ +d\.? *$`)}

var (
	// bassWord stands behind the bass half of a stop.
	bassWord = lazyregexp.New(`(?i)(?:^|[ ,(])bass(?:$|[ ,).])`)
	// divided tells that a list has stops of the treble half.
	divided = lazyregexp.New(`\b(?:diskant|discant|disk\.|disc\.)`)
)

// bassElsewhere says that the lowest pipes of a stop are another's.
var bassElsewhere = lazyregexp.New(`(?i)(?:bass?e?|bassi|lowest \pL+|lowest \d+ \pL*|tiefste \pL+|große oktave|gr\. oktave|onderste \pL+|low \pL+|first octave|1[28] from)[^)\d]* (?:from|aus|uit|van|du|de|dal|au|à la|common|gemeinsam|with|avec|mit|con) (?:the |dem |der |de |le |la )?[\pL. ]{3,}`)

// divide is the lowest key of the treble half.
func (r *reader) divide() int {
	switch {
	case r.trebleKey > 0:
		return r.trebleKey
	case r.list.Language == "es": // the Iberian keyboard is cut between c' and c sharp' (common practice)
		return 61
	}
	return 60
}

// halve limits a stop to half of the keyboard.
func (r *reader) halve(s *foundStop, treble bool) {
	text := "bass half: up to " + voicing.KeyText(r.divide()-1)
	if treble {
		text = "treble half: from " + voicing.KeyText(r.divide())
		s.LowKey = r.divide()
	} else {
		s.HighKey = r.divide() - 1
	}
	if r.trebleKey == 0 {
		s.Assumed = append(s.Assumed, text)
	}
}

var fromWords = lazyregexp.New(`(?i)^(?:dal|del|dalla|do|da|from(?: the)?|aus(?: dem)?|von|vom|du|de la|de|uit(?: het)?|van|tr\.?|transm\.?)[ :]+`)

// fromDivision tells whether a bracket names the division from which a stop is borrowed.
func (r *reader) fromDivision(text string) bool {
	rest := fromWords.ReplaceAllString(text, "")
	if len(rest) < 2 && rest == text || facade.MatchString(text) || strings.HasPrefix(text, "en ") || strings.HasPrefix(text, "in ") || r.current < 0 || strings.Contains(rest, "/") {
		return false
	}
	if ofNumber.MatchString(text) {
		return true
	}
	if ofTheBox.MatchString(text) {
		return false
	}
	ref := refOf(strings.Trim(rest, "° "))
	if r.inPedal() && rest == text && romanOnly.MatchString(text) && ref.number <= len(r.list.manuals()) { // "Bordão 16' (III)"
		return ref.number > 0
	}
	if !ref.known() || ref.role == "pedal" || rest == text && ref.role == "" {
		return false
	}
	here := &r.list.Divisions[r.current]
	return ref.role != here.Role || ref.role == "" && ref.number != here.Number
}

// ofTheBox says in whose box the pipes stand, not whose they are: "(enclosed in Swell box)".
var ofTheBox = lazyregexp.New(`(?i)\b(?:enclosed|expressive|box|boîte|schwellkasten|cassa)\b`)

// greatOctave is a key of the great octave behind a small word: "ab G". A capital C is as often the small one.
var greatOctave = lazyregexp.New(`(?:ab|von|from|dal|vanaf|od|dès|desde|to) ([D-HA](?:is|s|#)?)$`)

// keyFrom is the key that a match of fromKey names.
func keyFrom(m []string) int {
	if g := greatOctave.FindStringSubmatch(m[0]); g != nil {
		return keyNamed(g[1]) - 12
	}
	return keyNamed(m[1])
}

// ofNumber names a stop by its number in the list: "(dal n. 10)".
var ofNumber = lazyregexp.New(`(?i)^(?:dal|da|del|de|do|from|aus|von|du|van|uit) (?:n\.? ?[°º]?|nr\.?|no\.?|num\.?|reg\.?|nummer) ?\d{1,3}$|^= ?(?:n\.? ?°? ?)?\d{1,3}$`)

// facade says that the pipes of a stop stand in the front, which Spanish lists name as they name a division.
var facade = lazyregexp.New(`(?i)^(?:en |de |a |na |da )?(?:la )?(?:cara|fachada|fa[çc]ana|rostro|prospecto|facciata|prospetto|mostra)(?:$|[ ,])`)

// keyNamed reads "c0", "c'", "tenor c", "g°", "do3" as a MIDI key; 0 where it is none that a stop begins at.
func keyNamed(s string) int {
	if s = strings.ToLower(strings.ReplaceAll(s, " ", "")); s == "" {
		return 0
	}
	for _, w := range []string{"tenor", "ten.", "ten", "t.c.", "tc", "t.c"} {
		if rest, found := strings.CutPrefix(s, w); found {
			pc, ok := pitchClass[(rest + "c")[0]]
			if !ok {
				return 0
			}
			return 48 + pc
		}
	}
	for word, c := range map[string]int{"middle": 60, "mid.": 60, "mid": 60, "gamut": 36, "fiddle": 48} {
		rest, found := strings.CutPrefix(s, word)
		if rest, sharp := strings.CutSuffix(rest, "#"); found && len(rest) == 1 {
			if sharp {
				c++
			}
			return c + pitchClass[rest[0]]
		}
	}
	if len(s) == 2 && s[0] == s[1] { // the lowest octave: "from FF"
		return 36 + pitchClass[s[0]]
	}
	for name, pc := range solmization {
		if rest, found := strings.CutPrefix(s, name); found && len(rest) > 0 {
			if sharp, found := strings.CutPrefix(rest, "#"); found {
				rest, pc = sharp, pc+1
			}
			if n := atoi(strings.Trim(rest, "-")); n > 0 {
				return 36 + 12*(n-1) + pc
			}
		}
	}
	pc, ok := pitchClass[s[0]]
	if !ok {
		return 0
	}
	rest := s[1:]
	if n := atoi(rest); len(rest) == 2 && n > 12 && (n-1)%12 == pc { // "C13" is the thirteenth key (common practice)
		return 36 + n - 1
	}
	for _, sharp := range []string{"is", "#", "s"} {
		if t, found := strings.CutPrefix(rest, sharp); found {
			pc, rest = pc+1, t
			break
		}
	}
	switch {
	case rest == "°" || rest == "0" || rest == "":
		return 48 + pc
	case strings.HasPrefix(rest, "'"):
		return 48 + 12*strings.Count(rest, "'") + pc
	case len(rest) == 1 && digit(rest[0]):
		return 48 + 12*int(rest[0]-'0') + pc
	}
	return 0
}

// drawnFrom tells whether a bracket behind a pedal stop names another that stands in the pedal at another length, whose pipes it has: "Bass Flute
// (Bourdon) 8" beside "Bourdon 16".
func (r *reader) drawnFrom(division int, s *foundStop) bool {
	for _, b := range nameBrackets.FindAllString(s.Text, -1) {
		name := fold(withoutSizes(strings.Trim(b, "()[] ")))
		if slices.ContainsFunc(r.list.Divisions[division].Stops, func(x Stop) bool { return name != "" && fold(x.Name) == name && x.Feet != s.Feet }) {
			return true
		}
	}
	return false
}

// add puts a stop into its division.
func (r *reader) add(division int, s foundStop) {
	if s.silent {
		r.say(IsExtra, "a knob without pipes", "")
		r.list.Assumed = append(r.list.Assumed, fmt.Sprintf("%s of %s has no pipes, as its line says: left out", s.Name, r.list.Divisions[division].Name))
		return
	}
	toPedal := !r.list.Divisions[division].Pedal && (s.InPedal || s.Kind.Bass && !r.pedalHeading && (r.list.Language == "it" || r.list.Language == "es"))
	switch {
	case s.LowKey > 0 || s.HighKey > 0 || toPedal:
	case r.half == "bass":
		s.HighKey = r.divide() - 1
	case r.half == "treble":
		s.LowKey = r.divide()
	}
	s.Line = r.list.Lines[len(r.list.Lines)-1].Number
	r.ofUnit(&s.Stop)
	s.Borrowed = s.Borrowed || r.onLessWind(division, &s) || r.sharesSlider(division, &s) || r.list.Divisions[division].Pedal && r.drawnFrom(division, &s)
	if r.italianTreble(&s) && !toPedal && !r.list.Divisions[division].Pedal {
		r.halve(&s, true)
	}
	if toPedal {
		if !s.InPedal {
			s.Assumed = append(s.Assumed, "taken as a pedal stop")
		}
		division = r.open(Division{Name: map[bool]string{true: "Pedale", false: "Pedal"}[r.list.Language == "it"], Role: "pedal", Pedal: true, unknown: true})
	}
	s.either = r.list.Divisions[division].either
	if len(r.columns) < 2 && division == r.current {
		s.either = r.either
	}
	if at := r.list.Lines[len(r.list.Lines)-1]; r.starred > 0 && division == r.current && strings.Contains(at.Text, "*") {
		s.either = r.starred
	}
	if s.tremulant {
		defer r.tremulant("Tremulant", "tremulant")
	}
	r.list.Divisions[division].Stops = append(r.list.Divisions[division].Stops, s.Stop)
	r.say(IsStop, r.list.stopText(division, &s.Stop), strings.Join(s.Assumed, "; "))
}

// stopText is a stop in words.
func (l *List) stopText(division int, s *Stop) string {
	t := l.Divisions[division].Name + ": " + s.Name
	if s.Kind.Compound != "" {
		ranks := fmt.Sprint(s.Ranks)
		if s.Least != s.Ranks && s.Least > 0 {
			ranks = fmt.Sprintf("%d-%d", s.Least, s.Ranks)
		}
		t += fmt.Sprintf(", %s ranks from %s", ranks, voicing.FeetText(s.Feet))
	} else {
		t += " " + voicing.FeetText(s.Feet)
	}
	if t += " (" + s.Kind.describe() + ")"; s.Stopped && s.Kind.Compound == "" && !s.Kind.Celeste && s.Kind.Construction != voicing.Stopped {
		t = strings.Replace(t, "("+string(s.Kind.Construction)+" ", "("+string(voicing.Stopped)+" ", 1)
	}
	switch {
	case s.LowKey > 0:
		t += ", from " + voicing.KeyText(s.LowKey)
	case s.HighKey > 0:
		t += ", up to " + voicing.KeyText(s.HighKey)
	}
	if s.Borrowed {
		t += ", borrowed"
	}
	return t
}

func (k *Kind) describe() string {
	switch {
	case k.Compound != "":
		return map[string]string{"quint": "mixture", "ripieno": "ripieno", "tierce": "mixture with a tierce", "cornet": "cornet"}[k.Compound]
	case k.Celeste:
		return string(k.Family) + ", celeste"
	}
	return string(k.Construction) + " " + string(k.Family)
}

// mixedStops reads a line in which the stops of several columns stand with nothing between them: the first belongs to the first
// column that still has stops, and so on.
func (r *reader) mixedStops(text string) bool {
	if r.section == inStops && r.noStop(text, plain(text)) {
		return true
	}
	parts := r.apart(text)
	if parts == nil {
		if parts = r.twoInARow(text, false); parts == nil {
			parts = []string{text}
		}
	}
	if all, _ := r.stopsIn(text, false); len(all) > 0 && namesInPassing(text, all) {
		return false
	}
	var found, left []string
	for _, p := range parts {
		switch s, rest := r.stopsIn(p, false); {
		case len(s) == 1 && len(rest) == 0:
			found = append(found, p)
		case len(s) > 0:
			for _, one := range s {
				found = append(found, one.Text)
			}
			left = append(left, rest...)
		default:
			left = append(left, p)
		}
	}
	if len(found) == 0 {
		return false
	}
	var alive, all []int
	for _, c := range r.columns {
		if c.division < 0 {
			continue
		}
		all = append(all, c.division)
		if !c.done {
			alive = append(alive, c.division)
		}
	}
	if len(found) > len(alive) {
		alive = all
	}
	ask := ""
	if len(found) < len(alive) {
		ask = "which column it stands in cannot be told from this text"
		alive = r.likelyColumns(found, alive)
	}
	for i, p := range found {
		d := alive[min(i, len(alive)-1)]
		s, _ := r.stopsIn(p, r.list.Divisions[d].Pedal)
		if len(s) == 0 {
			continue
		}
		if ask != "" {
			s[0].Assumed = append(s[0].Assumed, ask)
		}
		r.add(d, s[0])
	}
	for _, t := range left {
		r.leftOver(t, r.current)
	}
	return true
}

// likelyColumns picks the columns, in order, in which as many stops go on most naturally: lists go from long to short, then to mixtures, then to
// reeds. A column that is passed over has come to its end.
func (r *reader) likelyColumns(found []string, alive []int) []int {
	var best []int
	least := 0.0
	var pick func(from int, chosen []int, cost float64)
	pick = func(from int, chosen []int, cost float64) {
		if len(chosen) == len(found) {
			if best == nil || cost < least-1e-9 {
				best, least = slices.Clone(chosen), cost
			}
			return
		}
		for i := from; i < len(alive); i++ {
			d := &r.list.Divisions[alive[i]]
			step := 0.5
			if s, _ := r.stopsIn(found[len(chosen)], d.Pedal); len(s) > 0 && len(d.Stops) > 0 {
				last := d.Stops[len(d.Stops)-1]
				step = printedOrder(&s[0].Stop) - printedOrder(&last)
				if step < -0.5 {
					step = 3 - step
				}
				step *= 0.1
				if d.Role == "swell" && (s[0].Kind.Name == "Oboe" || s[0].Kind.Name == "Vox Humana") {
					step -= 0.05 // where they usually stand
				}
			}
			if s, _ := r.stopsIn(found[len(chosen)], d.Pedal); len(s) > 0 && s[0].Kind.Family == voicing.Reed && slices.ContainsFunc(d.Stops, func(x Stop) bool { return x.Kind.Family == voicing.Reed }) {
				step += 0.15 // a column without a reed comes first
			}
			if d.Pedal {
				step++ // the pedal has the fewest stops
			}
			pick(i+1, append(chosen, alive[i]), cost+step)
		}
	}
	pick(0, nil, 0)
	for i := range r.columns {
		if d := r.columns[i].division; d >= 0 && best != nil && !slices.Contains(best, d) {
			r.columns[i].done = true
		}
	}
	return best
}

// printedOrder grows in the order in which lists print a division's stops: flues from the longest, mixtures, reeds from the longest.
func printedOrder(s *Stop) float64 {
	switch {
	case s.Kind.Compound != "":
		return 8
	case s.Kind.Family == voicing.Reed:
		return 12 - math.Log2(s.Feet)
	}
	return 6 - math.Log2(s.Feet)
}
