package performance

import (
	"strings"

	"afterchord/acoustics/lazyregexp"
	"afterchord/voicing"
)

// saying is what the name of a part says about who plays it.
type saying string

const (
	saysNothing  saying = ""
	saysDivision saying = "division"
	saysHand     saying = "hand"
)

// numbering is what programs add to a name to tell staves and tracks apart.
var numbering = lazyregexp.New(`(?i)\s*\((track|channel)\s+\d+\)|,?\s*\b(staff|system|portée|rigo|pentagramma)\s+\d+\b`)

// generic are words of a name that say nothing of who plays.
var generic = map[string]bool{"organ": true, "orgel": true, "orgue": true, "organo": true, "orgues": true, "pipe": true, "church": true, "reed": true,
	"part": true, "stimme": true, "voice": true, "voix": true, "voce": true, "staff": true, "system": true, "music": true,
	"drawbar": true, "the": true, "der": true, "le": true, "la": true, "il": true, "line": true}

// handWords are names of the hands (English, German, French, Italian, Dutch; common practice).
var handWords = map[string]bool{"right": true, "left": true, "hand": true, "hands": true, "rh": true, "lh": true, "r.h": true, "l.h": true, "right hand": true, "left hand": true,
	"rechts": true, "links": true, "rechte": true, "linke": true, "rechte hand": true, "linke hand": true, "hände": true, "haende": true,
	"main": true, "main droite": true, "main gauche": true, "droite": true, "gauche": true, "md": true, "mg": true, "m.d": true, "m.g": true, "m.s": true, "ms": true, "mains": true,
	"mano": true, "mano destra": true, "mano sinistra": true, "destra": true, "sinistra": true, "dx": true, "sx": true, "mani": true,
	"rechterhand": true, "linkerhand": true, "rechter hand": true, "linker hand": true,
	"man": true, "manuel": true, "manuels": true, "manualiter": true, "clavier": true,
	"upper": true, "lower": true, "up": true, "down": true, "treble": true}

// footWords are names of the feet and of their keyboard beyond those of a pedal division.
var footWords = map[string]bool{"feet": true, "foot": true, "füße": true, "fuesse": true, "füsse": true, "pieds": true, "pied": true, "piedi": true,
	"pedaal": true, "pedalboard": true, "pedalstimme": true, "pedal organ": true, "pédalier": true}

// readPartName reads the name of a part: a division that it names anywhere ("Pedal", "pedal:pedal", "Orgel - Pedal",
// "Great (R.H.)"), or a hand, which says that it is not the pedal. A number alone ("2", ":1") tells staves or voices
// apart and is no manual; a Roman one is.
func readPartName(o *voicing.Organ, name string) (division int, says saying) {
	name = numbering.ReplaceAllString(name, "")
	hand := false
	for _, piece := range strings.FieldsFunc(name, func(r rune) bool { return strings.ContainsRune(":,;/|()[]_–—", r) }) {
		for _, p := range strings.Split(piece, " - ") {
			d, s := readNamePiece(o, p)
			if s == saysDivision {
				return d, s
			}
			hand = hand || s == saysHand
		}
	}
	if hand {
		return -1, saysHand
	}
	return -1, saysNothing
}

func readNamePiece(o *voicing.Organ, p string) (division int, says saying) {
	plain := strings.ToLower(strings.Trim(p, " .\t\"'"))
	if plain == "" || strings.Trim(plain, "0123456789. ") == "" {
		return -1, saysNothing
	}
	try := func(q string) (int, saying) {
		switch {
		case len([]rune(q)) < 2 && q != "i" && q != "v":
			return -1, saysNothing
		case handWords[q] || len([]rune(q)) <= 4 && strings.Contains(q, ".") && handWords[strings.NewReplacer(".", "", " ", "").Replace(q)]: // "r. h"
			return -1, saysHand
		case footWords[q]:
			for d := range o.Divisions {
				if o.Divisions[d].Pedal {
					return d, saysDivision
				}
			}
			return -1, saysNothing
		}
		if d, ok := o.DivisionByName(q); ok {
			return d, saysDivision
		}
		return -1, saysNothing
	}
	if d, s := try(plain); s != saysNothing {
		return d, s
	}
	// what is left without the words that say nothing and the numbers at the end
	words := strings.Fields(strings.ReplaceAll(plain, "-", " "))
	for len(words) > 1 && (strings.Trim(words[len(words)-1], "0123456789.") == "") {
		words = words[:len(words)-1]
	}
	var kept []string
	for _, w := range words {
		if w = strings.Trim(w, "."); !generic[w] && w != "" {
			kept = append(kept, w)
		}
	}
	if q := strings.Join(kept, " "); q != "" && q != plain {
		if d, s := try(q); s != saysNothing {
			return d, s
		}
	}
	hand := false
	for _, w := range kept { // "upper pedal", "Swell right"
		if len([]rune(w)) < 2 {
			continue
		}
		switch d, s := try(w); s {
		case saysDivision:
			return d, s
		case saysHand:
			hand = true
		}
	}
	// names run together: "fugapedal", "pedalstimme", "rechtsa", "HauptwerkRH"
	for _, w := range kept {
		for _, x := range []string{"pedal", "pédal", "pedaal"} {
			if strings.HasPrefix(w, x) || strings.HasSuffix(w, x) {
				if d, s := try("pedal"); s == saysDivision {
					return d, s
				}
			}
		}
		for _, x := range []string{"hauptwerk", "schwellwerk", "positiv", "swell", "great", "choir", "récit", "recit"} {
			if len(w) > len(x) && (strings.HasPrefix(w, x) || strings.HasSuffix(w, x)) {
				if d, s := try(x); s == saysDivision {
					return d, s
				}
			}
		}
		for _, x := range []string{"right", "left", "rechts", "links", "droite", "gauche", "destra", "sinistra"} {
			hand = hand || strings.HasPrefix(w, x) || strings.HasSuffix(w, x)
		}
	}
	if hand {
		return -1, saysHand
	}
	return -1, saysNothing
}
