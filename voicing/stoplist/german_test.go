package stoplist

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// What German builders and parishes print over a division: a name, a compass, a box, a count and the number of a manual, in any order (common practice).
func TestGermanHeadings(t *testing.T) {
	for line, want := range map[string]string{
		"I. Manual C–g''' (Hauptwerk)":                          "Hauptwerk, manual 1, C2-G6",
		"I. Manual (Schwellpositiv) C–g'''":                     "Schwellpositiv, manual 1, in a swell box, C2-G6",
		"HAUPTWERK, II. Manual (C–f³)":                          "Hauptwerk, manual 2, C2-F6",
		"BRUSTWERK, III. Manual (C–f³), in Schwelltüren":        "Brustwerk, manual 3, in a swell box, C2-F6",
		"Brustwerk (mit Schwelltüren) C-f'''":                   "Brustwerk, in a swell box, C2-F6",
		"III Schwellwerk (C–c4), 12 Register":                   "Schwellwerk, manual 3, in a swell box, C2-C7",
		"Hauptwerk, C – g³, 56 Tasten, 11 Register":             "Hauptwerk, C2-G6",
		"2. Manual: Oberwerk (im Schweller), C-g3":              "Oberwerk, manual 2, in a swell box, C2-G6",
		"Manual II – Schwellwerk – C–a3":                        "Schwellwerk, manual 2, in a swell box, C2-A6",
		"Manual II, schwellbar":                                 "Manual II, in a swell box",
		"II. Manual – Positiv, Umfang C–g³":                     "Positiv, manual 2, C2-G6",
		"HW II C–f3":                                            "Hauptwerk, manual 2, C2-F6",
		"RP = I. Manual":                                        "Rückpositiv, manual 1",
		"Rückpositiv (Manual I), C–f''', 8 Stimmen":             "Rückpositiv, manual 1, C2-F6",
		"Oberwerk – Manual III (C D E–c³)":                      "Oberwerk, manual 3, C2-C6",
		"Erstes Manual, Hauptwerk, C bis f³":                    "Hauptwerk, manual 1, C2-F6",
		"Zweites Manual. Weite Mensur.":                         "Manual II",
		"I. Manual (weiter Mensur).":                            "Manual I",
		"Hauptwerk 1. Manual 54 Töne":                           "Hauptwerk, manual 1, C2-F6",
		"Schwellwerk, III. Manual, C-g''', Winddruck 85 mm":     "Schwellwerk, manual 3, in a swell box, C2-G6",
		"Positiv im Schwellkasten, I. Manual":                   "Positiv, manual 1, in a swell box",
		"Echowerk im Schweller (IV. Manual) C–f³":               "Echowerk, manual 4, in a swell box, C2-F6",
		"Fernwerk (auf IV) C–a³":                                "Fernwerk, manual 4, in a swell box, C2-A6",
		"IV. Manual (Fernwerk, schwellbar) C–a³, im Dach":       "Fernwerk, manual 4, in a swell box, C2-A6",
		"Oberwerk (II), mit Jalousieschweller":                  "Oberwerk, manual 2, in a swell box",
		"Unterwerk/Manual I, C, D, E–c'''":                      "Unterwerk, manual 1, C2-C6",
		"Haupt-Werk im mittlern Clavier":                        "Haupt-Werk",
		"Ober-Werk zum obersten Clavier":                        "Ober-Werk",
		"Im Oberwerk":                                           "Oberwerk",
		"Ins Pedal:":                                            "Pedal",
		"Zum Pedal":                                             "Pedal",
		"Einziges Manual (C-f3)":                                "Manual, C2-F6",
		"Pedal, C–d' (27 Tasten)":                               "Pedal, C2-D4",
		"Pedalwerk (C – f¹), 12 Register, Winddruck 90 mm":      "Pedalwerk, pedal, C2-F4",
		"M. I – Hauptwerk":                                      "Hauptwerk, manual 1",
		"Kronwerk, III. Manual, schwellbar":                     "Kronwerk, manual 3, in a swell box",
		"Grand Orgue (I), 56 Noten":                             "Grand Orgue, manual 1, C2-G6",
		"Oberwerk (oberes Manual, schwellbar)":                  "Oberwerk, manual 2, in a swell box",
		"Chororgel (von IV spielbar), schwellbar":               "Chororgel, manual 4, in a swell box",
		"RECITATIV (III), g–d³":                                 "Recitativ, manual 3, G3-D6",
		"II. Schwellwerk, C–a³ (Wechselschleifen * auch auf I)": "Schwellwerk, manual 2, in a swell box, C2-A6",
	} {
		l := Read(line + "\nPrinzipal 16'\n")
		assert.Equal(t, IsHeading, l.Lines[0].Readings[0].What, line)
		assert.Equal(t, want, l.Lines[0].Readings[0].Text, line)
	}
}

// said is how the last line of a list was read, all its pieces.
func saidOfLast(text string) string {
	l := Read(text)
	var out []string
	for _, r := range l.Lines[len(l.Lines)-1].Readings {
		switch r.What {
		case IsUnread:
			out = append(out, "not understood")
		case IsProse, IsExtra:
		default:
			out = append(out, r.Text)
		}
	}
	return strings.Join(out, " | ")
}

