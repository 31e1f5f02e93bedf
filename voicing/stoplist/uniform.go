package stoplist

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"afterchord/acoustics/lazyregexp"
)

var ligatures = strings.NewReplacer("\r\n", "\n", "\r", "\n", "ﬀ", "ff", "ﬁ", "fi", "ﬂ", "fl", "ﬃ", "ffi", "ﬄ", "ffl", "ﬅ", "st", "ﬆ", "st")

// romanInSmall is a number of ranks, or of a manual, in small letters.
var romanInSmall = lazyregexp.New(`(?:^|[^\pL\d])(?:x{0,2}(?:ix|iv|v?i{2,3}|vi|v)|x{1,2})(?:$|[^\pL\d'])`)

// uniform writes the same text in the same signs: one line end, accents on their letters, letters and digits one by one and of common width, Roman numerals
// in capitals.
func uniform(text string) string {
	text = norm.NFC.String(ligatures.Replace(text))
	text = strings.Map(func(r rune) rune {
		if r >= '！' && r <= '～' { // of East Asian width
			return r - '！' + '!'
		}
		return r
	}, text)
	if !strings.ContainsFunc(text, unicode.IsUpper) {
		for range 2 { // neighbours share what stands between them
			text = romanInSmall.ReplaceAllStringFunc(text, strings.ToUpper)
		}
	}
	return text
}
