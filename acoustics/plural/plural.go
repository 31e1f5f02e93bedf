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
