package room

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/impulse"
)

// A measured room is one file: written and read again it has its sound, times and cautions.
func TestMeasuredRoomIsOneFile(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	x := make([]float64, 32000)
	for i := range x {
		x[i] = rng.NormFloat64()*math.Pow(10, -3*float64(i)/16000/1.2) + 1e-5*rng.NormFloat64()
	}
	made, err := FromResponse(&impulse.Response{Rate: 16000, L: x, R: x}, "claps")
	require.NoError(t, err)
	made.Cautions = []string{"a single clap"}
	var text strings.Builder
	require.NoError(t, made.WriteTOML(&text))
	read, err := Parse([]byte(text.String()), "claps.toml")
	require.NoError(t, err)
	require.Equal(t, made.Cautions, read.Cautions)
	require.InDelta(t, made.MidRT(), read.MidRT(), 0.001)
	require.InEpsilon(t, made.Measured.L[100], read.Measured.L[100], 0.01)

	damaged := strings.Replace(text.String(), "wav = \"\"\"\nU", "wav = \"\"\"\n!", 1)
	_, err = Parse([]byte(damaged), "claps.toml")
	require.ErrorContains(t, err, "copy the room file again, whole")
}

// Bands that a table of times leaves out are said; without the two that a room is called by there is no room.
func TestTimesNotGiven(t *testing.T) {
	r, err := Parse([]byte("volume = 3000\n[rt60]\n\"125\" = 3\n\"1000\" = 2.5\n"), "x.toml")
	require.NoError(t, err)
	require.Equal(t, []string{"no reverberation time is given at 31.5, 63, 250, 500, 2000, 4000, 8000 Hz: that of the nearest band is taken"}, r.Cautions)
	_, err = Parse([]byte("volume = 3000\n[rt60]\n\"500\" = 3\n\"1000\" = 2.5\n\"1000.0\" = 2\n"), "x.toml")
	require.ErrorContains(t, err, "x.toml:5: rt60: 1000 Hz is given twice")
	_, err = Parse([]byte("volume = 3000\n[rt60]\n\"125\" = 3\n"), "x.toml")
	require.EqualError(t, err, "x.toml:3: rt60: give the times at 500 and 1000 Hz, on which the reverberation time of a room rests")
}
