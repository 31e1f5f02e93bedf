package sound

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/dsp/fourier"

	"afterchord/voicing"
)

// quietPipe is a pipe of the minster without its chiff and wind.
func quietPipe(t testing.TB) func(voicing.PipeID) voicing.Pipe {
	organ, ok := voicing.BuiltIn("minster")
	require.True(t, ok)
	return func(id voicing.PipeID) voicing.Pipe {
		p := organ.Pipe(id)
		p.Noise = voicing.Noise{}
		return p
	}
}

// Nothing sounds between the harmonics of a pipe: neither partials folded back at half the sample rate nor
// a seam of the loop, down to 80 dB below its strongest partial.
func TestNothingBetweenTheHarmonics(t *testing.T) {
	const n = 1 << 16
	for _, rate := range []int{44100, 48000} {
		t.Run(fmt.Sprint(rate), func(t *testing.T) {
			for _, id := range []voicing.PipeID{
				{Division: 1, Stop: 1, Key: 36}, {Division: 1, Stop: 1, Key: 60}, {Division: 1, Stop: 7, Key: 60}, {Division: 1, Stop: 7, Key: 90},
				{Division: 1, Stop: 9, Key: 48}, {Division: 1, Stop: 9, Key: 84}, {Division: 3, Stop: 0, Key: 40},
			} {
				t.Run(fmt.Sprint(id), func(t *testing.T) {
					job := dryJob(note(0, 0, 60, 0, 4))
					job.Rate = rate
					pipe := quietPipe(t)(id)
					job.pipe = func(voicing.PipeID) voicing.Pipe { return pipe }
					l, _, _ := pressure(t, job)
					y := make([]float64, n)
					for i := range y { // Blackman-Harris, side lobes 92 dB down (Harris, Proc. IEEE 66 (1978) 51)
						u := 2 * math.Pi * float64(i) / n
						y[i] = l[2*rate+i] * (0.35875 - 0.48829*math.Cos(u) + 0.14128*math.Cos(2*u) - 0.01168*math.Cos(3*u))
					}
					fft := fourier.NewFFT(n)
					strongest, between, where := 0.0, 0.0, 0.0
					for k, c := range fft.Coefficients(nil, y) {
						a, hz := math.Hypot(real(c), imag(c)), fft.Freq(k)*float64(rate)
						strongest = max(strongest, a)
						// Nearer than 12 Hz lie the window's main lobe and the slow wander of the pipe's level.
						off := math.Abs(math.Remainder(hz, pipe.Hz))
						if (off > 12 || hz > 0.46*float64(rate)) && a > between {
							between, where = a, hz
						}
					}
					db := 20 * math.Log10(between/strongest)
					require.Less(t, db, -80.0, "%v at %d Hz: %.1f dB at %.0f Hz, pipe of %.1f Hz", id, rate, db, where, pipe.Hz)
				})
			}
		})
	}
}

// A key pressed or let go makes no click: nowhere is the step from sample to sample larger than
// in the steady sound. The release is tried at many places of the period.
func TestNoClickAtTheEdges(t *testing.T) {
	for _, id := range []voicing.PipeID{{Division: 1, Stop: 1, Key: 36}, {Division: 1, Stop: 4, Key: 55}, {Division: 0, Stop: 2, Key: 72}, {Division: 1, Stop: 9, Key: 60}} {
		t.Run(fmt.Sprint(id), func(t *testing.T) {
			pipe := quietPipe(t)(id)
			for try := range 12 {
				off := 1.6 + float64(try)/12/pipe.Hz
				job := dryJob(note(0, 0, 60, 0.2, off))
				job.pipe = func(voicing.PipeID) voicing.Pipe { return pipe }
				l, _, _ := pressure(t, job)
				step := func(from, to float64) (most float64) {
					for i := int(from * testRate); i < min(len(l), int(to*testRate)); i++ {
						most = max(most, math.Abs(l[i]-l[i-1]))
					}
					return most
				}
				steady := step(1.2, 1.55)
				require.Less(t, step(0.1, 1.2), 1.05*steady, "%v speaking", id)
				require.Less(t, step(1.55, 4), 1.05*steady, "%v let go", id)
			}
		})
	}
}
