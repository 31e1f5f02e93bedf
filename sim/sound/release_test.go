package sound

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"
	"testing"

	"afterchord/sim/pipework"
	"afterchord/voicing"

	"github.com/stretchr/testify/require"
)

// With one quality factor for all modes harmonic n rings n times as short as the fundamental (τ = Q/(πf)): measured on the
// sound after the pallet has shut, from the beginning of the release on.
func TestHighPartialsStopSooner(t *testing.T) {
	const hz, tau = 110.0, 0.12
	for _, row := range []struct {
		name        string
		n           int
		heldS, want float64
	}{
		{"fundamental", 1, 1, tau},
		{"harmonic of the top group", 11, 1, tau / 11},
		{"fundamental of a pipe still rising", 1, 0.04, tau},
	} {
		t.Run(row.name, func(t *testing.T) {
			job := dryJob(note(0, 0, 60, 0, row.heldS))
			job.pipe = func(id voicing.PipeID) voicing.Pipe {
				p := voicing.Pipe{ID: id, Hz: hz, Speech: voicing.Speech{ReleaseS: tau}}
				for _, n := range []int{1, 11} {
					p.Partials = append(p.Partials, voicing.Partial{N: n, Hz: hz * float64(n), Power: 1e9, RiseS: 0.02})
				}
				return p
			}
			l, _, _ := pressure(t, job)
			// The amplitude of the one partial in two windows of whole periods of both, a time constant apart.
			amplitude := func(at float64) float64 {
				n := 2 * testRate / int(hz)
				a := int(at * testRate)
				var sum complex128
				for i := range n {
					sin, cos := math.Sincos(2 * math.Pi * hz * float64(row.n) * float64(i) / testRate)
					sum += complex(l[a+i]*cos, l[a+i]*sin)
				}
				return cmplx.Abs(sum)
			}
			from := row.heldS + 0.015
			ratio := amplitude(from+row.want) / amplitude(from)
			require.InDelta(t, 1/math.E, ratio, 0.05)
		})
	}
}

// The same note struck again begins in another phase: dry repeats do not correlate as copies do.
func TestNotesStruckAgainAreNotCopies(t *testing.T) {
	const apart, held, repeats = 0.5, 0.3, 12
	var events []pipework.Event
	for i := range repeats {
		events = append(events, note(0, 0, 60, apart*float64(i), apart*float64(i)+held))
	}
	job := dryJob(events...)
	job.pipe = harmonicPipes
	l, _, _ := pressure(t, job)
	take := func(i int) []float64 {
		a := int((apart*float64(i) + 0.1) * testRate)
		return l[a : a+int(0.15*testRate)]
	}
	highest, sum := 0.0, 0.0
	for i := 1; i < repeats; i++ {
		a, b := take(0), take(i)
		var ab, aa, bb float64
		for k := range a {
			ab, aa, bb = ab+a[k]*b[k], aa+a[k]*a[k], bb+b[k]*b[k]
		}
		c := ab / math.Sqrt(aa*bb)
		highest, sum = max(highest, math.Abs(c)), sum+c/(repeats-1)
	}
	t.Logf("mean correlation %.2f, highest %.2f", sum, highest)
	require.Less(t, math.Abs(sum), 0.5)
}

// What sounds after the pallet has shut goes on from the held sound without a step, in its phase, whatever the pitch and the moment:
// against the sum of the partials, each falling in the time of its group.
func TestReleaseGoesOnFromTheHeldSound(t *testing.T) {
	for _, period := range []float64{8, 11.37, 48, 480, 733.1, 1468.2} {
		t.Run(fmt.Sprintf("period of %g samples", period), func(t *testing.T) {
			hz := testRate / period
			p := voicing.Pipe{Hz: hz, Speech: voicing.Speech{ReleaseS: 25 / hz}}
			for _, n := range []int{1, 2, 3, 5, 9} {
				if q := hz * float64(n); q < highestPartial*testRate {
					p.Partials = append(p.Partials, voicing.Partial{N: n, Hz: q, Power: 1 / float64(n*n), RiseS: 4 / hz, Phase: float64(n)})
				}
			}
			s := newPipeSound(p, testRate, 3)
			off := int64(2*testRate + 77)
			v := newVoice(s, 0, off, 0)
			const from = int64(2 * testRate / grid * grid)
			got := make([]float32, 20*grid)
			v.mix(got, from)
			// An interval of the loop is exact to 0.05 cent; over two seconds that counts, so the phase is that of the loop.
			w := 2 * math.Pi * float64(s.periods) / float64(len(s.loop))
			end := min(int64(len(got)), off-from+s.releases[len(s.releases)-1].end())
			var wrong, power float64
			for i := off - from; i < end; i++ {
				want := 0.0
				for _, q := range p.Partials {
					g := len(s.releases) - 1
					for k := range s.releases {
						if voicing.ReleaseGroup(q.N) == k {
							g = k
						}
					}
					x := math.Sqrt(2*q.Power) * math.Sin(q.Phase+float64(q.N)*w*float64(from+i-v.start))
					want += x * wander(s.seed, off) * s.releases[g].fall(from+i-off)
				}
				wrong += (float64(got[i]) - want) * (float64(got[i]) - want)
				power += want * want
			}
			t.Logf("%.1f dB", 10*math.Log10(wrong/power))
			// The loops of the groups may be a cent off: a phase that drifts, not a level.
			require.Less(t, wrong, 2e-3*power)
			// At the shutting itself nothing moves by more than the sound does anyway.
			jump := func(i int64) float64 { return math.Abs(float64(got[i]) - 2*float64(got[i-1]) + float64(got[i-2])) }
			held, shut := 0.0, 0.0
			for i := int64(2); i < off-from; i++ {
				held = max(held, jump(i))
			}
			for i := off - from; i < off-from+64; i++ {
				shut = max(shut, jump(i))
			}
			require.LessOrEqual(t, shut, 1.1*held+1e-3)
		})
	}
}

// An excerpt that begins under a held note goes on as the whole does, with the notes that follow.
func TestExcerptSoundsAsTheWhole(t *testing.T) {
	const origin = 100 * grid
	events := []pipework.Event{note(0, 0, 60, 0, 1.5), note(0, 0, 64, 1, 1.5), note(0, 0, 60, 1.75, 2)}
	whole := dryJob(events...)
	whole.pipe = harmonicPipes
	excerpt := dryJob(slices.Clone(events)...)
	excerpt.pipe, excerpt.Origin = harmonicPipes, origin
	for i := range excerpt.Events {
		excerpt.Events[i].OnS -= origin / float64(testRate)
		excerpt.Events[i].OffS -= origin / float64(testRate)
	}
	want, _, _ := pressure(t, whole)
	got, _, _ := pressure(t, excerpt)
	lead := testRate / 10 // the way from the pipe
	apart, all := 0.0, 0.0
	for i := lead; i < 2*testRate-origin; i++ {
		apart += (want[origin+i] - got[i]) * (want[origin+i] - got[i])
		all += want[origin+i] * want[origin+i]
	}
	require.Less(t, 10*math.Log10(apart/all), -25.0, "dB: the noise of the wind is another")
	excerpt.Origin = -1
	_, err := Render(t.Context(), excerpt, func([]float32) error { return nil }, nil)
	require.ErrorContains(t, err, "begins at sample -1")
}
