package desk

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/acoustics/longtest"
	"afterchord/render/terms"
	"afterchord/voicing/stoplist"
)

// What is read of printed stop lists, and asked and assumed of them, is said in every language.
func TestReadingsOfStopListsAreWhole(t *testing.T) {
	files, err := filepath.Glob("../../voicing/stoplist/testdata/lists/*.txt")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	each := longtest.Of(12, 1)
	seen := map[string]bool{}
	for i := 0; i < len(files); i += each {
		data, err := os.ReadFile(files[i])
		require.NoError(t, err)
		list := stoplist.Read(stoplist.Decode(data))
		texts := append(list.Supposed(), list.Doubts()...)
		for _, line := range list.Lines {
			for _, x := range line.Readings {
				if texts = append(texts, x.Ask); x.What != stoplist.IsUnread && x.What != stoplist.IsProse && x.What != stoplist.IsExtra {
					texts = append(texts, x.Text)
				}
			}
		}
		for name, l := range terms.Languages() {
			said := sayList(l, list)
			for _, text := range texts {
				if _, ok := said[text]; !ok && text != "" && !seen[text] {
					seen[text] = true
					assert.Fail(t, "not said", "%s, %s: %q", name, filepath.Base(files[i]), text)
				}
			}
		}
	}
}

// A reading is said as an organist of the country writes it, with the names as they are printed.
func TestReadingsOfAStopListInGerman(t *testing.T) {
	list := stoplist.Read("Hauptwerk C-g3\nPrincipal 8'\nMixtur 4f.\nOctav Disc. 2'\nBrzzl. 8\n\nSchwellwerk (schwellbar) C-g3\nGedackt 8\nPedal C-f1\nSubbaß 16\nHW/P\nSW/HW 4'\nIX/Q")
	said := sayList(terms.Languages()["de"], list)
	for english, german := range map[string]string{
		"Hauptwerk, C2-G6":                                "Hauptwerk, C–g′′′",
		"Hauptwerk: Principal 8 (open principal)":         "Hauptwerk: Principal 8 (offener Prinzipal)",
		"Hauptwerk: Mixtur, 4 ranks from 1 1/3 (mixture)": "Hauptwerk: Mixtur, 4fach ab 1 1/3′ (Mixtur)",
		"composition not printed: from 1 1/3 ft":          "Zusammensetzung nicht gedruckt: ab 1 1/3′",
		"Hauptwerk to Pedal":                              "Hauptwerk an Pedal",
		"Schwellwerk octave to Hauptwerk":                 "Schwellwerk an Hauptwerk, Superoktave",
		"no date found: an organ of today":                "kein Baujahr gefunden: eine Orgel von heute",
		"wind not given: 75 mm, pedal 80 mm":              "Wind nicht angegeben: 75 mm, Pedal 80 mm",
	} {
		assert.Equal(t, german, said[english], english)
	}
	asked := false
	for _, line := range list.Lines {
		for _, x := range line.Readings {
			if x.What == stoplist.IsUnread {
				asked = true
				assert.Contains(t, said[x.Ask], "sonst so lassen", x.Ask)
			}
		}
	}
	assert.True(t, asked)
}

// The page of the desk gets what was read in the language that it asks for.
func TestStopListAtTheDeskInALanguage(t *testing.T) {
	_, s := newTestDesk(t, Options{})
	resp, data := newClient(t, s).send("POST", "/api/describe/organ", []byte("Hauptwerk C-g3\nPrincipal 8\nGedackt 8\n"), "X-Terms", "de")
	require.Equal(t, 200, resp.StatusCode, string(data))
	var reply stopListReply
	require.NoError(t, json.Unmarshal(data, &reply))
	require.Equal(t, "Hauptwerk, C–g′′′", reply.Said[reply.Lines[0].Readings[0].Text])
}
