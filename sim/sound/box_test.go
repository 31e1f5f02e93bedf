package sound

import (
	"math"
	"testing"

	"afterchord/acoustics/octave"
	"afterchord/acoustics/radiation"
	"afterchord/sim/performance"
	"afterchord/sim/pipework"

	"github.com/stretchr/testify/require"
)

// A shut box does not point: what comes straight from it has lost more of its treble than the box takes from all of the sound, and what comes
// after has lost what the box takes. Both branches say so.
func TestShutBoxIsTurnedAway(t *testing.T) {
	hall := testRoom(t, 4)
	seat, err := hall.Seat("front")
	require.NoError(t, err)
	for _, hz := range []float64{1000, 4000} {
		job := Job{Organ: simpleOrgan(), Events: []pipework.Event{note(1, 0, 60, 0, 1)}, Room: hall, Seat: seat, Rate: testRate}
		job.pipe = sinePipe(hz, 1e9)
		place := job.Organ.Divisions[1].Place
		path := hall.Path(place, seat)
		first := int((0.01 + path.DelayS) * testRate)
		level := func(open float64) (direct, later float64) {
			job.Box = []performance.BoxMove{{Division: 1, Open: open}}
			l, r, _ := pressure(t, job)
			power := func(from, to int) float64 {
				return 10 * math.Log10(meanSquare(l[first+from:first+to])+meanSquare(r[first+from:first+to]))
			}
			return power(0, 100), power(testRate+testRate/4, testRate+testRate) // 2 ms; what rings after it has stopped
		}
		direct, later := level(1 - 1e-6) // the filters run
		shut, after := level(0)
		b := octave.Index(hz)
		cos, closed := hall.Ahead(place, seat), job.Organ.Divisions[1].Box.ClosedDB[b]
		aim := 10 * math.Log10(radiation.Toward(cos, 1)[b]/radiation.Toward(cos, 0)[b])
		t.Logf("%g Hz: straight %.2f dB, later %.2f dB, for %.1f and %.1f", hz, shut-direct, after-later, closed+aim, closed)
		require.InDelta(t, closed+aim, shut-direct, 1.2, "the first reflections are not turned away")
		require.Less(t, shut-direct, closed+aim/2)
		require.InDelta(t, closed, after-later, 0.3)
	}
}
