package room

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"afterchord/acoustics/air"
	"afterchord/acoustics/decay"
	"afterchord/acoustics/geometry"
	"afterchord/acoustics/impulse"
	"afterchord/acoustics/measure"
	"afterchord/acoustics/octave"

	"github.com/stretchr/testify/require"
)

// Large churches ring some 7.1 to 7.5 s empty and about 5 s full (figures reported for a large domed church; from memory): the
// built-in cathedral, of 7 s, comes to between 4 and 5.5 s.
func TestAFullCathedral(t *testing.T) {
	r, _ := BuiltIn("cathedral")
	n, err := r.ParsePeople("full")
	require.NoError(t, err)
	full, err := r.WithPeople(n)
	require.NoError(t, err)
	mid := (full.RT60[4] + full.RT60[5]) / 2
	t.Logf("%d people: %.1f s", n, mid)
	require.True(t, mid > 4 && mid < 5.5, "%.2f s", mid)
	require.Equal(t, 7.0, (r.RT60[4]+r.RT60[5])/2, "the room itself is left alone")
	half, err := r.WithPeople(n / 2)
	require.NoError(t, err)
	for b := range r.RT60 {
		require.Less(t, full.RT60[b], half.RT60[b])
		require.Less(t, half.RT60[b], r.RT60[b])
	}
}

func TestPeopleRefused(t *testing.T) {
	r, _ := BuiltIn("chapel")
	for _, s := range []string{"-1", "many", "1.5"} {
		t.Run(s, func(t *testing.T) {
			_, err := r.ParsePeople(s)
			require.Error(t, err, s)
		})
	}
	_, err := r.WithPeople(100000)
	require.Error(t, err)
}

// A case of 10 m in a room of 2.75 m stands below its ceiling.
func TestTheOrganFitsIntoTheRoom(t *testing.T) {
	for _, name := range BuiltIns() {
		r, _ := BuiltIn(name)
		for _, p := range []geometry.Point{{X: 2.5, Y: -5, Z: 9.5}, {X: -30, Y: -200, Z: 0}, {Z: 1}} {
			t.Run(fmt.Sprint(p), func(t *testing.T) {
				q := r.Fit(p)
				require.LessOrEqual(t, q.Z, r.SizeM[2])
				require.LessOrEqual(t, q.X, r.SizeM[1]/2)
				require.GreaterOrEqual(t, q.X, -r.SizeM[1]/2)
				require.GreaterOrEqual(t, q.Y, -r.SizeM[0])
				require.Equal(t, q, r.Fit(q), "inside it stays where it is")
			})
		}
	}
}

// A recorded response with people in it decays in each band in the time that Sabine's formula gives, and its direct sound stays.
func TestPeopleInARecording(t *testing.T) {
	const rate = 24000
	random := rand.New(rand.NewPCG(3, 4))
	resp := &impulse.Response{Rate: rate, L: make([]float64, 5*rate), R: make([]float64, 5*rate)}
	for i := range resp.L {
		g := math.Exp(-decay.Rate(3) / 2 * float64(i) / rate)
		resp.L[i], resp.R[i] = g*random.NormFloat64(), g*random.NormFloat64()
	}
	resp.L[0], resp.R[0] = 20, 20
	r, err := FromResponse(resp, "x")
	require.NoError(t, err)
	full, err := r.WithPeople(r.Capacity())
	require.NoError(t, err)
	require.Less(t, full.RT(1000), 0.8*r.RT(1000))
	before, err := measure.Response(r.Measured)
	require.NoError(t, err)
	after, err := measure.Response(full.Measured)
	require.NoError(t, err)
	for b := 3; b <= 7; b++ {
		c := air.SpeedOfSound(r.TempC)
		want := sooner(before.Bands[b].T30.Value, float64(r.Capacity())*PersonArea()[b], r.VolumeM3, c)
		require.InEpsilon(t, want, after.Bands[b].T30.Value, 0.03, "%g Hz", octave.Centres[b])
	}
	peak := func(x []float64) (most float64) {
		for _, v := range x {
			most = max(most, math.Abs(v))
		}
		return most
	}
	require.InEpsilon(t, peak(r.Measured.L), peak(full.Measured.L), 0.02)
	require.NotEmpty(t, full.Cautions)
	require.Empty(t, r.Cautions)
}
