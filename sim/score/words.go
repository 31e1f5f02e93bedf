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

// What a swell box is called, and what says that it is to be opened or shut little by little.
var (
	boxNouns = map[string]bool{"box": true, "boxes": true, "shutters": true, "shades": true, "boîte": true, "boite": true, "boîtes": true,
		"schweller": true, "schwellkasten": true, "jalousien": true, "jalousieschweller": true, "cassa": true}
	boxVerbs = map[string]string{
		"open": "crescendo", "ouvrez": "crescendo", "ouvrir": "crescendo", "öffnen": "crescendo", "auf": "crescendo", "aprire": "crescendo",
		"close": "diminuendo", "shut": "diminuendo", "fermez": "diminuendo", "fermer": "diminuendo", "schließen": "diminuendo", "schliessen": "diminuendo", "zu": "diminuendo", "chiudere": "diminuendo",
	}
	boxMoving = map[string]string{"opening": "crescendo", "ouvrant": "crescendo", "öffnend": "crescendo", "aprendo": "crescendo",
		"closing": "diminuendo", "shutting": "diminuendo", "fermant": "diminuendo", "schließend": "diminuendo", "chiudendo": "diminuendo"}
	littleByLittle = []string{"poco a poco", "gradually", "slowly", "little by little", "allmählich", "nach und nach", "langsam", "peu à peu", "graduellement", "progressivement", "gradualmente"}
)

// boxMove finds "poco a poco open box", "closing the box gradually": a crescendo or diminuendo by the box. What says nothing of
// little by little is a place where the box stands and no move.
func boxMove(fields []string) string {
	noun, verb, kind := false, "", ""
	words := make([]string, len(fields))
	for i, f := range fields {
		w := strings.TrimRight(strings.ToLower(f), ".")
		words[i] = w
		noun = noun || boxNouns[w]
		if v := boxVerbs[w]; v != "" {
			verb = v
		}
		if v := boxMoving[w]; v != "" {
			kind = v
		}
	}
	if !noun {
		return ""
	}
	if kind != "" {
		return kind
	}
	text := strings.Join(words, " ")
	for _, g := range littleByLittle {
		if strings.Contains(text, g) {
			return verb
		}
	}
	return ""
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
	if h := boxMove(fields); h != "" {
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
