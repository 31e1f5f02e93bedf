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
