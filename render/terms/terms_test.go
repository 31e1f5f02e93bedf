package terms

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestAmerican(t *testing.T) {
	for british, american := range map[string]string{
		"slow to 60 crotchets a minute":                      "slow to 60 quarter notes a minute",
		"write a quaver rest, or a dotted minim early":       "write an eighth note rest, or a dotted half note early",
		"Semiquavers at bar 7, beat 2":                       "Sixteenth notes at measure 7, beat 2",
		"bars 3–5, every crotchet":                           "measures 3–5, every quarter note",
		"Bars 3-5":                                           "Measures 3-5",
		"155 bars, 12 notes":                                 "155 measures, 12 notes",
		"more than in 97 of 100 bars of organ music":         "more than in 97 of 100 measures of organ music",
		`{"crotchets_a_minute": 60, "bar": 7, "bars": []}`:   `{"crotchets_a_minute": 60, "bar": 7, "bars": []}`,
		`class="bar bars" bar-line`:                          `class="bar bars" bar-line`,
		"a demisemiquaver, a hemidemisemiquaver, semibreves": "a thirty-second note, a sixty-fourth note, whole notes",
		"Minimal crotchety Barcarolle":                       "Minimal crotchety Barcarolle",
	} {
		assert.Equal(t, american, American.Say(british))
		assert.Equal(t, british, British.Say(british))
		assert.Equal(t, american, American.Say(American.Say(british)), "said twice")
	}
}

func TestParse(t *testing.T) {
	s, err := Parse("American")
	require.NoError(t, err)
	require.Equal(t, American, s)
	_, err = Parse("klingon")
	require.ErrorContains(t, err, "british or american")
}
