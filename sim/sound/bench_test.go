package sound

import (
	"context"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"sort"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"afterchord/sim/performance"
	"afterchord/sim/pipework"
	"afterchord/voicing"
)

// denseJob is a piece on a plenum of the minster: chords that change every half second, every
// key on the principals, mixtures and reeds of its division, so that about so many pipes sound at once.
func denseJob(tb testing.TB, seconds float64, pipes int, rt float64) Job {
	organ, ok := voicing.BuiltIn("minster")
	require.True(tb, ok)
	room := testRoom(tb, rt)
	job := Job{Organ: organ, Room: room, Seat: listener(tb, room), Rate: 48000}
	var drawn []voicing.PipeID
	for d := range organ.Divisions {
		for s, stop := range organ.Divisions[d].Stops {
			if stop.Family != voicing.Principal && stop.Family != voicing.Reed {
				continue
			}
			for k := range stop.Ranks {
				drawn = append(drawn, voicing.PipeID{Division: uint8(d), Stop: uint8(s), Rank: uint8(k)})
			}
		}
	}
	r := rand.New(rand.NewPCG(5, 5))
	for at := 0.0; at < seconds; at += 0.5 {
		seen := map[voicing.PipeID]bool{}
		for n, key := 0, 0; n < pipes*8/10; n++ {
			id := drawn[n%len(drawn)]
			if n%len(drawn) == 0 {
				key = r.IntN(32)
			}
			st := organ.Divisions[id.Division].Stops[id.Stop]
			id.Key = uint8(min(st.HighKey, st.LowKey+key))
			if !organ.Divisions[id.Division].Pedal {
				id.Key = uint8(min(st.HighKey, st.LowKey+key+7*(n/len(drawn)%4)))
			}
			if seen[id] {
				continue
			}
			seen[id] = true
			on := at + 0.01*r.Float64()
			job.Events = append(job.Events, pipework.Event{Pipe: id, OnS: on, OffS: math.Min(seconds, on+0.5)})
		}
	}
	sort.Slice(job.Events, func(i, k int) bool { return job.Events[i].OnS < job.Events[k].OnS })
	for d := range organ.Divisions {
		if organ.Divisions[d].Enclosed {
			job.Box = append(job.Box, performance.BoxMove{Division: d, Open: 0}, performance.BoxMove{AtS: seconds, Division: d, Open: 1})
		}
	}
	return job
}

func run(b *testing.B, job Job) {
	var rep Report
	for b.Loop() {
		var err error
		rep, err = Render(context.Background(), job, func([]float32) error { return nil }, nil)
		require.NoError(b, err)
	}
	b.ReportMetric(rep.DurationS*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
	b.ReportMetric(float64(rep.PeakPipes), "pipes")
}

// The dense piece in a room of 7 s; the exponents of cost against length and pipes are
// printed by -bench Growth.
func BenchmarkDense(b *testing.B) {
	for _, seconds := range []float64{60, 600} {
		b.Run(fmt.Sprintf("%.0fs", seconds), func(b *testing.B) { run(b, denseJob(b, seconds, 200, 7)) })
	}
}

func BenchmarkOneNote(b *testing.B) {
	job := denseJob(b, 600, 200, 7)
	job.Events = job.Events[:1]
	run(b, job)
}

// The first block, and the first second, of sound in the hand of a reader.
func BenchmarkFirstSecond(b *testing.B) {
	job := denseJob(b, 60, 200, 7)
	for _, seconds := range []float64{0, 1} {
		for _, job.Ears = range []bool{false, true} {
			b.Run(fmt.Sprintf("seconds=%g/ears=%t", seconds, job.Ears), func(b *testing.B) {
				for b.Loop() {
					frames := 0
					_, _ = Render(context.Background(), job, func(x []float32) error {
						if frames += len(x) / 2; float64(frames) >= seconds*float64(job.Rate) {
							return io.EOF
						}
						return nil
					}, nil)
				}
			})
		}
	}
}

// BenchmarkGrowth fits cost = length^a and, at the same length, cost = (seconds of all pipes together)^b;
// the room's share does not grow with the pipes, so b lies below 1.
func BenchmarkGrowth(b *testing.B) {
	cost := func(job Job) (s, pipes float64) {
		for _, e := range job.Events {
			pipes += e.OffS - e.OnS
		}
		start := time.Now()
		_, err := Render(context.Background(), job, func([]float32) error { return nil }, nil)
		require.NoError(b, err)
		return time.Since(start).Seconds(), pipes
	}
	for b.Loop() {
		cost(denseJob(b, 10, 200, 7))
		short, few := cost(denseJob(b, 60, 200, 7))
		long, _ := cost(denseJob(b, 480, 200, 7))
		full, many := cost(denseJob(b, 60, 1600, 7))
		b.ReportMetric(math.Log(long/short)/math.Log(8), "length-exponent")
		b.ReportMetric(math.Log(full/short)/math.Log(many/few), "pipes-exponent")
	}
}

func BenchmarkNewPipeSound(b *testing.B) {
	organ, _ := voicing.BuiltIn("minster")
	for _, key := range []uint8{36, 60, 84} {
		p := organ.Pipe(voicing.PipeID{Division: 0, Stop: 0, Key: key})
		b.Run(fmt.Sprintf("%.0fHz", p.Hz), func(b *testing.B) {
			for b.Loop() {
				newPipeSound(p, 48000, 1)
			}
		})
	}
}
