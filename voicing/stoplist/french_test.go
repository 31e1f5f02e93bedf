package stoplist

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// said is what a line of a list was read as, in one line.
func said(l *List, number int) string {
	var parts []string
	for _, line := range l.Lines {
		if line.Number == number {
			for _, r := range line.Readings {
				parts = append(parts, r.Text)
			}
		}
	}
	return strings.Join(parts, " | ")
}

// Headings of divisions as French, Belgian, Swiss and Canadian builders and parish pages print them (common practice; ut1 is C2, ut3 C4). A
// heading that is not read costs its whole division.
func TestFrenchHeadings(t *testing.T) {
	for text, want := range map[string]string{
		"Pédalier à la française (A° – f, ravalement)":          "Pédalier, pedal, A1-F3",
		"Pédalier à la française":                               "Pédalier, pedal",
		"Pédale à la française (28 notes, ravalement au fa0)":   "Pédale, pedal, F1-Ab3",
		"Pédale, 29 marches, avec ravalement":                   "Pédale, pedal, C2-E4",
		"Pédale séparée (do1 à fa3)":                            "Pédale séparée, pedal, C2-F4",
		"Pédalier de 30 notes":                                  "Pédalier, pedal, C2-F4",
		"Pédalier (27 notes)":                                   "Pédalier, pedal, C2-D4",
		"Pédale : 30 notes":                                     "Pédale, pedal, C2-F4",
		"PÉDALE - 32 notes - 8 jeux":                            "Pédale, pedal, C2-G4",
		"La Pédale (do1-sol3)":                                  "Pédale, pedal, C2-G4",
		"Jeux de pédale":                                        "Pédale, pedal",
		"Péd. (30 n.)":                                          "Pédale, pedal, C2-F4",
		"IV. Écho (c – c³, 37 notes)":                           "Écho, manual 4, C3-C6",
		"Écho, 37 notes (ut2-ut5)":                              "Écho, C3-C6",
		"Clavier d'Écho (3 octaves)":                            "Écho",
		"Écho (à partir de l'ut2)":                              "Écho, from C3",
		"Récit (c¹ – c³, 25 notes)":                             "Récit, C4-C6",
		"III. Récit, 32 notes (fa2-ut5)":                        "Récit, manual 3, F3-C6",
		"Récit (g – d³, 32 notes)":                              "Récit, G3-D6",
		"Dessus de Récit (27 notes)":                            "Dessus de Récit, C4-D6",
		"Récit, à partir du 3e ut":                              "Récit, from C4",
		"Récit (34 notes, sol2-mi5)":                            "Récit, G3-E6",
		"Clavier de Récit expressif, 42 notes, ut2-fa5":         "Récit, in a swell box, C3-F6",
		"Clavier de Grand-Orgue (54 notes)":                     "Grand-Orgue, C2-F6",
		"Clavier du Positif, 56 notes":                          "Positif, C2-G6",
		"Premier clavier - Positif de dos":                      "Positif de dos, manual 1",
		"Clavier I : Grand-Orgue":                               "Grand-Orgue, manual 1",
		"2ème clavier, Récit expressif (56 notes)":              "Récit, manual 2, in a swell box, C2-G6",
		"3e clavier (Récit, boîte expressive)":                  "Récit, manual 3, in a swell box",
		"Troisième clavier : Récit en boîte expressive, 61 n.":  "Récit, manual 3, in a swell box, C2-C7",
		"II Récit expressif — 56 notes — 9 jeux":                "Récit, manual 2, in a swell box, C2-G6",
		"Récit (sous expression)":                               "Récit, in a swell box",
		"Récit - Expressif":                                     "Récit, in a swell box",
		"Récit expressif (II), do1-sol5":                        "Récit, manual 2, in a swell box, C2-G6",
		"Réc. expr. (II)":                                       "Récit, manual 2, in a swell box",
		"RÉCIT-ÉCHO EXPRESSIF":                                  "Récit-écho, in a swell box",
		"Le Grand-Orgue : 12 jeux, 54 notes":                    "Grand-Orgue, C2-F6",
		"GRAND ORGUE : 14 jeux":                                 "Grand Orgue",
		"G.-O. (54 notes)":                                      "Grand Orgue, C2-F6",
		"Gd-Orgue, 54 notes":                                    "Gd-Orgue, C2-F6",
		"Jeux du Grand-Orgue":                                   "Grand-Orgue",
		"Positif dorsal, 51 notes (CD-d3)":                      "Positif dorsal, C2-D6",
		"Positif (do1-do5 sans premier do#)":                    "Positif, C2-C6",
		"Positif intérieur (II), expressif":                     "Positif intérieur, manual 2, in a swell box",
		"Pos. (I)":                                              "Positif, manual 1",
		"Bombarde (IV)":                                         "Bombarde, manual 4",
		"Clavier des Bombardes, 54 notes":                       "Bombardes, C2-F6",
		"Résonance (ut1 à fa5)":                                 "Résonance, C2-F6",
		"Solo expressif (IVe clavier, 61 notes)":                "Solo, manual 4, in a swell box, C2-C7",
		"Manuel I - Grand-Orgue - C-g3":                         "Grand-Orgue, manual 1, C2-G6",
		"Grand-Orgue (C–f³, 54 notes) pression 90 mm":           "Grand-Orgue, C2-F6",
		"Grand Orgue [48 notes, sans le premier do dièse]":      "Grand Orgue, C2-C6",
		"Clavier unique (54 notes, coupure basse/dessus à si2)": "Manual, C2-F6",
		"Manuel unique":                                         "Manual",
		"Clavier (do1-fa5)":                                     "Manual, C2-F6",
	} {
		l := Read("Orgue de l'église\n\nClavier de chœur\nMontre 8'\nBourdon 8'\n\n" + text + "\nBourdon 16'\nFlûte 8'\nPrestant 4'\n")
		assert.Equal(t, want, said(l, 7), text)
	}
}

