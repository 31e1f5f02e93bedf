package sound

import (
	"math"
	"math/cmplx"
	"testing"

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
