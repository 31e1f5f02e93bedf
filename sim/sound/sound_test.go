package sound

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"sort"
	"testing"

	"afterchord/acoustics/air"
	"afterchord/acoustics/geometry"
	"afterchord/acoustics/room"
	"afterchord/sim/performance"
	"afterchord/sim/pipework"
	"afterchord/voicing"

	"github.com/stretchr/testify/require"
)

const testRate = 48000

// simpleOrgan has one open and one enclosed division with a tremulant.
func simpleOrgan() *voicing.Organ {
	o := &voicing.Organ{Name: "test", PitchHz: 440, Seed: 3}
	for i := range 2 {
		o.Divisions = append(o.Divisions, voicing.Division{Place: geometry.Point{X: float64(i), Y: -1, Z: 4}, Enclosed: i == 1, TremulantHz: 6, TremulantCent: 12, TremulantDB: 1.5})
	}
	o.Divisions[1].Box.ClosedDB = [9]float64{-4, -5, -6, -8, -10, -12, -15, -18, -20}
	return o
}

// sinePipe has one partial and no noise.
func sinePipe(hz, power float64) func(voicing.PipeID) voicing.Pipe {
	return func(id voicing.PipeID) voicing.Pipe {
		return voicing.Pipe{ID: id, Hz: hz, Partials: []voicing.Partial{{N: 1, Hz: hz, Power: power, RiseS: 0.02, Phase: 0.4}},
			Speech: voicing.Speech{DeadS: 0.01, ReleaseS: 0.03}}
	}
}

// harmonicPipes are principals of hand-made spectrum and speech, by key.
func harmonicPipes(id voicing.PipeID) voicing.Pipe {
	hz := 440 * math.Exp2((float64(id.Key)-69)/12) * math.Exp2(float64(int(id.Stop)%4)-1) * (1 + 1e-4*float64(id.Stop))
	p := voicing.Pipe{ID: id, Hz: hz, Speech: voicing.Speech{DeadS: 2 / hz, ReleaseS: 5 / hz, GlideCents: -30, GlideS: 3 / hz},
		Noise: voicing.Noise{ChiffPower: 0.25, EdgePower: 0.25, EdgeHz: 3.06 * hz, ChiffHz: 3 * hz, ChiffS: 8 / hz, WindPower: 0.01, WindHz: 2000}}
	for n := 1; n <= 24 && float64(n)*hz < 16000; n++ {
		p.Partials = append(p.Partials, voicing.Partial{N: n, Hz: float64(n) * hz, Power: 100 * math.Pow(10, -0.6*math.Log2(float64(n))),
			RiseS: 5 / hz / math.Sqrt(float64(n)), Phase: float64(n) * 1.7})
	}
	return p
}

func testRoom(t testing.TB, rt float64) *room.Room {
	hall, err := room.FromRT(rt)
	require.NoError(t, err)
	return hall
}

func listener(t testing.TB, hall *room.Room) room.Seat {
	seat, err := hall.Seat("middle")
	require.NoError(t, err)
	return seat
}

// pressure is what render gives, in 20 µPa.
func pressure(t testing.TB, job Job) (l, r []float64, rep Report) {
	rep, err := render(context.Background(), job, func(a, b []float64) error {
		l, r = append(l, a...), append(r, b...)
		return nil
	}, nil)
	require.NoError(t, err)
	return l, r, rep
}

func note(division, stop, key uint8, on, off float64) pipework.Event {
	return pipework.Event{Pipe: voicing.PipeID{Division: division, Stop: stop, Key: key}, OnS: on, OffS: off}
}

func meanSquare(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v * v
	}
	return s / float64(len(x))
}

// dryJob hears division 0 from 1 m: gain² = ρc·1e-12/(4π)/(20 µPa)².
func dryJob(events ...pipework.Event) Job {
	return Job{Organ: simpleOrgan(), Events: events, Seat: room.Seat{At: geometry.Point{Y: 0, Z: 4}}, Rate: testRate, Dry: true}
}

func TestPowerBecomesPressure(t *testing.T) {
	// A source of 1 mW, 1 m away in the free field, 20 °C: 10·lg(1e-3/1e-12) - 10·lg(4π) + 10·lg(ρc/400) = 79.15 dB
	// (ISO 3744, Q = 1; ρc = 413 Pa·s/m).
	job := dryJob(note(0, 0, 60, 0, 2))
	job.pipe = sinePipe(440, 1e9)
	l, r, rep := pressure(t, job)
	require.InDelta(t, 79.15, 10*math.Log10(meanSquare(l[testRate/2:3*testRate/2])), 0.1)
	require.InDelta(t, 79.15, rep.LoudestDB, 0.2)
	require.Equal(t, l, r)
}

