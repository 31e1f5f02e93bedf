package sound

import (
	"fmt"
	"math"
	"math/cmplx"
	"testing"

	"afterchord/acoustics/hearing"
	"afterchord/sim/field"
	"afterchord/sim/pipework"
	"afterchord/voicing"

	"github.com/stretchr/testify/require"
)

// What a room leaves of the rise and fall of repeated notes at F a second is m(F) = 1/sqrt(1 + (2πFT/13.8)²), the modulation transfer of an exponential
// decay (Houtgast & Steeneken, Acustica 28 (1973) 66; IEC 60268-16), in the sound and in the energy model alike. The hall has early reflections
// at every seat and the seat is far from the organ, so that the decay is one exponential.
func TestRepeatedNotesKeepTheirModulation(t *testing.T) {
	const rt, rate = 2.0, 12000
	hall := testRoom(t, rt)
	hall.ConcertHall = true
	for b := range hall.RT60 {
		hall.RT60[b] = rt
	}
	seat, err := hall.Seat("back")
	require.NoError(t, err)
	for _, hz := range []float64{2, 4} {
		t.Run(fmt.Sprint(hz), func(t *testing.T) {
			const from, to = 5.0, 15.0 // whole periods, the room being full
			job := Job{Organ: simpleOrgan(), Room: hall, Seat: seat, Rate: rate}
			for k := range int(to * hz) {
				on := float64(k) / hz
				job.Events = append(job.Events, note(0, 0, 60, on, on+0.5/hz))
			}
			job.pipe = func(id voicing.PipeID) voicing.Pipe {
				p := voicing.Pipe{ID: id, Hz: 55, Speech: voicing.Speech{ReleaseS: 2e-3}}
				for n := 8; n < 40; n++ { // 440 Hz to 2.2 kHz
					p.Partials = append(p.Partials, voicing.Partial{N: n, Hz: 55 * float64(n), Power: 1e6, RiseS: 2e-3, Phase: 0.7 * float64(n*n)})
				}
				return p
			}
			modulation := func(power func(i int) float64, rate int) float64 {
				var sum float64
				var swing complex128
				for i := int(from * float64(rate)); i < int(to*float64(rate)); i++ {
					p := power(i)
					sum += p
					swing += complex(p, 0) * cmplx.Exp(complex(0, -2*math.Pi*hz*float64(i)/float64(rate)))
				}
				return 2 * cmplx.Abs(swing) / sum
			}
			heard := func() float64 {
				l, r, _ := pressure(t, job)
				return modulation(func(i int) float64 { return l[i]*l[i] + r[i]*r[i] }, rate)
			}
			wet := heard()
			job.Dry = true
			dry := heard()
			want := 1 / math.Sqrt(1+math.Pow(2*math.Pi*hz*rt/13.8, 2))
			t.Logf("%g Hz: %.3f of %.3f is %.3f, for %.3f", hz, wet, dry, wet/dry, want)
			require.InDelta(t, want, wet/dry, 0.08, "one seat, some thirty lines: each has its standing waves")

			minster, _ := voicing.BuiltIn("minster")
			h := field.NewHall(minster, hall, seat, hearing.New(hearing.Options{}), nil)
			struck := make([]pipework.Event, len(job.Events))
			copy(struck, job.Events)
			for i := range struck {
				struck[i].Pipe = voicing.PipeID{Division: 1, Stop: 2, Key: 84}
			}
			const step = 200 // a second
			left := modulation(func(i int) float64 {
				bands := make([]float64, h.Model.N())
				for k := range struck {
					h.Pipe(bands, &struck[k], float64(i)/step)
				}
				return math.Pow(10, field.DB(bands)/10)
			}, step)
			t.Logf("%g Hz: the energy model leaves %.3f", hz, left)
			require.InDelta(t, want*dry, left, 0.05, "with the speech of the pipe")
		})
	}
}
