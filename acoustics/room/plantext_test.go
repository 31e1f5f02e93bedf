package room

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestPlanComesBackFromItsFile(t *testing.T) {
	floor, err := ParseSurface("stone floor 600")
	require.NoError(t, err)
	own := Surface{Material: "our panel", AreaM2: 80}
	for i := range own.Alpha {
		own.Alpha[i] = float64(5*(i+1)) / 100
	}
	for _, p := range []Plan{
		{Name: "a", Title: `The "A"`, VolumeM3: 5000, Surfaces: []Surface{floor, own}, People: 120, TempC: 15, Humidity: 55},
		{Name: "b", Title: "B", VolumeM3: 900, SizeM: [3]float64{20, 9, 5}, Surfaces: []Surface{own, floor}, TempC: 20, Humidity: 50, Eyring: true},
	} {
		want, err := p.Room()
		require.NoError(t, err)
		var b bytes.Buffer
		require.NoError(t, p.WriteTOML(&b))
		got, err := Parse(b.Bytes(), "x.toml")
		require.NoError(t, err, b.String())
		require.Equal(t, want, got)
	}
}
