package sound

import (
	"math"
	"math/cmplx"
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
