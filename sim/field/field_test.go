package field

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"testing"
	"time"

	"afterchord/acoustics/decay"
	"afterchord/acoustics/geometry"
	"afterchord/acoustics/hearing"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/room"
	"afterchord/sim/performance"
	"afterchord/sim/pipework"
	"afterchord/voicing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// testHall is a one-stop organ in a room of T = rt in every band; direct says whether the direct
// sound is kept. Pipes speak and stop at once, so that the room alone is seen.
func testHall(t testing.TB, rt float64, direct bool) *Hall {
	t.Helper()
	o := &voicing.Organ{Name: "test", PitchHz: 440, Divisions: []voicing.Division{{
		Name: "Great", LowKey: 36, HighKey: 96, Place: geometry.Point{Y: -1, Z: 5}, Stops: make([]voicing.Stop, 2)}}}
	r := &room.Room{Name: "test", VolumeM3: 10000, SizeM: [3]float64{50, 20, 10}, RT60: octave.Flat(rt), TempC: 20, Humidity: 50,
		NoiseDB: octave.Flat(-20)}
	h := NewHall(o, r, room.Seat{Name: "x", At: geometry.Point{Y: 25, Z: 1.2}}, hearing.New(hearing.Options{}), nil)
	for b := range h.rate { // within an octave the air makes a difference
		h.rate[b] = [maxTerms]float64{decay.Rate(rt)}
	}
	if !direct {
		clear(h.direct[0])
	}
	h.addUp()
	for stop := range 2 {
		for key := 36; key <= 96; key++ {
			id := voicing.PipeID{Stop: uint8(stop), Key: uint8(key)}
			hz := 440 * math.Pow(2, float64(key-69)/12)
			power := 1e6
			if stop == 1 {
				power = 1e4
			}
			h.voices[h.base[0][stop]+key].Store(h.newVoice(voicing.Pipe{ID: id, Hz: hz, Partials: []voicing.Partial{{N: 1, Hz: hz, Power: power, RiseS: 1e-3}},
				Speech: voicing.Speech{ReleaseS: 1e-3}}))
		}
	}
	return h
}

func event(stop, key int, on, off float64) pipework.Event {
	return pipework.Event{Pipe: voicing.PipeID{Stop: uint8(stop), Key: uint8(key)}, OnS: on, OffS: off}
}

func (h *Hall) db(events []pipework.Event, t float64) float64 {
	dst := make([]float64, h.Model.N())
	for i := range events {
		h.Pipe(dst, &events[i], t)
	}
	return DB(dst)
}

// Energy decay 10^(-6t/T): the definition of reverberation time (ISO 3382-1, 3.5).
func TestReleasedNoteFallsBySixtyDecibelsInT(t *testing.T) {
	for _, rt := range []float64{0.5, 1, 2, 4, 7, 12} {
		h := testHall(t, rt, false)
		e := []pipework.Event{event(0, 60, 0, 5*rt)}
		off := 5*rt + h.Paths[0].DelayS
		assert.InDelta(t, 50, h.db(e, off+0.05)-h.db(e, off+0.05+rt*50/60), 0.01, "T = %g", rt)
	}
}

// The dip between repeated notes in the reverberant field alone is 60·gap/T dB (closed form).
func TestDipBetweenRepeatedNotes(t *testing.T) {
	for _, rt := range []float64{1, 2, 4, 7} {
		for _, gap := range []float64{0.05, 0.1, 0.2, 0.4} {
			h := testHall(t, rt, false)
			on := 6 * rt
			e := []pipework.Event{event(0, 60, 0, on), event(0, 60, on+gap, 2*on)}
			d := h.Paths[0].DelayS
			// the pipes' own 1 ms of speech and release is the tolerance
			assert.InDelta(t, 60*gap/rt, h.db(e, on+d)-h.db(e, on+gap+d), 60*0.002/rt, "T = %g, gap = %g", rt, gap)
		}
	}
}

// After a drop of ΔL the old sound equals the new one after T·ΔL/60 (closed form): the new
// passage has its steady level at once here, as its direct sound alone is heard.
func TestDropIsEqualAfterTTimesDropOverSixty(t *testing.T) {
	for _, rt := range []float64{1, 2, 4, 7} {
		for _, drop := range []float64{6, 12, 18, 24} {
			h := testHall(t, rt, false)
			end := 6 * rt
			old := []pipework.Event{event(0, 60, 0, end)}
			d := h.Paths[0].DelayS
			steady := h.db(old, end+d)
			lo, hi := end+d, end+d+4*rt
			for range 60 {
				mid := (lo + hi) / 2
				if h.db(old, mid) > steady-drop {
					lo = mid
				} else {
					hi = mid
				}
			}
			assert.InDelta(t, rt*drop/60, lo-end-d, 0.003, "T = %g, drop = %g", rt, drop)
		}
	}
}

