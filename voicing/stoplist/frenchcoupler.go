package stoplist

import (
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// Couplers of French lists are written out before they are parted at their commas: their pitches may stand behind them, in brackets, or ahead of
// several, and the keys that they work on ahead of them all.

var (
	// pitchesInRow is "en 16, 8 et 4", "(16', 8', 4')", "8 et 16" behind a division.
	pitchesInRow = lazyregexp.New(`(?i)([^ ,;:(/]+)((?:,? en | |,? ?\((?:en )?)(?:16|8|4)(?: ?')?(?:(?:, (?:et )?| et | & | ?/ ?|-)(?:en )?(?:16|8|4)(?: ?')?)+\)?)($|[ ,;:.])`)
	// atPitch is "en 4" behind a division.
	atPitch = lazyregexp.New(`(?i),? en ((?:16|8|4)'?(?: (?:16|8|4)'?)*)$`)
	// frenchLabel leads to couplers with what they all have: "Tirasses en 8' :", "Accouplements au G.O. :".
	frenchLabel = lazyregexp.New(`(?i)^((?:tirasses?|accouplements?|copulas?)(?: (?:mécaniques?|électriques?|à tiroir))?|)(?:,? ?(?:en |à )?((?:16|8|4)'?(?: (?:16|8|4)'?)*))?(?: (?:sur|au|aux|à)(?: le| la)? ([^:]+?))?(?: ?: | |^)(\S.*)$`)
	// dashedTirasses is "Tirasses I - II - III".
	dashedTirasses = lazyregexp.New(`(?i)^tirasses? ?:? (\S+(?: - \S+)+)$`)
	// onItsOwn is "Récit sur lui-même".
	onItsOwn = lazyregexp.New(`(?i)([^ ;,:]+) sur (?:lui|elle)[- ]m[êe]me`)
	// allManuals is "Tirasses des trois claviers".
	allManuals = lazyregexp.New(`^tirasses? (?:generale?|(?:de |sur |pour )?(?:des|les|tous les|aux|chaque|tout) ?(?:deux|trois|quatre|cinq|[2-5])? ?(?:claviers?|manuels?)|pour tous les claviers|de tous les claviers)$`)
	// toTheMain is a coupler that names one manual: "Copula Positif", "Accouplement du Récit".
	toTheMain = lazyregexp.New(`^(?:copula|accouplement)(?: a tiroir)? (?:du |de la |de l'|de |au |avec le )?([^ ]+(?: [^ ]+)?)$`)
)

// frenchCouplers writes a line of couplers out.
func frenchCouplers(text string) string {
	text = onItsOwn.ReplaceAllString(text, "$1/$1")
	text = pitchesInRow.ReplaceAllStringFunc(text, func(m string) string {
		g := pitchesInRow.FindStringSubmatch(m)
		if !refOf(g[1]).known() {
			return m
		}
		en := " "
		if containsAny(strings.ToLower(g[2]), "en ", "(") {
			en = " en "
		}
		return g[1] + en + spacedPitches(g[2]) + g[3]
	})
	if m := dashedTirasses.FindStringSubmatch(text); m != nil && allRefs(strings.Split(m[1], " - ")) {
		return "Tirasses " + strings.ReplaceAll(m[1], " - ", ", ")
	}
	parts, kind, changed := strings.Split(text, ";"), "", false
	for i, part := range parts {
		part = strings.TrimSpace(part)
		spread, word := spreadLabel(part, kind)
		if word != "" {
			kind = word
		} else if isPair(strings.Split(part, ",")[0]) {
			kind = ""
		}
		if spread != part {
			parts[i], changed = spread, true
		}
	}
	if !changed {
		return text
	}
	return strings.Join(parts, "; ")
}

// couplersAhead begins a line of couplers.
var couplersAhead = lazyregexp.New(`(?i)^[ \t*•·–-]*(?:tirasses?|accouplements?|copulas?)(?:$|[ :])`)

// leadsToCouplers tells whether a line can only be one of couplers by how it begins.
func leadsToCouplers(line string) bool {
	return couplersAhead.MatchString(line) || onItsOwn.MatchString(line) || pitchesInRow.MatchString(line) && beginsWithPair(line)
}

// mayBeFrench tells whether a list is French by its words, or has too few of them: "en" and "et" are words of others too.
func (r *reader) mayBeFrench() bool {
	return r.list.Language == "fr" || (r.list.Language == "nl" || r.list.Language == "") && containsAny(r.whole, "tirasse", "accoupl", "recit", "pedale", "grand-orgue")
}

// spelledOut is a line of couplers in the forms that all lists share.
func (r *reader) spelledOut(text string) string {
	text = withOtherPitches(text)
	if r.mayBeFrench() {
		text = frenchCouplers(text)
	}
	return toTheSame(southernCouplers(text))
}

// spreadLabel gives each coupler of one sentence what its label says of them all, and the kind of the sentence before where it has none; kind
// is that of this sentence.
func spreadLabel(sentence, before string) (spread, kind string) {
	m := frenchLabel.FindStringSubmatch(sentence)
	if m == nil {
		return sentence, ""
	}
	kind = strings.ToLower(m[1])
	tirasse := strings.HasPrefix(kind, "tirasse") || kind == "" && strings.HasPrefix(before, "tirasse")
	list := tirasseParts.Split(strings.Trim(m[4], " ."), -1)
	if !tirasse {
		list = splitList(strings.Trim(m[4], " ."))
	}
	pitch := m[2]
	if g := atPitch.FindStringSubmatch(m[4]); pitch == "" && tirasse && g != nil { // "Pos., G.O. et Réc. en 4"
		pitch = g[1]
	}
	keys := refOf(m[3])
	if m[3] != "" && !keys.known() || m[3] == "" && pitch == "" && (kind != "" || !tirasse) {
		return sentence, kind
	}
	for i, p := range list {
		p = strings.TrimSpace(p)
		bare := stripShift(p)
		switch {
		case refOf(bare).known() && m[3] != "" && keys.role != "pedal":
			list[i] = bare + "/" + strings.TrimSpace(m[3]) + strings.TrimPrefix(p, bare)
		case refOf(bare).known() && tirasse, refOf(bare).known() && m[3] != "":
			list[i] = "Tirasse " + bare + strings.TrimPrefix(p, bare)
		case !isPair(bare):
			return sentence, kind
		}
		if pitch != "" && bare == p {
			list[i] += " " + pitch
		} else if g := atPitch.FindStringSubmatch(p); g != nil {
			list[i] = strings.TrimSuffix(list[i], g[0]) + " " + g[1]
		}
	}
	return strings.Join(list, "; "), kind
}

func allRefs(parts []string) bool {
	for _, p := range parts {
		if !refOf(p).known() {
			return false
		}
	}
	return true
}

// toMain reads "Copula Positif": the one that it names sounds on the main manual.
func (l *List) toMain(low string, add adder) bool {
	m := toTheMain.FindStringSubmatch(low)
	if m == nil || !refOf(m[1]).known() {
		return false
	}
	i, main := l.resolve(refOf(m[1])), l.main()
	if i < 0 || i == main || l.Divisions[i].Pedal {
		return false
	}
	add(i, main, 0, false, "which keys it is played from is not said: those of the main manual")
	return true
}