// The rise is 1-exp(-(t-dead)/τ) and the release exp(-t/τ), with no step at either edge.
func TestSpeechOfOnePipe(t *testing.T) {
	job := dryJob(note(0, 0, 60, 0.1, 0.6))
	job.pipe = sinePipe(2000, 1e9)
	l, _, _ := pressure(t, job)
	arrive := 0.1 + 0.01 + 1/air.SpeedOfSound(20)
	full := math.Sqrt(2 * meanSquare(l[testRate/2-testRate/20:testRate/2]))
	for _, at := range []float64{0.005, 0.01, 0.02, 0.04, 0.08} {
		t.Run(fmt.Sprint(at), func(t *testing.T) {
			i := int((arrive + at) * testRate)
			got := math.Sqrt(2*meanSquare(l[i-36:i+36])) / full // three periods
			require.InDelta(t, 1-math.Exp(-at/0.02), got, 0.02, "%g s after the first sound", at)
		})
	}
	off := int((0.6 + 1/air.SpeedOfSound(20)) * testRate)
	for _, at := range []int{1000, 2000, 4000} {
		t.Run(fmt.Sprint(at), func(t *testing.T) {
			got := math.Sqrt(2*meanSquare(l[off+at-36:off+at+36])) / full
			require.InDelta(t, math.Exp(-float64(at)/testRate/0.03), got, 0.02)
		})
	}
	largest := 0.0
	for i := 1; i < len(l); i++ {
		largest = max(largest, math.Abs(l[i]-l[i-1]))
	}
	require.Less(t, largest, 1.03*full*2*math.Pi*2000/testRate, "a step larger than the tone's own slope")
}

func TestShutBeforeItSpokeIsSilent(t *testing.T) {
	job := dryJob(note(0, 0, 60, 0, 0.009))
	job.pipe = sinePipe(440, 1e9)
	_, _, rep := pressure(t, job)
	require.Zero(t, rep.Frames)
}

// Released in the middle of the rise the pipe does not go on rising.
func TestReleaseDuringTheRise(t *testing.T) {
	job := dryJob(note(0, 0, 60, 0, 0.03))
	job.pipe = func(id voicing.PipeID) voicing.Pipe {
		p := sinePipe(2000, 1e9)(id)
		p.Partials[0].RiseS = 0.1
		p.Speech.ReleaseS = 0.5
		return p
	}
	l, _, _ := pressure(t, job)
	full := 1e9 * air.Impedance(20) * 1e-12 / (4 * math.Pi) / 4e-10
	at := int((0.13 + 1/air.SpeedOfSound(20)) * testRate)
	want := (1 - math.Exp(-0.02/0.1)) * math.Exp(-0.1/0.5)
	require.InEpsilon(t, want, math.Sqrt(meanSquare(l[at-120:at+120])/full), 0.04)
}

// Pitch of the loop within 0.05 cent over the whole range of pipes.
func TestLoopPitch(t *testing.T) {
	for _, rate := range []float64{44100, 48000, 96000} {
		t.Run(fmt.Sprint(rate), func(t *testing.T) {
			for hz := 8.0; hz < 12000; hz *= 1.0137 {
				k, n := loopLength(rate / hz)
				require.Less(t, math.Abs(1200*math.Log2(float64(k)*rate/float64(n)/hz)), 0.0501)
				require.LessOrEqual(t, n, 1<<17)
			}
		})
	}
}

// sounded are pieces of a pipe, one after the other, in its units.
func sounded(s *pipeSound, pieces ...[]int16) []float32 {
	all := slices.Concat(pieces...)
	out := make([]float32, len(all))
	rampShorts(out, all, float32(s.unit), 0)
	return out
}

func TestNoStepBetweenOnsetAndLoop(t *testing.T) {
	for key := uint8(24); key < 100; key += 5 {
		p := harmonicPipes(voicing.PipeID{Key: key, Stop: 1})
		p.Noise = voicing.Noise{}
		s := newPipeSound(p, testRate, 1)
		around := sounded(s, s.onset[len(s.onset)-3:], s.loop[:3])
		around2 := sounded(s, s.loop[len(s.loop)-3:], s.loop[:3])
		for i := range around {
			require.InDelta(t, around2[i], around[i], 0.05, "key %d", key)
		}
	}
}

// The sum of N equal incoherent pipes grows by 10·lg N (checked with different pitches and phases).
func TestPipesAddInPower(t *testing.T) {
	level := func(n int) float64 {
		var events []pipework.Event
		for i := range n {
			events = append(events, note(0, uint8(i), uint8(60+i), 0, 3))
		}
		job := dryJob(events...)
		job.pipe = func(id voicing.PipeID) voicing.Pipe {
			return sinePipe(400*math.Exp2(float64(id.Stop)/24), 1e6)(id)
		}
		l, _, _ := pressure(t, job)
		return 10 * math.Log10(meanSquare(l[testRate:3*testRate]))
	}
	one := level(1)
	for _, n := range []int{2, 4, 10} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			require.InDelta(t, 10*math.Log10(float64(n)), level(n)-one, 0.3)
		})
	}
}

