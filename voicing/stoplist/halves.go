package stoplist

import "afterchord/acoustics/lazyregexp"

// letterAtEnd is a half of the keyboard by its letter: "Dulcian B".
var letterAtEnd = lazyregexp.New(`\pL{3} ([BD])\.?$`)

// halfInName parts a name from the word in it for half of the keyboard, "Bourdon discant 16'"; half is "" where it has none. A bass is a half where the
// list has a treble too: else "Flûte basse" is a name.
func (r *reader) halfInName(name string, pedal bool) (bare, half string) {
	if pedal {
		return name, ""
	}
	if bare = trebleOnly.ReplaceAllString(name+" ", " "); len(bare) <= len(name) {
		half = " treble"
	} else if bare = bassOnly.ReplaceAllString(name+" ", " "); len(bare) <= len(name) && trebleOnly.MatchString(r.whole) {
		half = " basse"
	} else if m := letterAtEnd.FindStringSubmatchIndex(name); m != nil && (r.list.Language == "nl" || r.list.Language == "de" || r.list.Language == "sv") {
		bare, half = name[:m[2]], map[string]string{"B": " basse", "D": " treble"}[name[m[2]:m[3]]]
	}
	if bare = trimName(bare); half == "" || !known(bare) {
		return name, ""
	}
	return bare, half
}
