package terms

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Octaves as organists of each country count them (common practice): middle C is c′ in Germany, do 3 in France and Italy; B natural
// is H in Germany.
func TestKeys(t *testing.T) {
	for name, want := range map[string][3]string{
		"C2": {"C", "do1", "do1"}, "B3": {"h", "si2", "si2"}, "Bb3": {"b", "si♭2", "si♭2"}, "C4": {"c′", "do3", "do3"}, "F#4": {"fis′", "fa♯3", "fa♯3"},
		"Eb2": {"Es", "mi♭1", "mi♭1"}, "Ab5": {"as′′", "la♭4", "la♭4"}, "D4": {"d′", "ré3", "re3"}, "B1": {"H₁", "si0", "si0"}, "no key": {"no key", "no key", "no key"},
	} {
		for i, l := range []string{"de", "fr", "it"} {
			assert.Equal(t, want[i], Languages()[l].Key(name), "%s in %s", name, l)
		}
	}
}

func TestPlacesAndAmounts(t *testing.T) {
	de, fr, it := Languages()["de"], Languages()["fr"], Languages()["it"]
	assert.Equal(t, "Takt 7, Zählzeit 2½", de.Or("bar 7, beat 2½"))
	assert.Equal(t, "Takte 3–5, auf jedem punktierten Viertel", de.Or("bars 3–5, every dotted crotchet"))
	assert.Equal(t, "mesure 7, temps 2,25", fr.Or("bar 7, beat 2.25"))
	assert.Equal(t, "battute 36–53, 93 punti", it.Or("bars 36–53, 93 places"))
	assert.Equal(t, "1,05 s", de.Amount("1.05 s"))
	assert.Equal(t, "60 noires/min", fr.Amount("60 crotchets/min"))
	assert.Equal(t, "−3,5 dB", it.Amount("−3.5 dB"))
	assert.Equal(t, "g′", de.Amount("G4"))

	_, ok := de.Say("bars 3–5, all of a sudden")
	assert.False(t, ok, "what is put in has no word")
	var english *Language
	assert.Equal(t, "bar 7, beat 1", english.Or("bar 7, beat 1"))
	assert.Equal(t, "C4", english.Key("C4"))
}
