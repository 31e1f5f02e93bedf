package score

import "strings"

// Words that may stand before a dynamic mark or about a hairpin without
// changing what it is.
var qualifiers = map[string]bool{
	"sempre": true, "subito": true, "sub": true, "poco": true, "molto": true,
	"più": true, "piu": true, "a": true, "e": true,
}

var hairpinWords = map[string]string{
	"cresc": "crescendo", "crescendo": "crescendo",
	"dim": "diminuendo", "dimin": "diminuendo", "diminuendo": "diminuendo",
	"decresc": "diminuendo", "decrescendo": "diminuendo",
}

// ClassifyWord finds dynamic marks ("f maestoso" is the mark "f") and gradual changes
// ("cresc. poco a poco" is the hairpin "crescendo") among the words of a score; other words and
// lyrics come back as they are. Marks are lower case, so that rehearsal letters F and
// P stay markers.
func ClassifyWord(kind WordKind, text string) (WordKind, string) {
	if kind == Lyric {
		return kind, text
	}
	fields := strings.Fields(strings.NewReplacer(":", " ", "=", " ", ",", " ").Replace(text))
	if len(fields) == 0 || len(fields) > 6 {
		return kind, text
	}
	if h := hairpinOf(fields); h != "" {
		return Hairpin, h
	}
	stated := false
	switch strings.ToLower(strings.TrimRight(fields[0], ".")) {
	case "dyn", "dynamic", "dynamics":
		stated, fields = true, fields[1:]
	}
	for i, f := range fields {
		if stated {
			f = strings.ToLower(f)
		}
		if d, ok := markOf(f); ok && !hasDigit(fields[i+1:]) {
			return Mark, d.String()
		}
		if !qualifiers[strings.TrimRight(strings.ToLower(f), ".")] {
			break
		}
	}
	return kind, text
}

// markOf reads a mark; four letters and more count as three.
func markOf(s string) (Dynamic, bool) {
	if len(s) > 3 {
		switch strings.Trim(s, s[:1]) {
		case "":
			s = s[:3]
		}
	}
	return ParseDynamic(s)
}

func hasDigit(fields []string) bool {
	return strings.ContainsAny(strings.Join(fields, ""), "0123456789")
}

func hairpinOf(fields []string) string {
	kind, stop := "", false
	for _, f := range fields {
		switch w := strings.TrimRight(strings.ToLower(f), "."); w {
		case "senza", "non", "no":
			return ""
		case "end", "stop", "fine":
			stop = true
		case "hairpin":
			kind = "stop"
		default:
			if h := hairpinWords[w]; h != "" {
				kind = h
			}
		}
	}
	if kind != "" && stop {
		return "stop"
	}
	if kind == "stop" {
		return ""
	}
	return kind
}
