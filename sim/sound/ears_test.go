package sound

import (
	"context"
	"fmt"
	"math"
	"testing"

	"afterchord/acoustics/air"
	"afterchord/acoustics/geometry"
	"afterchord/acoustics/response"
	"afterchord/acoustics/room"

	"github.com/stretchr/testify/require"
)

// sidedJob is a short note on a division at side m to the right of the middle.
func sidedJob(t *testing.T, side float64, dry, ears bool) Job {
	organ := simpleOrgan()
	organ.Divisions[0].Place = geometry.Point{X: side, Y: -1, Z: 1.2}
	hall := testRoom(t, 1.5)
	return Job{Organ: organ, Events: dryJob(note(0, 0, 69, 0.1, 1)).Events, Room: hall, Rate: testRate, Dry: dry, Ears: ears,
		Seat: room.Seat{At: geometry.Point{Y: 6, Z: 1.2}}, pipe: sinePipe(440, 1e6)}
}

// Without the room a tone from the side has the delay and the levels that one sphere gives: of both ears together the
// pressure of the plain sound.
func TestDryEars(t *testing.T) {
	for _, side := range []float64{-7, 0, 7} {
		t.Run(fmt.Sprint(side), func(t *testing.T) { // 45° to either side
			pl, _, _ := pressure(t, sidedJob(t, side, true, false))
			l, r, _ := pressure(t, sidedJob(t, side, true, true))
			from, to := testRate/2, testRate/2+testRate/4
			plain, left, right := meanSquare(pl[from:to]), meanSquare(l[from:to]), meanSquare(r[from:to])
			require.InDelta(t, 0, 10*math.Log10((left+right)/2/plain), 0.05, "%g m", side)
			// The tone's phase at each ear.
			phase := func(x []float64) float64 {
				var c, s float64
				for i := from; i < to; i++ {
					sin, cos := math.Sincos(2 * math.Pi * 440 * float64(i) / testRate)
					c, s = c+x[i]*cos, s-x[i]*sin
				}
				return math.Atan2(s, c)
			}
			lag := math.Remainder(phase(l)-phase(r), 2*math.Pi) / (2 * math.Pi * 440) // of the right ear, s
			level := 10 * math.Log10(left/right)
			t.Logf("%g m: the right ear is %.0f µs later and %.1f dB softer", side, lag*1e6, level)
			// 3(a/c)·sin 45°, the delay of a small sphere (Kuhn 1977, from memory), within the model's 15 %.
			want := -math.Copysign(3*response.HeadRadius/air.SpeedOfSound(18)*math.Sqrt(0.5), side)
			if side == 0 {
				want = 0
			}
			require.InDelta(t, want, lag, 0.15*math.Abs(want)+1e-9)
			require.Equal(t, math.Signbit(want) && want != 0, level < -1e-6, "%g m: %.2f dB", side, level)
		})
	}
}

func TestEarsInARoom(t *testing.T) {
	job := sidedJob(t, -4, false, true)
	job.pipe = harmonicPipes
	plain := sidedJob(t, -4, false, false)
	plain.pipe = harmonicPipes
	plainL, plainR, _ := pressure(t, plain)
	l, r, _ := pressure(t, job)
	db := 10 * math.Log10((meanSquare(l)+meanSquare(r))/(meanSquare(plainL)+meanSquare(plainR)))
	t.Logf("two ears %+.2f dB re the pair; left %+.1f dB re right", db, 10*math.Log10(meanSquare(l)/meanSquare(r)))
	require.InDelta(t, 0, db, 2, "a few partials in a room: interference")
	require.Greater(t, meanSquare(l), meanSquare(r))
	// The same each time, on one core or two, and with responses kept.
	job.Workers, job.Responses = 1, responsesOf(t, job)
	l2, r2, _ := pressure(t, job)
	require.True(t, same(l, l2) && same(r, r2))
}

func responsesOf(t *testing.T, job Job) *Responses {
	t.Helper()
	r, err := NewResponses(t.Context(), job)
	require.NoError(t, err)
	return r
}

// Responses that nobody waits for any more are not made.
func TestResponsesAreBrokenOff(t *testing.T) {
	ctx, leave := context.WithCancel(t.Context())
	leave()
	r, err := NewResponses(ctx, sidedJob(t, 1, false, false))
	require.ErrorIs(t, err, context.Canceled)
	require.Nil(t, r)
}

func TestEarsRefused(t *testing.T) {
	nothing := func([]float32) error { return nil }
	job := sidedJob(t, 1, false, true)
	job.Responses = responsesOf(t, sidedJob(t, 1, false, false))
	_, err := Render(context.Background(), job, nothing, nil)
	require.ErrorContains(t, err, "listener")
	recorded := *job.Room
	recorded.Measured = response.Whole(job.Room, geometry.Point{Y: -1, Z: 2}, job.Seat, testRate)
	job.Room, job.Responses = &recorded, nil
	_, err = Render(context.Background(), job, nothing, nil)
	require.ErrorIs(t, err, response.ErrRecorded)
	job.Dry = true // no recording in it
	_, err = Render(context.Background(), job, nothing, nil)
	require.NoError(t, err)
}
