package finding

import (
	"go/ast"
	"go/token"
	"reflect"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestThresholdsAreNamedOnceAndUsed(t *testing.T) {
	uses := map[string]bool{}
	eachSource(t, ".", func(_ *token.FileSet, file *ast.File) {
		ast.Inspect(file, func(n ast.Node) bool {
			if x, ok := n.(*ast.SelectorExpr); ok {
				uses[x.Sel.Name] = true
			}
			return true
		})
	})
	seen := map[string]bool{}
	for _, f := range reflect.VisibleFields(reflect.TypeFor[Thresholds]()) {
		if f.Anonymous {
			continue
		}
		t.Run(f.Name, func(t *testing.T) {
			name := f.Tag.Get("name")
			assert.False(t, seen[name], "two limits are called %q", name)
			seen[name] = true
			assert.True(t, uses[f.Name], "no check asks for it")
		})
	}
	assert.Len(t, Table, len(seen))
}

func TestALimitThatLacksItsReasonIsAFault(t *testing.T) {
	type bare struct {
		MostS float64 `name:"most_s" default:"1" unit:"s"`
	}
	require.Panics(t, func() { tableOf(reflect.TypeFor[bare]()) })
}

func TestSet(t *testing.T) {
	limits := Defaults()
	require.NoError(t, limits.Set("vain_chords", 7))
	assert.Equal(t, 7, limits.VainChords)
	assert.Equal(t, 7.0, limits.Map()["vain_chords"])
	assert.Equal(t, 0.3, limits.StopReturnS)
	require.ErrorContains(t, limits.Set("vain_chords", 2.5), "a whole number")
	assert.ErrorContains(t, limits.Set("covered_shares", 1), `no threshold is called "covered_shares"; there are covered_share, `)
}
