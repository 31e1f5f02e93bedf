package stoplist

import (
	"math"

	"afterchord/acoustics/lazyregexp"
)

// Italian organs whose keyboard begins at a low F print the lengths of that key: a Principale of 12 ft is an 8 ft, its Ottava a 6 ft, its Decimaquinta
// a 3 ft, and so on in the same proportion (common practice of the sixteenth to nineteenth centuries).

// onLowF is the proportion of a stop's length to what such a list prints.
const onLowF = 2.0 / 3

var (
	principalOnF = lazyregexp.New(`(?i)^[ \d.*•\-]*(?:principal[ei]|tenor[ei])\b[^\d]*(?:12|24)(?:'|$| )`)
	// fifteenthOnF and what follows it are lengths that only such a list gives them.
	ranksOnF = []*lazyregexp.Regexp{
		lazyregexp.New(`(?i)^[ \d.*•\-]*(?:(?:quinta ?decima|decima ?quinta)\b|XV\b)[^\d]*[36](?:'|$| )`),
		lazyregexp.New(`(?i)^[ \d.*•\-]*(?:decima ?nona\b|XIX\b)[^\d]*[24](?:'|$)`),
		lazyregexp.New(`(?i)^[ \d.*•\-]*(?:vigesima ?seconda\b|XXII\b)[^\d]*(?:1[ .]1/2|3)(?:'|$| )`),
		lazyregexp.New(`(?i)^[ \d.*•\-]*(?:vigesima ?sesta\b|XXVI\b)[^\d]*[12](?:'|$)`),
	}
)

// printsLowF tells whether the lengths of a list are those of a low F.
func printsLowF(lines []string) bool {
	principal, ranks := false, 0
	for _, l := range lines {
		l = tidy(l)
		principal = principal || principalOnF.MatchString(l)
		for _, re := range ranksOnF {
			if re.MatchString(l) {
				ranks++
			}
		}
	}
	return principal && ranks >= 2
}

// fromLowF is the length at C of a stop whose length at F is printed.
func fromLowF(printed float64) float64 {
	feet := printed * onLowF
	for _, usual := range []float64{32, 16, 10 + 2.0/3, 8, 5 + 1.0/3, 4, 2 + 2.0/3, 2, 1.6, 1 + 1.0/3, 1, 2.0 / 3, 0.5, 1.0 / 3, 0.25} {
		if math.Abs(usual-feet) < 0.02*usual {
			return usual
		}
	}
	return printed
}
