package room

import (
	"fmt"
	"testing"

	"afterchord/acoustics/geometry"

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
