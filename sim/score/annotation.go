package score

import (
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// The words of annotated scores; the second form is that of earlier versions.
var annotation = lazyregexp.New(`^([■▲○] )?[0-9]+ [a-z ]+ \((lost|weakened|worth knowing)\): |^(■ )?(fail|warning|note) [0-9]+, [a-z ]+: `)

// IsAnnotation tells words that name a finding ("■ 3 covered entry (lost): …"), as they stand in
// an annotated score, from what its composer wrote.
func IsAnnotation(text string) bool { return annotation.MatchString(text) }

// AsksAssistant reports whether words ask for somebody at the console who draws the stops, in four languages.
func AsksAssistant(text string) bool {
	for _, w := range []string{"assistant", "assistent", "assistente", "registrant", "registrateur"} {
		if strings.Contains(strings.ToLower(text), w) {
			return true
		}
	}
	return false
}
