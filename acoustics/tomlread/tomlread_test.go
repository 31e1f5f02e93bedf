package tomlread_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/tomlread"
)

func TestMistakesAreSaidInWords(t *testing.T) {
	var v struct {
		Name   string
		People int
		RT     map[string]float64 `toml:"rt"`
		Warm   *float64
		Pews   []struct{ Rows int }
		Flat   bool
	}
	for text, want := range map[string]string{
		"name = 3":                 "line 1: name: a number stands where text in quotes goes",
		"\npeople = \"x\"":         "line 2: people: text stands where a whole number without quotes goes",
		"[rt]\n125 = \"a\"":        "line 2: rt.125: text stands where a number without quotes goes",
		"warm = \"very\"":          "line 1: warm: text stands where a number without quotes goes",
		"pews = 3":                 "line 1: pews: a number stands where a list goes",
		"flat = 1":                 "line 1: flat: a number stands where true or false goes",
		"rt = 2":                   "line 1: rt: a number stands where a table goes",
		"[pew]\nrows = 1":          `line 1: unknown key "pew"; known here: flat, name, people, pews, rt, warm`,
		"[[pews]]\nrow = 1":        `line 2: unknown key "pews.row"; known here: rows`,
		"name = \"x":               "line 1: ",
		"flat = true\nflat = true": "line 2: key flat is already defined; keep one of them",
		"%PDF-1.4\n1 0 obj":        "line 1: no line of this file is a setting",
		"Great\nPrincipal 8\n":     "line 1: no line of this file is a setting",
		"name = \"x\"\n30 m long":  "write one setting to a line",
		"name = \"x\"\nnot =":      "line 2: ",

		"name = “x”":                                 "line 1: curly quotes stand where straight ones go; write \"…\"",
		"warm = 3,5":                                 "line 1: 3,5 has a comma; write a point: 3.5",
		"people = 30 m³ # big":                       `line 1: a number with "m³" behind it; give the number alone, in the unit of the setting: 30`,
		"flat = yes":                                 `line 1: "yes" has no quotes; put text into quotes`,
		"[[pews]]\nrows = 1\n[pews]\nrows = 2\n":     "line 3: [pews] stands where there may be several; write [[pews]], with two brackets",
		"pews = [\n { rows = 1 }\n\n { rows = 2 } ]": "line 2: expected ',' or ']'",
	} {
		t.Run(text, func(t *testing.T) {
			err := tomlread.Strict([]byte(text), &v)
			require.ErrorContains(t, err, want)
			require.NotRegexp(t, `struct|float64|\n`, err.Error())
		})
	}
	require.NoError(t, tomlread.Strict([]byte("\ufeffname = \"x\""), &v), "as some editors begin a file")
	tree, err := tomlread.Tree([]byte("\ufeffname = \"x\""))
	require.NoError(t, err)
	require.Equal(t, "x", tree["name"])
}