// What stands behind a stop says how it is made or whence it comes; what is printed says so too.
func TestGermanRemarks(t *testing.T) {
	for line, want := range map[string]string{
		"Rohrflöte 8' ab c° Metall":                    "Rohrflöte 8 (stopped flute)",
		"Rohrflöte\t8'\tab c° Metall":                  "Rohrflöte 8 (stopped flute)",
		"Bourdon\t16'\tTransmission ins Pedal möglich": "Bourdon 16 (stopped flute)",
		"Salicional 8' (ab c0)":                        "Salicional 8 (open string), from C3",
		"Prinzipal 2' (ab c'' 4')":                     "Prinzipal 2 (open principal)",
		"Flöte 4' (ged.)":                              "Flöte 4 (stopped flute)",
		"Holzflöte 8' (C–H aus Gedackt 8')":            "Holzflöte 8 (open flute)",
		"Gedackt 8'\tAuszug aus Bordun 16'":            "Gedackt 8 (stopped flute), borrowed",
		"Gedackt 8' (Transmission aus Nr. 3)":          "Gedackt 8 (stopped flute), borrowed",
		"Untersatz 32 Fuß (mit Octavbaß 16 Fuß)":       "Untersatz 32 (stopped flute) | Hauptwerk: Octavbaß 16 (open principal)",
		"Cornet 5 fach, ab c¹":                         "Cornet, 5 ranks from 8 (cornet), from C4",
		"Terzian 2f.":                                  "Terzian, 2 ranks from 1 3/5 (mixture with a tierce)",
		"Quinte 1 l/3'":                                "Quinte 1 1/3 (open principal)",
	} {
		assert.Equal(t, "Hauptwerk: "+want, saidOfLast("Hauptwerk\nPrinzipal 8'\nOktave 4'\n"+line), line)
	}
}

// Couplers, tremulants and what is said of the whole organ, as German lists print them below the stops.
func TestGermanFactsAndCouplers(t *testing.T) {
	list := "I. Hauptwerk C–g3\nPrinzipal 8'\nOktave 4'\nII. Oberwerk\nGedackt 8'\nFlöte 4'\nIII. Schwellwerk\nGamba 8'\nOboe 8'\nPedal C–f1\nSubbass 16'\n"
	for line, want := range map[string]string{
		"Pedalkoppel I, II und III":                                                     "Hauptwerk to Pedal, Oberwerk to Pedal, Schwellwerk to Pedal",
		"Koppeln: II/I, III/I. Keine Oktavkoppeln!":                                     "Oberwerk to Hauptwerk | Schwellwerk to Hauptwerk",
		"Normalkoppeln II–I, I–P":                                                       "Oberwerk to Hauptwerk | Hauptwerk to Pedal",
		"Nebenzüge: Schwebung OW":                                                       "tremulant of Oberwerk",
		"Tremulant im Oberwerk, Tremblant fort":                                         "tremulant of Oberwerk | tremulant of Hauptwerk, Oberwerk, Schwellwerk",
		"Tremulanten für das gesamte Werk, Zimbelstern":                                 "tremulant of Hauptwerk, Oberwerk, Schwellwerk, Pedal",
		"Winddruck: 94 mm WS (Manuale), 100 mm WS (Pedal)":                              "wind 94 mm, wind of Pedal 100 mm",
		"Winddruck: 70/65/75/80 mm (HW/OW/SW/Ped)":                                      "wind of HW 70 mm, wind of OW 65 mm, wind of SW 75 mm, wind of Ped 80 mm",
		"Schleifladen, elektrisch. Winddruck im Hauptwerk 60, Oberwerk 55, Pedal 65 mm": "electric action | wind of Hauptwerk 60 mm, wind of Oberwerk 55 mm, wind of Pedal 65 mm",
		"Winddruck: 8O mm WS":                                                           "wind 80 mm",
		"8 Reg., Ton+Reg. mech.":                                                        "tracker action",
		"III Manuale und Pedal, 22 Register, 3 Transmissionen":                          "",
		"Spielhilfen: Walze ab, drei freie Kombinationen, Calcantenruf":                 "3 kombinationen",
		"Kalk.-Glocke": "",
		"Der Orgelsachverständige nahm das Werk am 3. Juli ab.":                             "",
		"Beim Festkonzert spielt der Stiftsorganist Werke von Muffat, Froberger und Kerll.": "",
		"Temperatur: modifiziert mitteltönig (1/5-Komma)":                                   "quarter-comma meantone temperament",
	} {
		assert.Equal(t, want, saidOfLast(list+line), line)
	}
	assert.Equal(t, "Manual to Pedal", saidOfLast("Manual\nPrinzipal 8'\nPedal\nSubbass 16'\nPk."))
	source, _, err := Read("Hauptwerk\nPrinzipal 8'\nStimmung nach Neidhardt\n").Organ("x")
	assert.NoError(t, err)
	assert.Contains(t, string(source), "the list's own is not built in (neidhardt)")
	l := Read("I. Manual\nPrinzipal 8'\nII. Schwellwerk (Wechselschleifen * auch auf I spielbar)\nHolzgedackt * 8'\nPrincipal 4'\n")
	assert.Len(t, l.Divisions[0].Stops, 2)
	assert.True(t, l.Divisions[0].Stops[1].Borrowed)
}
