package figures

import (
	"bytes"
	"image/png"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot"
)

func TestFigureIsSameBytesEachTime(t *testing.T) {
	draw := func() ([]byte, []byte) {
		p := NewPlot("Two lines", "time, s", "level, dB")
		require.NoError(t, AddLine(p, 0, "one", []float64{0, 1, 2}, []float64{60, 40, 20}))
		require.NoError(t, AddLine(p, 1, "two", []float64{0, 1, 2}, []float64{50, 50, 50}))
		f := Figure{Panels: []*plot.Plot{p, p}, Shares: []float64{2, 1}}
		svg, err := f.SVG()
		require.NoError(t, err)
		img, err := f.PNG()
		require.NoError(t, err)
		return svg, img
	}
	svg, img := draw()
	svg2, img2 := draw()
	require.Equal(t, svg, svg2)
	require.True(t, bytes.Equal(img, img2))
	decoded, err := png.Decode(bytes.NewReader(img))
	require.NoError(t, err)
	require.InDelta(t, 16/2.54*150, decoded.Bounds().Dx(), 2, "16 cm at 150 dots an inch")
	require.Contains(t, string(svg), "sans-serif")
}

func TestAddLineRefusesUnequalLengths(t *testing.T) {
	require.Error(t, AddLine(NewPlot("x", "", ""), 0, "", []float64{1, 2}, []float64{1}))
}