// Couplers of French lists, in full and shortened; written out by hand.
func TestFrenchCouplers(t *testing.T) {
	const organ = "I. Grand-Orgue (56 notes)\nMontre 8'\nII. Positif\nBourdon 8'\nIII. Récit expressif\nGambe 8'\nVoix céleste 8'\nPédale\nSoubasse 16'\n"
	for text, want := range map[string]string{
		"Accouplements : Pos./G.O. en 16, 8 et 4 ; Réc./G.O. en 16, 8 et 4 ; Réc./Pos. 8": "P-G16 P-G P-G4 R-G16 R-G R-G4 R-P",
		"Tirasses : Pos., G.O. et Réc. en 8 ; Réc. en 4":                                  "P-D G-D R-D R-D4",
		"Accouplements : Réc./G.-O. (16', 8', 4')":                                        "R-G16 R-G R-G4",
		"Tirasses : G.-O., Réc.":                                                          "G-D R-D",
		"Tir. GO/Péd, Réc/Péd; Acc. Réc/GO 8 et 16; Oct. aiguës Réc":                      "G-D R-D R-G R-G16 R-R4",
		"Tir. GO, Pos, Réc":                                                               "G-D P-D R-D",
		"Tir. G.O.":                                                                       "G-D",
		"Tir. I, II et III":                                                               "G-D P-D R-D",
		"Acc. II/I, III/I, III/II":                                                        "P-G R-G R-P",
		"Acc. Pos./G.O. ; Acc. Réc./G.O.":                                                 "P-G R-G",
		"Acct Réc./G.O.":                                                                  "R-G",
		"Oct. graves Réc./G.O.":                                                           "R-G16",
		"Oct. gr. Réc. ; Oct. aig. Réc.":                                                  "R-R16 R-R4",
		"Octaves graves et aiguës Récit":                                                  "R-R16 R-R4",
		"Octaves graves du Récit sur le G.O.":                                             "R-G16",
		"Octave aiguë du Récit":                                                           "R-R4",
		"Octaves graves G.O.":                                                             "G-G16",
		"Copula Réc./G.O.":                                                                "R-G",
		"Cop. II/I":                                                                       "P-G",
		"Copula Positif":                                                                  "P-G",
		"Copula Récit-G.O., Copula Positif-G.O.":                                          "R-G P-G",
		"Accouplement du Récit au Grand-Orgue":                                            "R-G",
		"Accouplements Récit et Positif au Grand-Orgue":                                   "R-G P-G",
		"Accouplement Récit sur Positif":                                                  "R-P",
		"Accouplement du Positif et du Récit au G.O.":                                     "P-G R-G",
		"Accouplement II/I à tiroir":                                                      "P-G",
		"Acc. à tiroir Pos./G.O.":                                                         "P-G",
		"Tirasses des trois claviers":                                                     "G-D P-D R-D",
		"Tirasse des 3 claviers":                                                          "G-D P-D R-D",
		"Tirasses G.O., Pos. et Réc.":                                                     "G-D P-D R-D",
		"Tirasses I - II - III":                                                           "G-D P-D R-D",
		"Tirasses I/P, II/P, III/P":                                                       "G-D P-D R-D",
		"Tirasses : G.O. (8', 4'), Réc. (8', 4')":                                         "G-D G-D4 R-D R-D4",
		"Tirasses GO 8 et 4, Récit 8 et 4":                                                "G-D G-D4 R-D R-D4",
		"Tirasse Récit en 4'":                                                             "R-D4",
		"Tirasse du Grand-Orgue et du Récit":                                              "G-D R-D",
		"Tirasses en 8' : I, II, III ; en 4' : III":                                       "G-D P-D R-D R-D4",
		"Accouplements en 8' : II/I, III/I ; en 16' : III/I":                              "P-G R-G R-G16",
		"Accouplements : II/I, III/I, III/II en 8' ; III/I en 16' et 4'":                  "P-G R-G R-P R-G16 R-G4",
		"Réc./Réc. en 16 et 4":                                                            "R-R16 R-R4",
		"Récit sur lui-même en 16' et en 4'":                                              "R-R16 R-R4",
		"III/III 16' et 4'":                                                               "R-R16 R-R4",
		"III/I en 16, 8, 4 ; II/I 8":                                                      "R-G16 R-G R-G4 P-G",
		"Tirasse et accouplement : I/P, II/P, II/I":                                       "G-D P-D P-G",
		"Récit / G.O. 16-8-4":                                                             "R-G16 R-G R-G4",
		"Réc./G.O. 8' et 16' ; Pos./G.O. 8'":                                              "R-G R-G16 P-G",
		"Accouplements sur le G.O. : Positif, Récit":                                      "P-G R-G",
		"Accouplements au G.O. : Pos. 8, Réc. 8 et 16":                                    "P-G R-G R-G16",
		"Appels : Réc. sur G.O., Pos. sur G.O.":                                           "R-G P-G",
		"Suboctave Réc./G.O., superoctave Réc./G.O.":                                      "R-G16 R-G4",
	} {
		l := Read(organ + text + "\n")
		var got []string
		for _, c := range l.Couplers {
			got = append(got, string("GPRD"[c.Sounds])+"-"+string("GPRD"[c.Keys])+map[int]string{12: "4", -12: "16"}[c.Shift])
		}
		assert.ElementsMatch(t, strings.Fields(want), got, text)
		for _, line := range l.Lines {
			for _, r := range line.Readings {
				assert.NotEqual(t, IsUnread, r.What, "%s: %s", text, r.Text)
			}
		}
	}
}
