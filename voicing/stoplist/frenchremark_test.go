package stoplist

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// What French lists say behind a stop.
func TestFrenchRemarks(t *testing.T) {
	const organ = "Grand-Orgue (56 notes)\nMontre 8'\nBourdon 8'\nTrompette 8'\nRécit expressif (56 notes)\nFlûte à cheminée 8'\nGambe 8'\nPédale (30 notes)\nSoubasse 16'\n"
	for text, want := range map[string]string{
		"Dulciane 8' (anche)":                              "Dulciane 8 (half-length reed)",
		"Dulciane 8' (jeu d'anche)":                        "Dulciane 8 (half-length reed)",
		"Flûte 4' (id.)":                                   "Flûte 4 (open flute)",
		"Flûte 8' (transmission du Bourdon 8' du GO)":      "Flûte 8 (stopped flute), borrowed",
		"Flûte 8 (transm. Bourdon GO)":                     "Flûte 8 (stopped flute), borrowed",
		"Bourdon 8' (ext. Soubasse)":                       "Bourdon 8 (stopped flute), borrowed",
		"Bourdon 8' (prolongement de la Soubasse)":         "Bourdon 8 (stopped flute), borrowed",
		"Trompette 8' (par transmission)":                  "Trompette 8 (open reed), borrowed",
		"Trompette 8' (emprunt)":                           "Trompette 8 (open reed), borrowed",
		"Trompette 8' (emprunté au G.O.)":                  "Trompette 8 (open reed), borrowed",
		"Trompette 8' (tr. du G.O.)":                       "Trompette 8 (open reed), borrowed",
		"Flûte 8' (basse commune avec le Bourdon)":         "Flûte 8 (open flute)",
		"Cornet V (dessus)":                                "Cornet, 5 ranks from 8 (cornet), from C4",
		"Hautbois 8' (dessus)":                             "Hautbois 8 (open reed), from C4",
		"Clairon 4' (basse)":                               "Clairon 4 (open reed), up to B3",
		"Cornet V (à partir du 2e ut)":                     "Cornet, 5 ranks from 8 (cornet), from C3",
		"Cornet 5 rangs (2e octave)":                       "Cornet, 5 ranks from 8 (cornet), from C3",
		"Cornet V (3e ut)":                                 "Cornet, 5 ranks from 8 (cornet), from C4",
		"Voix céleste 8 (2e do)":                           "Voix céleste 8 (string, celeste), from C3",
		"Cornet V (ut3)":                                   "Cornet, 5 ranks from 8 (cornet), from C4",
		"Cornet V, à partir du do3":                        "Cornet, 5 ranks from 8 (cornet), from C4",
		"Cornet V rangs (dès do 3)":                        "Cornet, 5 ranks from 8 (cornet), from C4",
		"Cornet V (à partir du troisième do)":              "Cornet, 5 ranks from 8 (cornet), from C4",
		"Unda maris 8' (à partir de l'ut 2)":               "Unda maris 8 (string, celeste), from C3",
		"Salicional 8' (12 basses communes avec la flûte)": "Salicional 8 (open string)",
		"Montre 8' (en façade)":                            "Montre 8 (open principal)",
		"Prestant 4' (étain, en façade dès do2)":           "Prestant 4 (open principal)",
		"Flûte 8' (ouverte)":                               "Flûte 8 (open flute)",
		"Flûte 8' (les 12 premières notes bouchées)":       "Flûte 8 (open flute)",
		"Bourdon 16' (bois et étoffe)":                     "Bourdon 16 (stopped flute)",
		"Trompette 8' (en chamade)":                        "Trompette 8 (open reed)",
		"Trompette 8' B et D":                              "Trompette 8 (open reed)",
		"Trompette 8' (basse et dessus)":                   "Trompette 8 (open reed)",
		"Voix humaine 8' (ancienne)":                       "Voix humaine 8 (half-length reed)",
		"Plein-jeu IV rangs (1' 1/3)":                      "Plein-jeu, 4 ranks from 1 1/3 (mixture)",
		"Fourniture IV (2')":                               "Fourniture, 4 ranks from 2 (mixture)",
		"Nazard 2' 2/3":                                    "Nazard 2 2/3 (open flute)",
		"Tierce 1' 3/5":                                    "Tierce 1 3/5 (open flute)",
		"Sifflet 1' (neuf)":                                "Sifflet 1 (open flute)",
	} {
		l := Read(organ + "Positif (56 notes)\nBourdon 8'\n" + text + "\n")
		assert.Equal(t, "Positif: "+want, said(l, 12), text)
	}
}