// Nothing is told from what rounding leaves, which hangs on the processor.
func TestWhatRoundingLeavesIsNothing(t *testing.T) {
	speaking := []float64{0, 0}
	pipes := [][]float64{{0.1, 1}, {0.2, 1e-9}, {0.3, 1}}
	for _, p := range pipes {
		add(speaking, p)
	}
	takeAway(speaking, pipes[0])
	takeAway(speaking, pipes[2])
	require.InEpsilon(t, 1e-9, speaking[1], 1e-5, "a weak pipe speaks on")
	takeAway(speaking, pipes[1])
	require.Zero(t, speaking[0])

	require.Equal(t, float32(-99), frameDB(1e-8))
	require.Equal(t, float32(0), frameDB(1))
}

// The frame engine and the closed form are two ways to the same energies.
func TestEngineAgreesWithClosedForm(t *testing.T) {
	for _, direct := range []bool{false, true} {
		t.Run(fmt.Sprint(direct), func(t *testing.T) {
			h := testHall(t, 2.8, direct)
			events := []pipework.Event{event(0, 48, 0, 1.1), event(0, 60, 0.31, 0.9), event(1, 64, 0.5, 2), event(0, 60, 1.3, 1.37), event(1, 72, 1.9, 3)}
			p := &performance.Performance{}
			for i := range events {
				events[i].Note = int32(i)
				p.Notes = append(p.Notes, performance.Note{Key: int(events[i].Pipe.Key), OnS: events[i].OnS, OffS: events[i].OffS})
			}
			f, err := Run(context.Background(), h, events, p)
			require.NoError(t, err)
			for i := 2; i < len(f.LevelDB); i++ {
				at := float64(i+1) * f.StepS
				want := h.db(events, at)
				got := toDB(math.Pow(10, float64(f.LevelDB[i])/10) + math.Pow(10, float64(f.ResidueDB[i])/10))
				edge := false // within a frame of an edge the two sample different moments
				for _, e := range events {
					for _, x := range []float64{e.OnS, e.OffS} {
						edge = edge || math.Abs(x+h.Paths[0].DelayS-at) < 2*f.StepS
					}
				}
				if want > 12 && !edge { // what either part lacks below 0 dB is less than 0.3 dB there
					require.InDelta(t, want, got, 0.3, "direct %v, t = %g", direct, at)
				}
			}
		})
	}
}

// What a pipe has put into the room is the convolution of its rise with the decay; checked against the midpoint rule.
func TestSpeechAgainstNumericalIntegration(t *testing.T) {
	for _, k := range []float64{1.15, 2, 13.8155, 20} {
		h := testHall(t, 6*math.Ln10/k, true)
		for _, a := range []float64{3, 20, 400, k, k / 2} { // the last two where the closed form has poles
			v := h.newVoice(voicing.Pipe{Partials: []voicing.Partial{{N: 1, Hz: 440, Power: 1, RiseS: 1 / a}}})
			v.prompt = false

			require.InDelta(t, k, h.rate[v.bands[0]][0], 0.02*k)
			k := h.rate[v.bands[0]][0]
			for _, x := range []float64{0.01, 0.1, 1, 5} {
				const n = 200000
				sum := 0.0
				for i := range n {
					u := x * (float64(i) + 0.5) / n
					rise := 1 - math.Exp(-a*u)
					sum += rise * rise * k * math.Exp(-k*(x-u)) * x / n
				}
				left := h.rest(v.bands[0], x)
				power, room := v.speech(h.terms, 0, v.wants(x, h.newLapses()), &left)
				rise := 1 - math.Exp(-a*x)
				assert.InDelta(t, rise*rise, power, 1e-5)
				assert.InDelta(t, sum, room[0], 1e-5, "a %g k %g x %g", a, k, x)
			}
		}
	}
}

// leave's short cut for settled pipes agrees with the sum over partials.
func TestLeaveShortCut(t *testing.T) {
	h := testHall(t, 3, true)
	v := h.newVoice(voicing.Pipe{Hz: 110, Speech: voicing.Speech{ReleaseS: 0.02}, Partials: []voicing.Partial{
		{N: 1, Hz: 110, Power: 100, RiseS: 0.05}, {N: 2, Hz: 220, Power: 50, RiseS: 0.03}}})
	g := octave.Flat(1)
	x := v.attackS * 1.01
	var quick, full [maxTerms][]float64
	for i := range quick {
		quick[i], full[i] = make([]float64, h.Model.N()), make([]float64, h.Model.N())
	}
	h.leave(&quick, v, x, &g)
	v.prompt = false
	h.leave(&full, v, x, &g)
	for b := range full[0] {
		assert.InDelta(t, full[0][b], quick[0][b], 0.01*full[0][b]+1e-12)
	}
}

