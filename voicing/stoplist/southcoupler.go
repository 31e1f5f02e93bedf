package stoplist

import (
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// Couplers in the words of Italy, Spain, Catalonia and Portugal are written as the pairs of divisions and the octaves that all lists share.

const (
	pitchPattern = `(?:16|8|4)'?`
	// refPattern is a division in a pair.
	refPattern = `[\pL][\pL.]*|[1-5]`
)

var (
	// pitchesAhead is "en 8', 16' y 4' III/II", and pitchesBack "III/II en 16', 8' y 4'".
	pitchesAhead = lazyregexp.New(`(?i)(^| )(?:en |in |a |em )?(` + pitchPattern + `(?:(?:, ?| y | e | i |, y )(?:en |in |a |em )?` + pitchPattern + `)+) ((?:` + refPattern + `) ?[/\-] ?(?:` + refPattern + `))(?:$|[ ,.;])`)
	pitchesBack  = lazyregexp.New(`(?i)((?:` + refPattern + `) ?[/\-] ?(?:` + refPattern + `)) (?:en |in |a |em )?(` + pitchPattern + `(?:(?:, ?| y | e | i |, y )(?:en |in |a |em )?` + pitchPattern + `)+)(?:$|[.;])`)
	southernAnd  = lazyregexp.New(`(?i) (?:y|e|i|en|in|em) `)
	// pitchWithin is "II 16' I" and "III sub II": what sounds, the octave, the keys.
	pitchWithin = lazyregexp.New(`^([\pL.]+|[1-5])[ \-](16'?|8'?|4'?|sub|super|grave|acuta|sopra|sotto)[ \-](?:al? |all[ao'] ?)?([\pL.]+|[1-5])$`)
	// octavesOfAll is "Acute: I, II, III/II".
	octavesOfAll = lazyregexp.New(`(?i)^(acut[ei]|gravi|superottav[ae]|sottottav[ae]|superoctavas?|suboctavas?): *(.+)$`)
	// manualsToPedal is "Acoplamientos al pedal: I, II, III".
	manualsToPedal = lazyregexp.New(`(?i)^(?:acoplamientos?|acoblaments?|acoplamentos?|enganches?|engates?|uniones|uni[oó]n|unione|unioni|accoppiament[io]|copulas?) (?:del? |al? |ao? |di |dei |alla |manuali )*ped(?:al|ale|aliera|al[ei]ra)?\.?:? +(.+)$`)
	// joinedBy is "Unión III y II".
	joinedBy = lazyregexp.New(`^(?:union|unione|acoplamiento|acoblament|enganche|accoppiamento) (?:de(?:l| la|ls)? |tra |fra |di )?([\pL.]+(?: [\pL]+)?) (?:y|e|i|con|amb|com) (?:de(?:l| la)? |el |la )?([\pL.]+(?: [\pL]+)?)$`)
	// keysToPedal is "tasto-pedale II".
	keysToPedal = lazyregexp.New(`^(?:unione )?tast[oi][ \-/]*(?:e |al )?ped(?:ale|aliera|\.)?:?(?: (\S+))?$`)
	// octaveLast is an octave behind a pair: "III al II in ottava grave".
	octaveLast = lazyregexp.New(`^(.+?),? (?:all'|all |in |en |em |a la |alla |al )?(superottav[ae]|sottottav[ae]|octaves? graves?|octaves? aigues?)$`)
	// southWords lead to a coupler and say nothing of the divisions.
	southWords = lazyregexp.New(`^(?:acoplador(?:es)?|acoples?|acoplo|engates?|uniones|unioni|acoplamiento|acoplamientos|accoppiament[oi]|enganche)(?: (?:meccanic[ohe]+|elettric[ohe]+|mecanic[oa]s?|electric[oa]s?))?(?: de(?:l| la)?)?:? `)
	// ofOctave begins with an octave, and octavesAlone names both and no division.
	ofOctave     = lazyregexp.New(`^(?:superottav|sottottav|octaves? (?:graves?|aigues?) )`)
	octavesAlone = lazyregexp.New(`^(?:le )?super\pL* (?:e|y|i) (?:le )?(?:sotto|sub)\pL*(?: (?:usuali|usuales|normali|normales|d'uso))?$`)
	southSmall   = strings.NewReplacer(" all'", " al ", " dall'", " dal ", " dell'", " del ", " ao ", " al ", " sobre ", " al ", " sul ", " al ", " sulla ", " alla ", "superoctava", "superottava", "super octava", "superottava", "suboctava", "sottottava", "sub octava", "sottottava", "superoitava", "superottava", "suboitava", "sottottava", "superoctaves", "superottava")
)

// usualOctaves reads "superottave e subottave usuali": the upper manual's octaves on the main one.
func (l *List) usualOctaves(low string, add adder) bool {
	manuals, main := l.manuals(), l.main()
	if !octavesAlone.MatchString(low) || main < 0 {
		return false
	}
	upper := manuals[len(manuals)-1]
	for _, shift := range []int{12, -12} {
		add(upper, main, shift, false, "which divisions they couple is not said: the upper manual and the main one")
	}
	return true
}

// southernCouplers writes a line of couplers out before it is parted at its commas.
func southernCouplers(text string) string {
	text = pitchesAhead.ReplaceAllStringFunc(text, func(m string) string {
		g := pitchesAhead.FindStringSubmatch(m)
		if !southernAnd.MatchString(m) {
			return m
		}
		return g[1] + g[3] + " " + spacedPitches(g[2])
	})
	text = pitchesBack.ReplaceAllStringFunc(text, func(m string) string {
		g := pitchesBack.FindStringSubmatch(m)
		if !southernAnd.MatchString(m) {
			return m
		}
		return g[1] + " " + spacedPitches(g[2])
	})
	if m := octavesOfAll.FindStringSubmatch(text); m != nil {
		parts := splitList(m[2])
		word := "superottava "
		if strings.ContainsAny(strings.ToLower(m[1])[:2], "gb") || strings.HasPrefix(strings.ToLower(m[1]), "so") {
			word = "sottottava "
		}
		return word + strings.Join(parts, "; "+word)
	}
	if m := manualsToPedal.FindStringSubmatch(text); m != nil {
		var out []string
		for _, p := range tirasseParts.Split(strings.Trim(m[1], " ."), -1) {
			if p = strings.TrimSpace(p); !refOf(p).known() || refOf(p).role == "pedal" {
				return text
			}
			out = append(out, p+"/Ped")
		}
		return strings.Join(out, ", ")
	}
	return text
}

// spacedPitches is "16', 8' y 4'" with nothing but spaces.
func spacedPitches(s string) string {
	return strings.Join(pitchNumber.FindAllString(s, -1), "' ") + "'"
}

// southernCoupler writes one coupler, without accents and capitals, with a pair and its octave before it.
func southernCoupler(low string) string {
	low = southSmall.Replace(low)
	if m := keysToPedal.FindStringSubmatch(low); m != nil && m[1] == "" {
		return "unione tasto-pedale"
	} else if m != nil && refOf(m[1]).known() {
		return m[1] + "/p"
	}
	if m := octaveLast.FindStringSubmatch(low); m != nil {
		low = m[2] + " " + m[1]
	}
	if m := joinedBy.FindStringSubmatch(low); m != nil && refOf(m[1]).known() && refOf(m[2]).known() {
		return m[1] + "/" + m[2]
	}
	if rest := southWords.ReplaceAllString(low, ""); isPair(stripShift(rest)) || pitchWithin.MatchString(rest) || ofOctave.MatchString(rest) { // not "Acoplamiento de teclados"
		low = rest
	}
	if m := pitchWithin.FindStringSubmatch(low); m != nil && refOf(m[1]).known() && refOf(m[3]).known() {
		mark := map[string]string{"sub": "16'", "grave": "16'", "sotto": "16'", "super": "4'", "acuta": "4'", "sopra": "4'"}[m[2]]
		if mark == "" {
			mark = strings.TrimSuffix(m[2], "'") + "'"
		}
		return m[1] + "-" + m[3] + " " + mark
	}
	return low
}
