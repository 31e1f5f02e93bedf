package stoplist

import (
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// What English lists of the eighteenth and nineteenth centuries say in a way of their own.

var (
	// inAlt is the highest key of a compass, "to E in alt": the octave in alt begins above the treble stave, and ends in altissimo.
	inAlt = lazyregexp.New(`\b([A-Ga-g]) ?(#|sharp)? in (alt(?:issimo)?)\b\.?`)
	// longOctaves stands between the ends of such a compass: "GG, long 8ves, no GG#, to E in alt".
	longOctaves = lazyregexp.New(`(?i)\b(CCC|CC|GG|FF|tenor [cf]|fiddle g)((?:[,. ]+(?:(?:long|short) (?:8ves|octaves)|(?:without|with|no|wanting|less) (?:CCC|GG|CC|AA) ?(?:#|sharp)))+)[,. ]+to `)
)

// keysInAlt writes such compasses with the octave that other lists print: "GG to e3".
func keysInAlt(s string) string {
	if !inAlt.MatchString(s) {
		return s
	}
	s = inAlt.ReplaceAllStringFunc(s, func(m string) string {
		g := inAlt.FindStringSubmatch(m)
		key := strings.ToLower(g[1])
		if g[2] != "" {
			key += "#"
		}
		if key[0] == 'c' && g[3] == "altissimo" {
			return key + "4"
		}
		return key + "3"
	})
	return longOctaves.ReplaceAllString(s, "$1 to ")
}

// dittoWord stands in a cell for the word above it.
var dittoWord = lazyregexp.New(`^(?i:do\.|ditto\.?)$`)

// unprinted are the lengths that English lists without lengths mean where other lists mean another, on manuals and on the pedal (common practice).
var unprinted = map[bool]map[string]float64{
	false: {"flute": 4, "stopped flute": 4, "stopt flute": 4, "wald flute": 4, "harmonic flute": 4, "suabe flute": 4, "lieblich flute": 4, "block flute": 2, "recorder": 4, "gemshorn": 4, "dulcet": 4, "salicet": 4,
		"bassoon": 8, "bourdon": 16, "lieblich bourdon": 16, "contra fagotto": 16, "double trumpet": 16, "piccolo": 2, "flageolet": 2, "flute d'amour": 4, "rohr flute": 4, "chimney flute": 4, "nason": 4, "bass flute": 8},
	true: {"principal": 8, "octave": 8, "fifteenth": 4, "flute": 8, "bass flute": 8, "stopped diapason": 8, "cello": 8, "trumpet": 8, "clarion": 4},
}

// englishLength is the length of a stop in an English list that prints none; 0 where nothing is known of it.
func (r *reader) englishLength(name string) float64 {
	if r.list.Language != "en" || !r.noLengths {
		return 0
	}
	return unprinted[r.inPedal()][strings.Trim(plain(name), " .")]
}

// englishKey is the key that a stop begins at as a letter in brackets: "Dulciana (g)".
var englishKey = lazyregexp.New(`^\s*[(\[]([fg])[)\]]\s*$`)

var (
	// openWood is an open bass whose material is said with it: "Open Diapason, wood".
	openWood = lazyregexp.New(`(?i)^(?:(?:double|dble|contra|grand) )?open(?: diap(?:ason|\.)?)?|^diapason`)
	ofWood   = lazyregexp.New(`(?i)(?:^|[^\pL])wood(?:$|[^\pL])`)
)