func TestBoxGivesItsBands(t *testing.T) {
	for _, hz := range []float64{63, 125, 250, 500, 1000, 2000, 4000, 8000} {
		t.Run(fmt.Sprint(hz), func(t *testing.T) {
			for _, open := range []float64{0, 0.5, 0.8} {
				t.Run(fmt.Sprint(open), func(t *testing.T) {
					job := dryJob(note(1, 0, 60, 0, 1))
					job.pipe = sinePipe(hz, 1e9)
					l, _, _ := pressure(t, job)
					job.Box = []performance.BoxMove{{AtS: 0, Division: 1, Open: open}}
					q, _, _ := pressure(t, job)
					got := 10 * math.Log10(meanSquare(q[testRate/2:testRate*9/10])/meanSquare(l[testRate/2:testRate*9/10]))
					want := 0.0
					for i, c := range [9]float64{31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000} {
						if c == hz {
							want = job.Organ.Divisions[1].Box.ClosedDB[i] * (1 - open)
						}
					}
					require.InDelta(t, want, got, 0.25, "%g Hz, open %g", hz, open)
				})
			}
		})
	}
}

func TestTremulantSwing(t *testing.T) {
	e := note(0, 0, 60, 0, 3)
	e.Tremulant = true
	job := dryJob(e)
	job.pipe = sinePipe(1000, 1e9)
	l, _, _ := pressure(t, job)
	// Period by rising zero crossings, averaged over 10 ms.
	var at []float64
	for i := testRate / 2; i < 5*testRate/2; i++ {
		if l[i-1] < 0 && l[i] >= 0 {
			at = append(at, float64(i)-l[i]/(l[i]-l[i-1]))
		}
	}
	low, high := math.Inf(1), math.Inf(-1)
	for i := 10; i < len(at); i++ {
		hz := 10 * testRate / (at[i] - at[i-10])
		low, high = min(low, hz), max(high, hz)
	}
	require.InDelta(t, 12, 600*math.Log2(high/low), 0.6, "cents peak")
	require.InDelta(t, 1000, math.Sqrt(low*high), 0.1)
	peak := func(from, n int) float64 { return largest(l[from : from+n]) }
	high, low = 0, math.Inf(1)
	for i := testRate / 2; i < 5*testRate/2; i += 480 {
		high, low = max(high, peak(i, 480)), min(low, peak(i, 480))
	}
	require.InDelta(t, 1.5, 10*math.Log10(high/low), 0.25, "dB peak")
}

// Pipes that a tremulant shakes are on the division's wind: over whole swings of it their pitch wanders as that of the others does.
func TestTremulantPipesWander(t *testing.T) {
	const hz, seconds, swing = 1000.0, 12, testRate / 6 // samples of one swing
	pitch := func(shaken bool) (cents []float64) {
		e := note(0, 0, 60, 0, seconds)
		e.Tremulant = shaken
		job := dryJob(e)
		job.Organ.Divisions[0].Stops = make([]voicing.Stop, 1) // a division with pipes has wind
		job.pipe = sinePipe(hz, 1e9)
		l, _, _ := pressure(t, job)
		before := 0.0
		for i := testRate; i+swing < seconds*testRate; i += swing {
			var re, im float64
			for k := i; k < i+480; k++ { // ten whole periods at the same place of each swing
				s, c := math.Sincos(2 * math.Pi * hz * float64(k) / testRate)
				re, im = re+l[k]*s, im+l[k]*c
			}
			phase := math.Atan2(re, im)
			if i > testRate {
				cents = append(cents, 1200*math.Log2(1+math.Remainder(phase-before, 2*math.Pi)/(2*math.Pi*hz)*6))
			}
			before = phase
		}
		return cents
	}
	steady, shaken := pitch(false), pitch(true)
	require.Greater(t, math.Sqrt(meanSquare(steady)), 0.4)
	for i, c := range steady {
		require.InDelta(t, c, shaken[i], 0.3, "cents in swing %d", i)
	}
}

func chordJob(t testing.TB, rt float64, seconds float64, density int) Job {
	hall := testRoom(t, rt)
	job := Job{Organ: simpleOrgan(), Room: hall, Seat: listener(t, hall), Rate: testRate, pipe: harmonicPipes}
	r := rand.New(rand.NewPCG(9, 9))
	for s := 0.0; s < seconds; s += 0.25 {
		for range density {
			on := s + 0.02*r.Float64()
			e := note(uint8(r.IntN(2)), uint8(r.IntN(20)), uint8(36+r.IntN(50)), on, on+0.1+r.Float64())
			e.Tremulant = r.IntN(10) == 0
			job.Events = append(job.Events, e)
		}
	}
	sort.Slice(job.Events, func(i, k int) bool { return job.Events[i].OnS < job.Events[k].OnS })
	job.Box = []performance.BoxMove{{AtS: 0, Division: 1, Open: 0}, {AtS: seconds, Division: 1, Open: 1}}
	return job
}