// Pipe's short cut for pipes that were fully up agrees with the sum over partials.
func TestPipeShortCut(t *testing.T) {
	h := testHall(t, 3, true)
	v := h.newVoice(voicing.Pipe{Hz: 110, Speech: voicing.Speech{ReleaseS: 0.02}, Partials: []voicing.Partial{
		{N: 1, Hz: 110, Power: 1e6, RiseS: 0.05}, {N: 2, Hz: 220, Power: 5e5, RiseS: 0.03}, {N: 3, Hz: 330, Power: 1e5, RiseS: 0.02}}})
	require.True(t, v.prompt)
	h.voices[h.base[0][0]+45].Store(v)
	for _, length := range []float64{1.02 * v.attackS, 2, 20} {
		for _, at := range []float64{1.01 * v.attackS, 0.9 * length, length + 0.01, length + 0.1, length + 4} {
			e := []pipework.Event{event(0, 45, 0, length)}
			v.prompt = true
			quick := h.db(e, at+h.Paths[0].DelayS)
			v.prompt = false
			assert.InDelta(t, h.db(e, at+h.Paths[0].DelayS), quick, 0.03, "length %g, at %g", length, at)
		}
	}
}

// Level is never lower with one more pipe.
func TestLouderIsNeverLower(t *testing.T) {
	h := testHall(t, 2, true)
	e := []pipework.Event{event(0, 60, 0, 1), event(1, 64, 0.2, 1.5)}
	for at := 0.1; at < 4; at += 0.13 {
		assert.GreaterOrEqual(t, h.db(e, at), h.db(e[:1], at))
	}
}

func BenchmarkRun(b *testing.B) {
	h := testHall(b, 3, true)
	var events []pipework.Event
	p := &performance.Performance{}
	for i := range 1000 {
		for v := range 4 {
			e := event(v%2, 40+(i*7+v*11)%50, float64(i)*0.25, float64(i)*0.25+0.24)
			e.Note = int32(len(p.Notes))
			events = append(events, e)
			p.Notes = append(p.Notes, performance.Note{Key: int(e.Pipe.Key), OnS: e.OnS, OffS: e.OffS})
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Run(context.Background(), h, events, p); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(250*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
}

// patience is a context that ends when it has been asked so many times.
type patience struct {
	context.Context
	left int
}

func (p *patience) Err() error {
	if p.left--; p.left < 0 {
		return context.Canceled
	}
	return nil
}

// Whoever goes away, at once or in the middle, gets no answer, and leaves nothing running.
func TestRunEnds(t *testing.T) {
	h := testHall(t, 2.8, true)
	events := []pipework.Event{event(0, 48, 0, 3600)}
	p := &performance.Performance{Notes: []performance.Note{{Key: 48, OffS: 3600}}}
	before := runtime.NumGoroutine()
	for asked := range 3 {
		ctx := &patience{context.Background(), asked}
		f, err := Run(ctx, h, events, p)
		require.ErrorIs(t, err, context.Canceled)
		require.Nil(t, f)
		require.GreaterOrEqual(t, ctx.left, -2, "it went on after the end")
	}
	for end := time.Now().Add(5 * time.Second); runtime.NumGoroutine() > before && time.Now().Before(end); {
		time.Sleep(time.Millisecond) // the ears are on their way out
	}
	require.LessOrEqual(t, runtime.NumGoroutine(), before)
}

// leave adds what the voice has left in the tail after speaking for x s, box gain g applied,
// to dst[term][band].
func (h *Hall) leave(dst *[maxTerms][]float64, v *voice, x float64, g *octave.Bands) {
	gain := h.gain[v.division]
	for i, b := range v.bands {
		left := h.rest(b, x)
		_, room := v.speech(h.terms, i, v.wants(x, h.newLapses()), &left)
		for t := range h.terms {
			dst[t][b] += room[t] * g[h.octaveOf[b]] * gain[b][t]
		}
	}
}

// rest is e^(−kx) of the decays of an auditory band.
func (h *Hall) rest(band int32, x float64) (left [maxTerms]float64) {
	for t := range h.terms {
		left[t] = math.Exp(-h.rate[band][t] * x)
	}
	return left
}
