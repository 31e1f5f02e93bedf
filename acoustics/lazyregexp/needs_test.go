package lazyregexp

import (
	"math/rand/v2"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
)

// What a match needs never hides one: texts of letters that the expressions hold are answered as the standard library answers them.
func TestNeedsHideNoMatch(t *testing.T) {
	letters := []rune("abkKsSſ\u212A8 '’.é/1IV-")
	random := rand.New(rand.NewPCG(1, 2))
	for _, text := range []string{`(?i)k`, `(?i)s8`, `[^a]`, `a|b8|(?:é|k)`, `(a*)+8`, `a{0,2}'`, `(?:a|)b`, `^a?$`, `(?i)(^|[^\d])([1-8])'?(?:$|[^\pL])`, `[^\pL\d'](?:IV|V?I{1,3}|V)(?:-I)?`, `.b.`, `\bs\b`, `é{2}`, `[é-ü]|8{2,}`, ``} {
		want, got := regexp.MustCompile(text), New(text)
		for range 400 {
			var in []rune
			for range random.IntN(7) {
				in = append(in, letters[random.IntN(len(letters))])
			}
			assert.Equal(t, want.FindAllStringSubmatchIndex(string(in), -1), got.FindAllStringSubmatchIndex(string(in), -1), "%s in %q", text, string(in))
			assert.Equal(t, want.ReplaceAllString(string(in), "<$0>"), got.ReplaceAllString(string(in), "<$0>"))
		}
	}
}
