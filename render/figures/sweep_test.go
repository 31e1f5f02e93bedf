package figures

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// keep leaves the picture for the eye where AFTERCHORD_LOOK names a folder.
func keep(t *testing.T, name string, f Figure) {
	t.Helper()
	img, err := f.PNG()
	require.NoError(t, err)
	svg, err := f.SVG()
	require.NoError(t, err)
	require.NotEmpty(t, svg)
	if dir := os.Getenv("AFTERCHORD_LOOK"); dir != "" {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name+".png"), img, 0o644))
	}
}

func TestHeatMapIsDrawn(t *testing.T) {
	f, err := HeatMap(Heat{Title: "Blurred at the drop", Unit: "s", RowName: "room", ColName: "tempo, crotchets a minute", Decimals: 1,
		Rows: []string{"practice room", "chapel", "cathedral"}, Cols: []string{"60", "72", "90", "120"},
		Values: [][]float64{{0, 0, 0, 0.1}, {0.2, 0.3, 0.5, 0.8}, {1.1, 1.5, math.NaN(), 2.8}}})
	require.NoError(t, err)
	keep(t, "figure-heat", f)
}

func TestFiguresRefuseWhatCannotBeDrawn(t *testing.T) {
	_, err := HeatMap(Heat{Rows: []string{"a"}, Cols: []string{"b"}, Values: [][]float64{{1, 2}}})
	require.Error(t, err)
}

func TestHeatGrowsDarker(t *testing.T) {
	last := 300.0
	for s := 0.0; s <= 1; s += 0.05 {
		c := Heated(s)
		l := 0.2126*float64(c.R) + 0.7152*float64(c.G) + 0.0722*float64(c.B)
		require.Less(t, l, last)
		last = l
	}
}
