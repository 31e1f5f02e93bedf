package stoplist

import (
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

var (
	nameParts   = lazyregexp.New(`\pL[\pL'\- ]*\pL`)
	bullet      = lazyregexp.New(`^[\s•·●○▪*\-–>+§†#°]+`)
	indexed     = lazyregexp.New(`^(?:\d{1,3}[a-c]? ?[.)]|\d{1,2}° |\d{1,3}- |\(\d{1,3}\)|No\. ?\d+|(?i:lot|item) ?\d{1,3}[a-z]?[.:)]? |[a-z]\)|(?:i{1,3}|iv|vi{0,3}|ix|x{1,2}i{0,3}|xi?v)(?:[.)]|\s)) *`)
	manualCount = lazyregexp.New(`^\d{1,3}\. ?(?i:man|klav|clav|tast|tecl)`)
	rule        = lazyregexp.New(`^[\s|:\-=_*.+]+$`)
)

func stripBullet(s string) string {
	s = bullet.ReplaceAllString(s, "")
	if m := indexed.FindString(s); m != "" && len(m) < len(s) && !manualCount.MatchString(s) {
		s = s[len(m):]
	}
	if m := lettered.FindStringSubmatch(s); m != nil {
		s = s[len(m[1]):]
	}
	return bullet.ReplaceAllString(s, "")
}

// lettered is a number with a letter before a name: "18a Contrabasso".
var lettered = lazyregexp.New(`^((?:\d{1,3}[a-d]|\d{2,3}[ef]) +)\p{Lu}\p{Ll}{2}`)

// cutDash parts text at the first dash that stands between spaces.
func cutDash(text string) (head, rest string, found bool) {
	for _, dash := range []string{" - ", " – ", " — "} {
		if h, t, ok := strings.Cut(text, dash); ok && (!found || len(h) < len(head)) {
			head, rest, found = strings.TrimSpace(h), strings.TrimSpace(t), true
		}
	}
	return head, rest, found
}

// isRemark tells whether what stands behind a dash says something of the stop before it: the stop has its size, the rest has none.
func isRemark(head, rest string) bool {
	return rest != "" && !slices.ContainsFunc(betweenStops, func(sign string) bool { return strings.Contains(rest, sign) }) && endsWithLength(head) && !endsWithLength(rest) && !slices.ContainsFunc(spans(rest), func(s span) bool { return s.marked })
}

// betweenStops are signs that part the stops of a list where they stand between spaces.
var betweenStops = []string{" - ", " / ", " -- ", " + ", " ~ ", " – ", " — "}

// partsBySign parts text at the sign that stands between its stops; nil where it has none of them twice.
func partsBySign(text string) []string {
	for _, sign := range betweenStops {
		if strings.Count(text, sign) < 2 {
			continue
		}
		var out []string
		depth, at := 0, 0
		for i := 0; i < len(text); i++ {
			switch {
			case text[i] == '(':
				depth++
			case text[i] == ')':
				depth = max(0, depth-1)
			case depth == 0 && strings.HasPrefix(text[i:], sign):
				out = append(out, strings.TrimSpace(text[at:i]))
				at = i + len(sign)
				i = at - 2
			}
		}
		if out = append(out, strings.TrimSpace(text[at:])); len(out) > 2 {
			return out
		}
	}
	return nil
}

// splitList parts at commas and semicolons, not within brackets or numbers.
func splitList(text string) []string {
	var out []string
	depth, at := 0, 0
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case c == '(' || c == '[':
			depth++
		case c == ')' || c == ']':
			depth = max(0, depth-1)
		case depth == 0 && (c == ',' || c == ';') || depth == 0 && strings.HasPrefix(text[i:], "•") || depth == 0 && strings.HasPrefix(text[i:], "·"):
			if c == ',' && i > 0 && i+1 < len(text) && digit(text[i-1]) && digit(text[i+1]) {
				continue
			}
			out = append(out, strings.TrimSpace(text[at:i]))
			at = i + 1
			if c != ',' && c != ';' {
				for at < len(text) && text[at] >= 0x80 && text[at] < 0xc0 {
					at++
				}
				i = at - 1
			}
		}
	}
	return slices.DeleteFunc(append(out, strings.TrimSpace(text[at:])), func(s string) bool { return s == "" })
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

var sentenceEnd = lazyregexp.New(`\.\s+(\p{Lu})`)

// sentences parts text at full stops before a capital, not at those of short words such as "Réc.".
func sentences(text string) []string {
	var out []string
	at := 0
	for _, m := range sentenceEnd.FindAllStringSubmatchIndex(text, -1) {
		word := text[strings.LastIndexAny(text[:m[0]], " .,/-")+1 : m[0]]
		if len([]rune(word)) <= 3 && !strings.HasSuffix(word, "'") || strings.EqualFold(word, "trem") {
			continue
		}
		out = append(out, text[at:m[0]])
		at = m[2]
	}
	return append(out, text[at:])
}
