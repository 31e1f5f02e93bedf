package report

import (
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/finding"
)

// The two sides of a cure stand on the same axes, so that it is seen.
func TestSidesShareTheirAxes(t *testing.T) {
	long := finding.Trace{FromS: 10, StepS: 0.1, OldDB: []float32{85, 80, 75, 70}, NewDB: []float32{60, 64, 65, 65}}
	short := finding.Trace{FromS: 10, StepS: 0.1, OldDB: []float32{66, 60}, NewDB: []float32{55, 64}}
	a := axesOf(&long, &short)
	require.Equal(t, tracePictureOn(long, a).YTicks, tracePictureOn(short, a).YTicks)
	require.Equal(t, tracePictureOn(long, a).XTicks, tracePictureOn(short, a).XTicks)
	require.NotEqual(t, tracePicture(long).YTicks, tracePicture(short).YTicks)
}
