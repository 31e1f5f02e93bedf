package stoplist

import "afterchord/acoustics/lazyregexp"

var (
	// theSame says of a stop what was said of the one before it.
	theSame = lazyregexp.New(`(?i)[( ](?:id\.?|idem|ibid\.?)[) ]`)
	// pipesOf names the stop whose pipes another has: "(transmission du Bourdon 8' du GO)", "(ext. Soubasse)".
	pipesOf = lazyregexp.New(`(?i)(?:transmission|transm\.|emprunt(?:ée?)?|ext(?:ension|\.)|prolongement|prol\.) (?:du |de la |de l'|au |à la )?(\pL{4,}(?: à cheminée)?)`)
	// countAndDash is a stop with its number in the list: "22 - Cymbale 4 rangs".
	countAndDash = lazyregexp.New(`^(\s*)(\d{1,3}) ?[-–—] ?(\p{Lu}\pL)`)
)

// countedByDash writes the numbers that count the stops of a list with a full stop, where they follow each other: "8 - Montre" may be a length.
func countedByDash(lines []string) []string {
	last, follow, all := 0, 0, 0
	for _, l := range lines {
		if m := countAndDash.FindStringSubmatch(l); m != nil {
			all++
			if n := atoi(m[2]); n == last+1 {
				follow++
				last = n
			} else {
				last = n
			}
		}
	}
	if all < 4 || follow*5 < all*4 {
		return lines
	}
	out := make([]string, len(lines))
	for i, l := range lines {
		out[i] = countAndDash.ReplaceAllString(l, "$1$2. $3")
	}
	return out
}
