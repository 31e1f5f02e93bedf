package response

import (
	"fmt"
	"math"
	"testing"

	"afterchord/acoustics/impulse"
	"afterchord/acoustics/internal/fft"
	"afterchord/acoustics/longtest"
	"afterchord/acoustics/measure"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/room"

	"gonum.org/v1/gonum/dsp/fourier"
)

// bandLevels is the mean |H|² per octave band over both channels.
func bandLevels(r *impulse.Response) octave.Bands {
	n := fft.Length(len(r.L))
	fft := fourier.NewFFT(n)
	var out octave.Bands
	for _, x := range [][]float64{r.L, r.R} {
		buf := make([]float64, n)
		copy(buf, x)
		m := impulse.MeanPower(fft.Coefficients(nil, buf), n, r.Rate)
		for b := range out {
			out[b] += m[b] / 2
		}
	}
	return out
}

// The audio and the energy model are the same room.
func TestResponseEnergyAgreesWithPath(t *testing.T) {
	names := []string{"practice-room", "chapel", "concert-hall", "cathedral"}
	for _, name := range names[:longtest.Of(2, len(names))] {
		t.Run(name, func(t *testing.T) {
			r, _ := room.BuiltIn(name)
			for _, s := range []string{"console", "back"} {
				t.Run(s, func(t *testing.T) {
					seat, err := r.Seat(s)
					if err != nil {
						t.Fatal(err)
					}
					src := r.OrganMiddle()
					got, p := bandLevels(Whole(r, src, seat, 48000)), r.Path(src, seat)
					for b := range got {
						diff := 10 * math.Log10(got[b]/p.EnergyAfter(b, 0))
						tolerance := 0.3
						if b < 2 {
							tolerance = 0.8 // few modes of the noise lie in the lowest bands, and they add to the direct sound by chance
						}
						t.Logf("%g Hz %+.2f", octave.Centres[b], diff)
						if math.Abs(diff) > tolerance {
							t.Errorf("%s %s %g Hz: audio is %+.2f dB re the model", name, s, octave.Centres[b], diff)
						}
					}
				})
			}
		})
	}
}

// What was asked comes back: T30 within 2 % per octave band, 125 Hz to 4 kHz.
func TestReverberationTimeComesBack(t *testing.T) {
	times := []float64{0.3, 2, 0.5, 12}
	for _, rt := range times[:longtest.Of(2, len(times))] {
		t.Run(fmt.Sprint(rt), func(t *testing.T) {
			r, err := room.FromRT(rt)
			if err != nil {
				t.Fatal(err)
			}
			r.RT60 = octave.Flat(rt)
			seat, _ := r.Seat("back")
			resp := Whole(r, r.OrganMiddle(), seat, 48000)
			for ch, x := range [][]float64{resp.L, resp.R} {
				t.Run([]string{"left", "right"}[ch], func(t *testing.T) {
					m, err := measure.Channel(x, resp.Rate)
					if err != nil {
						t.Fatal(err)
					}
					line := ""
					for b := 2; b <= 7; b++ {
						got := m.Bands[b].T30.Value
						line += fmt.Sprintf(" %+.2f%%", 100*(got/rt-1))
						if !(math.Abs(got/rt-1) <= 0.02) {
							t.Errorf("T = %g s, channel %d, %g Hz: T30 %.3f s (%+.1f %%)", rt, ch, octave.Centres[b], got, 100*(got/rt-1))
						}
					}
					t.Log(rt, line)
				})
			}
		})
	}
}

func BenchmarkResponse(b *testing.B) {
	r, _ := room.FromRT(6)
	seat, _ := r.Seat("middle")
	for b.Loop() {
		Whole(r, r.OrganMiddle(), seat, 48000)
	}
}