func TestSameSoundOnOneAndTwoCores(t *testing.T) {
	job := chordJob(t, 1.5, 3, 20)
	job.Workers = 1
	l1, r1, rep1 := pressure(t, job)
	for _, w := range []int{2, 5} {
		t.Run(fmt.Sprint(w), func(t *testing.T) {
			job.Workers = w
			job.CacheBytes = int64(w) << 18 // makes the cache forget
			l, r, rep := pressure(t, job)
			require.Equal(t, rep1, rep)
			require.True(t, same(l1, l) && same(r1, r))
		})
	}
}

func same(a, b []float64) bool {
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return len(a) == len(b)
}

func TestLimiterSpeaksUp(t *testing.T) {
	job := dryJob(note(0, 0, 60, 0, 1))
	job.pipe = sinePipe(440, 1e9)
	collect := func(full float64) (x []float32, rep Report) {
		job.FullScaleDB = full
		rep, err := Render(context.Background(), job, func(b []float32) error { x = append(x, b...); return nil }, nil)
		require.NoError(t, err)
		require.Equal(t, int(rep.Frames)*2, len(x))
		return x, rep
	}
	x, rep := collect(100)
	require.Zero(t, rep.LimitedS)
	l, _, _ := pressure(t, job)
	for i := range l {
		require.InDelta(t, l[i]*1e-5, float64(x[2*i]), 1e-7)
	}
	x, rep = collect(76)
	require.Greater(t, rep.LimitedS, 0.5)
	for _, v := range x {
		require.LessOrEqual(t, math.Abs(float64(v)), limiterCeiling+1e-6)
	}
	require.InDelta(t, -0.1, rep.PeakDBFS, 0.05)
}

func TestStopsWhenTold(t *testing.T) {
	job := chordJob(t, 1, 3, 2)
	ctx, cancel := context.WithCancel(context.Background())
	calls := 0
	dir := t.TempDir()
	_, err := RenderFile(ctx, job, filepath.Join(dir, "heard.wav"), 0, func(float64, float64) {
		if calls++; calls == 1 {
			cancel()
		}
	})
	require.ErrorIs(t, err, context.Canceled)
	left, _ := os.ReadDir(dir)
	require.Empty(t, left, "nothing half-written")
	stop := errors.New("enough")
	_, err = Render(context.Background(), job, func([]float32) error { return stop }, nil)
	require.ErrorIs(t, err, stop)
}

func TestBadJobs(t *testing.T) {
	ok := dryJob(note(0, 0, 60, 0, 1))
	for name, break_ := range map[string]func(*Job){
		"organ":    func(j *Job) { j.Organ = nil },
		"room":     func(j *Job) { j.Dry = false },
		"rate":     func(j *Job) { j.Rate = 3 },
		"sorted":   func(j *Job) { j.Events = []pipework.Event{note(0, 0, 60, 2, 3), note(0, 0, 60, 1, 3)} },
		"off":      func(j *Job) { j.Events = []pipework.Event{note(0, 0, 60, 2, 1)} },
		"on":       func(j *Job) { j.Events = []pipework.Event{note(0, 0, 60, math.NaN(), 1)} },
		"division": func(j *Job) { j.Events = []pipework.Event{note(7, 0, 60, 0, 1)} },
		"number":   func(j *Job) { j.FullScaleDB = math.NaN() },
	} {
		t.Run(name, func(t *testing.T) {
			job := ok
			break_(&job)
			_, err := Render(context.Background(), job, func([]float32) error { return nil }, nil)
			require.ErrorContains(t, err, name)
		})
	}
}

// Memory does not grow with the length of the piece.
func TestMemoryIsConstant(t *testing.T) {
	held := func(seconds float64) float64 {
		job := chordJob(t, 1, seconds, 4)
		job.CacheBytes = 1 << 20
		job.Rate = 8000
		var live []float64 // after every stretch; three quarters up, where stretches have their full length, and what is mixed ahead comes and goes
		_, err := Render(context.Background(), job, func([]float32) error {
			runtime.GC()
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			live = append(live, float64(m.HeapAlloc))
			return nil
		}, nil)
		require.NoError(t, err)
		slices.Sort(live)
		return live[3*len(live)/4]
	}
	short, long := held(120), held(600)
	t.Logf("%.1f and %.1f MB", short/1e6, long/1e6)
	require.Less(t, long, 1.25*short+1<<20)
}
