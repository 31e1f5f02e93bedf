package measure

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// joinedOf are takes of one recording, of which so many are good and so many bent; what is wrong with a last one, where something is.
func joinedOf(good, bent int, wrong string) Joined {
	var j Joined
	for range good {
		j.Takes = append(j.Takes, Take{Used: true})
	}
	for range bent {
		j.Takes = append(j.Takes, Take{wrong: notStraight})
	}
	if wrong != "" {
		j.Takes = append(j.Takes, Take{wrong: wrong})
	}
	return j
}

// A bent decay among more straight ones is its own affair; as many bent as straight, or a gate, tell of the recorder.
func TestOneBentTakeSpoilsNoRecording(t *testing.T) {
	for _, x := range []struct {
		good, bent int
		wrong      string
		used       int
	}{{2, 1, "", 2}, {1, 1, "", 0}, {1, 2, "", 0}, {3, 0, gated, 0}, {3, 1, regain, 0}} {
		j := joinedOf(x.good, x.bent, x.wrong)
		j.distrust()
		used := 0
		for _, take := range j.Takes {
			if take.Used {
				used++
			}
		}
		require.Equal(t, x.used, used, "%+v", x)
	}
}

// A level that stands over the noise but falls in no line, or does not stand over it, makes no church.
func TestNoTakeTellsOfTheRoom(t *testing.T) {
	j := joinedOf(0, 2, "")
	band := &j.Result.Bands[5]
	for _, x := range []struct {
		rangeDB, xi float64
		tells       bool
	}{{40, 5, true}, {40, 270, false}, {30, 5, false}, {40, math.NaN(), false}} {
		band.RangeDB, band.NonLinearity.Value = x.rangeDB, x.xi
		require.Equal(t, x.tells, j.Tells(), "%+v", x)
	}
	j.Takes[1].Used = true
	require.True(t, j.Tells())
}

// The time of the one frequency that is sure stands for both.
func TestMidTimeOfOneFrequency(t *testing.T) {
	var r Result
	_, ok := r.MidTime()
	require.False(t, ok)
	r.Bands[5].T30 = Figure{Value: 3, Reliable: true}
	s, ok := r.MidTime()
	require.True(t, ok)
	require.Equal(t, 3.0, s)
	r.Bands[4].T30 = Figure{Value: 4, Reliable: true}
	s, _ = r.MidTime()
	require.Equal(t, 3.5, s)
}
