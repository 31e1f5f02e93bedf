package wordlist

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestWordsStandByMeaningAndLanguage(t *testing.T) {
	got, err := Read("f.txt", "# a comment\nswell | box\n  de: Schwellwerk, Schwell\n  fr: \"Récit, expressif\", Récit\n\ngreat\n  en: Great\n")
	require.NoError(t, err)
	require.Equal(t, []Section{
		{"swell | box", 2, []List{{"de", []string{"Schwellwerk", "Schwell"}, 3}, {"fr", []string{"Récit, expressif", "Récit"}, 4}}},
		{"great", 6, []List{{"en", []string{"Great"}, 7}}},
	}, got)
}

func TestAFaultNamesItsLine(t *testing.T) {
	for text, want := range map[string]string{
		"  de: Schwell":          "f.txt:1: words before any heading",
		"swell\n\n  Schwellwerk": `f.txt:3: "Schwellwerk" does not begin with a language`,
		"swell\n  de: a, , b":    `f.txt:2: no word between two commas in " a, , b"`,
		"swell\n  de: \"a, b":    "f.txt:2: ",
	} {
		_, err := Read("f.txt", text)
		require.ErrorContains(t, err, want)
	}
}
