// Package plural counts things in words.
package plural

import "strconv"

// Count says "1 stop", "3 stops"; many is the plural where an s does not make it.
func Count(n int, one string, many ...string) string {
	switch {
	case n == 1:
		return "1 " + one
	case len(many) > 0:
		return strconv.Itoa(n) + " " + many[0]
	}
	return strconv.Itoa(n) + " " + one + "s"
}

// Number says "1 crotchet", "1.5 crotchets", with at most four figures.
func Number(x float64, one string) string {
	if x == 1 {
		return "1 " + one
	}
	return strconv.FormatFloat(x, 'g', 4, 64) + " " + one + "s"
}
