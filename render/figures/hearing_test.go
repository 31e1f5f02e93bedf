package figures

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestHearingIsDrawn(t *testing.T) {
	f, err := Hearing()
	require.NoError(t, err)
	require.Len(t, f.Panels, 3)
	svg, err := f.SVG()
	require.NoError(t, err)
	require.Contains(t, string(svg), "Partial loudness")
}
