package field

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"afterchord/acoustics/longtest"
	"afterchord/sim/performance"
	"afterchord/sim/pipework"

	"github.com/stretchr/testify/require"
)

// line is seeded music for testHall: notes of both stops, held over one another and struck at all moments of a frame, with a rest and a fall of level
// in the middle.
func line(r *rand.Rand, seconds float64) (events []pipework.Event, notes []performance.Note) {
	for at := 0.5; at < seconds; at += 0.05 + 0.4*r.Float64() {
		stop := 0
		if at > seconds/2 {
			stop = 1
		}
		if at > 0.45*seconds && at < 0.55*seconds {
			continue
		}
		x := event(stop, 40+r.IntN(50), at, at+0.1+1.5*r.Float64())
		x.Note = int32(len(notes))
		events = append(events, x)
		notes = append(notes, performance.Note{OnS: x.OnS, OffS: x.OffS, Key: int(x.Pipe.Key)})
	}
	return events, notes
}

// A run beside another is to the bit what it is by itself, whatever has changed, and computes only what has changed and what rings of it.
func TestRunBeside(t *testing.T) {
	taken, all := 0, 0
	for seed := range longtest.Of(6, 200) {
		r := rand.New(rand.NewPCG(uint64(seed), 18))
		h := testHall(t, []float64{0.5, 1.5, 4}[seed%3], true).Remembering()
		events, notes := line(r, 60)
		play := func(base *Field, events []pipework.Event, notes []performance.Note) *Field {
			f, err := RunBeside(context.Background(), base, h, events, &performance.Performance{Notes: notes})
			require.NoError(t, err)
			return f
		}
		old := play(nil, events, notes)
		require.True(t, slices.ContainsFunc(old.Onsets, func(o Onset) bool { return len(o.Total) > 0 }), "no fall of level")
		for range 4 {
			e, n := slices.Clone(events), slices.Clone(notes)
			for range 1 + r.IntN(2) {
				switch i := r.IntN(len(e)); r.IntN(4) {
				case 0: // shorter
					e[i].OffS = (e[i].OnS + e[i].OffS) / 2
					n[i].OffS = e[i].OffS
				case 1: // longer
					e[i].OffS += 0.7
					n[i].OffS = e[i].OffS
				case 2: // another pipe
					e[i].Pipe.Key ^= 1
				case 3: // gone
					e, n = slices.Delete(e, i, i+1), slices.Delete(n, i, i+1)
					for ; i < len(e); i++ {
						e[i].Note--
					}
				}
			}
			alone, beside := play(nil, e, n), play(old, e, n)
			require.Equal(t, alone.LevelDB, beside.LevelDB)
			require.Equal(t, alone.ResidueDB, beside.ResidueDB)
			require.Equal(t, alone.Onsets, beside.Onsets)
			taken, all = taken+takenOver(beside, old), all+len(beside.trail.points)
			again := play(beside, e, n)
			require.Equal(t, alone.Onsets, again.Onsets)
			require.Greater(t, takenOver(again, beside), len(beside.trail.points)*8/10, "nothing has changed")
			back := play(beside, events, notes)
			require.Equal(t, old.LevelDB, back.LevelDB)
			require.Equal(t, old.Onsets, back.Onsets)
		}
	}
	require.Greater(t, taken, all/2)
}

// takenOver is how many checkpoints of f are those of another run.
func takenOver(f, other *Field) int {
	n := 0
	for _, c := range f.trail.points {
		if slices.ContainsFunc(other.trail.points, func(o checkpoint) bool { return o.moment == c.moment }) {
			n++
		}
	}
	return n
}

// Two boxes move alike until the last move that they have in common.
func TestSameBox(t *testing.T) {
	a := []performance.BoxMove{{AtS: 1, Open: 0.1}, {AtS: 2, Open: 0.2}, {AtS: 3, Open: 0.3}, {AtS: 4, Open: 0.4}}
	require.Greater(t, sameBox(a, a, 0), 1e9)
	require.Equal(t, 2.0, sameBox(a, []performance.BoxMove{a[0], a[1], a[3]}, 0))
	require.Equal(t, 3.5, sameBox(a, a[:3], 3.5), "one stands still")
	require.Greater(t, sameBox(a, a[1:], 2.5), 1e9, "what is past does not count")
	require.Equal(t, 0.0, sameBox(a, nil, 0), "a box that is never moved stands open")
}

// A long piece has no more checkpoints than a bound.
func TestTrailIsBounded(t *testing.T) {
	for _, frames := range []int{100, 50_000, 1_000_000} {
		trail := newTrail(frames)
		require.LessOrEqual(t, frames/trail.every, mostCheckpoints)
		require.Zero(t, trail.every%settleFrames)
	}
}
