package voicing

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Registration as organists write it in four languages (common practice), over the stops of the minster organ. A line that begins with
// Great: is as it is read over a staff of the Great.
func TestRegistrationAsItIsWritten(t *testing.T) {
	o, _ := BuiltIn("minster")
	for text, want := range map[string]string{
		"Ped. 16, 8 soft": "Pedal: Bourdon 16; Pedal: Bass Flute 8", "Soft Pedal 16": "Pedal: Bourdon 16", "Ped. reduce": "Pedal reduced", "Ped.16.8.": "Pedal: Open Diapason 16; Pedal: Bourdon 16; Pedal: Octave 8; Pedal: Bass Flute 8",
		"Ped. 16 ft., coupled to Sw.": "Pedal: Open Diapason 16; Pedal: Bourdon 16; Swell to Pedal", "Ped. to Gt.": "Great to Pedal", "Ped. coup. to Sw.": "Swell to Pedal", "light Pedal": "Pedal as p",
		"HW: Prinzipal 8, 4": "Great: Second Open Diapason 8; Great: Octave 4", "SW: Gamba 8": "Swell: Salicional 8", "Prepare: Sw. strings": "Swell: Salicional 8", "R.H. Sw. Oboe": "Swell: Oboe 8",
		"Full Swell": "Swell as fff", "Tutti Ped.": "Pedal as fff", "Gt. to 15th": "Great: First Open Diapason 8; Great: Second Open Diapason 8; Great: Octave 4; Great: Twelfth 2 2/3; Great: Fifteenth 2",
		"Sw. Oboe (with Trem.)": "Swell: Oboe 8; Swell: Tremulant", "ff Gt. coupled": "Great as ff; Swell to Great; Choir to Great", "Gt. f, coupled to full Sw.": "Great as f; Swell to Great",
		"Sw. Octave": "Swell Octave", "Sw. Sub-octave": "Swell Sub-octave", "Sw super": "Swell Octave", "super coupler": "Swell Octave", "Sub-octave coupler off": "Swell Sub-octave off", "Réc. fermé": "Swell box 0 % open", "SW geschlossen": "Swell box 0 % open", "Great: Octave": "Great: Octave 4", "Sw.-Gt.": "Swell to Great", "Sw+Gt": "Swell to Great",
		"open the box": "Swell box 100 % open", "Boîte fermée": "Swell box 0 % open", "ouvrez la boîte": "Swell box 100 % open", "Jalousieschweller zu": "Swell box 0 % open", "Cassa aperta": "Swell box 100 % open",
		"Péd. Soubasse 16": "Pedal: Bourdon 16", "Péd. Basses de 16 et 8 p.": "Pedal: Open Diapason 16; Pedal: Bourdon 16; Pedal: Octave 8; Pedal: Bass Flute 8", "Tirasse G.O.": "Great to Pedal", "Tir. R.": "Swell to Pedal",
		"Tirasses": "Great to Pedal; Swell to Pedal; Choir to Pedal", "Otez tirasses": "Great to Pedal off; Swell to Pedal off; Choir to Pedal off", "Anches Réc.": "Swell: Contra Fagotto 16; Swell: Cornopean 8; Swell: Oboe 8",
		"GPR": "Choir to Great; Swell to Great; Great", "Accouplez Récit au G.O.": "Swell to Great", "Récit accouplé": "Swell to Great", "Claviers accouplés": "Swell to Great; Choir to Great",
		"Great: ôtez la Trompette": "Great: Trumpet 8 off", "Great: ajoutez Anches": "Great: Trumpet 8; Great: Clarion 4", "Great: Jeux doux": "Great as p", "Réc. Voix céleste": "Swell: Voix Celeste 8",
		"Great: Mixtur ab": "Great: Mixture IV off", "Great: Zungen dazu": "Great: Trumpet 8; Great: Clarion 4", "Koppel I/P": "Choir to Pedal", "II/I": "Choir to Great", "III an II": "Swell to Great", "Koppeln ab": "Swell to Great off; Choir to Great off",
		"Great: etwas schwächer": "Great reduced", "Great: sehr zarte Stimmen": "Great as p", "Great: sanfte 8'-Stimmen": "Great: Stopped Diapason 8", "Ped: Subbass 16', Gedackt 8'": "Pedal: Bourdon 16; Pedal: Bass Flute 8",
		"Great: Ripieno": "Great: Mixture IV", "Great: Via ance": "Great: Trumpet 8 off; Great: Clarion 4 off", "Unione II-I": "Choir to Great", "Ped. Contrabbasso 16": "Pedal: Bourdon 16", "Ped.: senza unione": "Great to Pedal off",
		"Espr. Viola 8, Voce Celeste": "Swell: Salicional 8; Swell: Voix Celeste 8", "Organo pleno": "Choir as ff; Great as ff; Swell as ff; Pedal as ff", "Volles Werk": "Choir as fff; Great as fff; Swell as fff; Pedal as fff",
		"Ch. flutes 8 & 4": "Choir: Lieblich Gedackt 8; Choir: Stopped Flute 4", "Ch. 8 & 4 flutes": "Choir: Lieblich Gedackt 8; Choir: Stopped Flute 4", "Great: Foundation stops 8": "Great: First Open Diapason 8; Great: Second Open Diapason 8; Great: Stopped Diapason 8",
		"Solo Clarinet or Oboe": "Choir: Cromorne 8", "Gt. St. Diap.": "Great: Stopped Diapason 8", "Ped. Trombone off": "Pedal: Trombone 16 off", "Great: 8+4+2": "Great: First Open Diapason 8; Great: Second Open Diapason 8; Great: Stopped Diapason 8; Great: Octave 4; Great: Chimney Flute 4; Great: Fifteenth 2",
	} {
		c, ok := ParseRegistration(o, text)
		assert.True(t, ok, "%s: not read: %v", text, c.Unread)
		assert.Equal(t, want, strings.Join(c.Read, "; "), text)
	}
	for _, text := range []string{"dolce", "Great: dolce", "G.P.", "Gt. wolkenflöte", "a poco a poco", "Swell piston 9", "con fuoco", "senza rit.", "poco a poco cresc.", "with motion", "Great: open"} {
		_, ok := ParseRegistration(o, text)
		assert.False(t, ok, text)
	}
}

// Names of keyboards as they are abbreviated (common practice).
func TestKeyboardsAsTheyAreAbbreviated(t *testing.T) {
	o, _ := BuiltIn("minster")
	for name, want := range map[string]string{"Péd.": "Pedal", "Pedaal": "Pedal", "G.-O.": "Great", "Gd. O.": "Great", "H.W.": "Great", "Grand' Organo": "Great", "O.E.": "Swell", "Org. Espr.": "Swell",
		"Espr.": "Swell", "R.P.": "Choir", "Rückpos.": "Choir", "II. Man.": "Great", "1er clavier": "Choir", "3e clavier": "Swell", "I manuale": "Choir", "Zwelwerk": "Swell"} {
		d, ok := o.DivisionByName(name)
		if assert.True(t, ok, name) {
			assert.Equal(t, want, o.Divisions[d].Name, name)
		}
	}
}
