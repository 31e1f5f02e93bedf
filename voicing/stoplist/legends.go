package stoplist

import (
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

var (
	// letterLegend explains a letter that stands behind stops: "B = prepared for", "(C) gamut G up".
	letterLegend = lazyregexp.New(`^\s*[(\[]?([A-Z]|\*{1,4}|†|‡|§|#|\+)[)\]]?\s*(?:=|:|-|–|denotes|indicates|means)\s*(\S.*)$`)
	// lettersAtEnd are such letters behind the length of a stop.
	lettersAtEnd = lazyregexp.New(`^(.*(?:\d ?'?|\b[IVX]+|\branks?|\brks?\.?|\))) *[(\[]?((?:[A-Z]|\*{1,4}|†|‡|§|#|\+)(?:[ ,/&]+(?:[A-Z]|\*{1,4}|†|‡|§))*)[)\]]?\s*$`)
	// ofPipes is what a legend says of pipes that counts for the stop: whose they are, from which key they go, whether there are any.
	ofPipes    = lazyregexp.New(`(?i)\b(?:prepared|vacant|not (?:yet )?installed|ext(?:\.|ension|ended)|borrowed|derived|duplex\w*|transmission|from|tenor|ten\.|gamut|middle c|common|stopped|bass)\b`)
	andUpwards = lazyregexp.New(`(?i)^(?:compass )?(?:from )?((?:tenor|ten\.?|gamut|middle|fiddle|low) ?[a-g]#?|t\.?c\.?)(?: (?:and )?(?:up|upwards?|only|up only))?[ .]*$`)
	letterGap  = lazyregexp.New(`[ ,/&]+`)
)

// withLegends puts what a legend says of its letters behind the stops that have them.
func withLegends(lines []string) []string {
	says := map[string]string{}
	for _, l := range lines {
		m := letterLegend.FindStringSubmatch(tidy(l))
		if m == nil || len(strings.Fields(m[2])) > 10 || len(spansOfFeet(m[2])) > 0 || looksLikeCoupler(m[2]) {
			continue
		}
		if _, head := heading(m[2]); head || says[m[1]] != "" {
			continue
		}
		says[m[1]] = m[2]
	}
	if len(says) == 0 || !slices.ContainsFunc(lines, func(l string) bool { return ofPipes.MatchString(l) }) {
		return lines
	}
	out := slices.Clone(lines)
	for i, l := range lines {
		m := lettersAtEnd.FindStringSubmatch(tidy(l))
		if m == nil || len(spans(m[1])) == 0 || letterLegend.MatchString(tidy(l)) {
			continue
		}
		text := m[1]
		signs := letterGap.Split(m[2], -1)
		if slices.ContainsFunc(signs, func(s string) bool { return says[s] == "" }) {
			continue
		}
		for _, s := range signs {
			said := strings.Trim(says[s], " .;")
			switch g := andUpwards.FindStringSubmatch(said); {
			case !ofPipes.MatchString(said):
				continue
			case g != nil:
				said = "from " + g[1]
			}
			text += " (" + strings.NewReplacer("(", "", ")", "").Replace(said) + ")"
		}
		out[i] = text
	}
	return out
}
