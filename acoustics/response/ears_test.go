package response

import (
	"errors"
	"math"
	"math/cmplx"
	"testing"

	"afterchord/acoustics/air"
	"afterchord/acoustics/geometry"
	"afterchord/acoustics/impulse"
	"afterchord/acoustics/internal/fft"
	"afterchord/acoustics/longtest"
	"afterchord/acoustics/measure"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/room"

	"gonum.org/v1/gonum/dsp/fourier"
)

func TestDiffuseCoherence(t *testing.T) {
	// The series for opposite points of a rigid sphere of 8.75 cm at 343 m/s with the Bessel functions of scipy 1.10.
	for _, row := range []struct{ hz, want float64 }{
		{31.5, 0.996}, {63, 0.985}, {125, 0.939}, {250, 0.756}, {354, 0.528}, {500, 0.183}, {707, -0.130},
		{1000, -0.124}, {1414, 0.089}, {2000, -0.055}, {2828, 0.022}, {4000, 0.015}, {8000, -0.006},
	} {
		if got := diffuseCoherence(row.hz, 343); math.Abs(got-row.want) > 0.0006 {
			t.Errorf("%g Hz: %.4f for %.3f", row.hz, got, row.want)
		}
	}
	// Heads as measured: the fit of Borß & Martin, AES 35th Conference (2009), equation 8, as a published program has it.
	for hz := 20.0; hz < 8000; hz *= 1.1 {
		x := math.Pi * hz / 550
		want := math.Sin(x) / x * max(0, 1-hz/2700)
		if got := diffuseCoherence(hz, 343); math.Abs(got-want) > 0.15 {
			t.Errorf("%.0f Hz: %.3f, heads have %.3f", hz, got, want)
		}
	}
	for _, row := range [][2]float64{{0, 1}, {-1, 1}, {math.NaN(), 1}, {1e9, 0}, {math.Inf(1), 0}} {
		if got := diffuseCoherence(row[0], 343); got != row[1] {
			t.Errorf("%g at %g Hz", got, row[0])
		}
	}
}

// ears renders what stands to the left, to the right and in the middle of a room.
func ears(t *testing.T, roomName, seat string) (r *room.Room, s room.Seat, sides []geometry.Point, early []*impulse.Response, late *impulse.Response) {
	t.Helper()
	r, s, sides = sidesOf(t, roomName, seat)
	parts, tail, err := Ears(t.Context(), r, everywhere(sides...), s, 48000)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range parts {
		early = append(early, e.Whole())
	}
	return r, s, sides, early, allOf(t, tail)
}

// sidesOf is a seat of a room and sources at the left, at the right and in the middle of its organ.
func sidesOf(t *testing.T, roomName, seat string) (*room.Room, room.Seat, []geometry.Point) {
	t.Helper()
	r, _ := room.BuiltIn(roomName)
	s, err := r.Seat(seat)
	if err != nil {
		t.Fatal(err)
	}
	side := r.SizeM[1] / 3
	return r, s, []geometry.Point{{X: -side, Y: -1, Z: 5}, {X: side, Y: -1, Z: 5}, {X: 0, Y: -1, Z: 5}}
}

func allOf(t *testing.T, tail *Tail) *impulse.Response {
	all, err := tail.Whole(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// everywhere are sources that send as much into all directions.
func everywhere(places ...geometry.Point) (out []Source) {
	for _, p := range places {
		out = append(out, Source{At: p})
	}
	return out
}

// Two ears together have the energy of the model, as the plain rendering has, and each its decay.
func TestEarsAgreeWithPath(t *testing.T) {
	names := []string{"concert-hall", "chapel", "cathedral"}
	for _, name := range names[:longtest.Of(1, len(names))] {
		t.Run(name, func(t *testing.T) {
			for _, where := range []string{"console", "middle"} {
				t.Run(where, func(t *testing.T) {
					r, seat, sides, early, late := ears(t, name, where)
					for i, e := range early {
						both := sum(e, late)
						got, p := bandLevels(both), r.Path(sides[i], seat)
						for b := range got {
							slack := 0.5
							if b < 2 {
								slack = 1 // few modes
							}
							if diff := 10 * math.Log10(got[b]/p.EnergyAfter(b, 0)); math.Abs(diff) > slack {
								t.Errorf("%s %s source %d, %g Hz: %+.2f dB", name, where, i, octave.Centres[b], diff)
							}
						}
						if i > 0 || name != "concert-hall" || where != "middle" {
							continue // one will do
						}
						for ch, x := range [][]float64{both.L, both.R} {
							t.Run([]string{"left", "right"}[ch], func(t *testing.T) {
								m, err := measure.Channel(x, both.Rate)
								if err != nil {
									t.Fatal(err)
								}
								for b := 2; b <= 7; b++ {
									if off := m.Bands[b].T30.Value/r.RT60[b] - 1; !(math.Abs(off) <= 0.04) {
										t.Errorf("%s %s, ear %d, %g Hz: T30 is %.3f s for %.3f s", name, where, ch, octave.Centres[b], m.Bands[b].T30.Value, r.RT60[b])
									}
								}
							})
						}
					}
				})
			}
		})
	}
}

// The tail joins without a step: in windows about the mixing time the energy of two ears follows the
// plain rendering's, in the mean of four noises (one alone is off by a tenth of a decibel either way).
func TestEarsJoinAsThePair(t *testing.T) {
	r, seat, sides := sidesOf(t, "cathedral", "middle")
	windows := [][2]float64{{-0.002, 0.005}, {0.005, 0.03}, {0.03, 0.06}, {0.06, 0.09}, {0.09, 0.12}, {0.12, 0.3}, {0.3, 1}}
	energy := func(x *impulse.Response, from, to float64) (sum float64) {
		for i := int(from * 48000); i < int(to*48000); i++ {
			sum += x.L[i]*x.L[i] + x.R[i]*x.R[i]
		}
		return 10 * math.Log10(sum)
	}
	const noises = 4
	louder := make([][]float64, len(sides)) // dB, by source and window
	for i := range louder {
		louder[i] = make([]float64, len(windows))
	}
	for range noises {
		heard, heardLate, err := Ears(t.Context(), r, everywhere(sides...), seat, 48000)
		if err != nil {
			t.Fatal(err)
		}
		plain, plainLate, err := Pair(t.Context(), r, everywhere(sides...), seat, 48000)
		if err != nil {
			t.Fatal(err)
		}
		for i := range sides {
			a, b := sum(heard[i].Whole(), heardLate.Beginning()), sum(plain[i].Whole(), plainLate.Beginning())
			d := r.Path(sides[i], seat).DelayS
			for k, w := range windows {
				louder[i][k] += (energy(a, d+w[0], d+w[1]) - energy(b, d+w[0], d+w[1])) / noises
			}
		}
		r.Seed++
	}
	for i := range sides {
		for k, w := range windows {
			if math.Abs(louder[i][k]) > 1 {
				t.Errorf("source %d, %g to %g s: ears %+.2f dB re the pair", i, w[0], w[1], louder[i][k])
			}
		}
	}
}

// coherence is the normalized cross spectrum of two signals over the coefficients from lo to hi Hz.
func coherence(l, r []float64, lo, hi float64, rate int) float64 {
	n := fft.Length(len(l))
	f := fourier.NewFFT(n)
	spec := func(x []float64) []complex128 {
		return f.Coefficients(nil, append(append(make([]float64, 0, n), x...), make([]float64, n-len(x))...))
	}
	a, b := spec(l), spec(r)
	var cross, pa, pb float64
	for k := int(lo * float64(n) / float64(rate)); k <= int(hi*float64(n)/float64(rate)) && k < len(a); k++ {
		cross += real(a[k] * cmplx.Conj(b[k]))
		pa += real(a[k] * cmplx.Conj(a[k]))
		pb += real(b[k] * cmplx.Conj(b[k]))
	}
	return cross / math.Sqrt(pa*pb)
}

func TestTailHasTheCoherenceOfTheEars(t *testing.T) {
	r, _, _, _, late := ears(t, "cathedral", "middle")
	c := air.SpeedOfSound(r.TempC)
	for b, centre := range octave.Centres {
		lo, hi := centre/math.Sqrt2, centre*math.Sqrt2
		want := 0.0
		for i := range 100 {
			want += diffuseCoherence(lo+(hi-lo)*(float64(i)+0.5)/100, c) / 100
		}
		got := coherence(late.L, late.R, lo, hi, late.Rate)
		t.Logf("%6g Hz: %+.3f for %+.3f", centre, got, want)
		slack := 0.05
		if b > 1 && b < 5 {
			slack = 0.1 // chance in a few hundred modes
		}
		if math.Abs(got-want) > slack {
			t.Errorf("%g Hz: coherence %.3f for %.3f", centre, got, want)
		}
	}
}

func energyOf(x []float64) (sum float64) {
	for _, v := range x {
		sum += v * v
	}
	return sum
}

// What stands to the left is heard earlier and louder by the left ear, what stands in the middle alike by both.
func TestLeftIsLeft(t *testing.T) {
	r, seat, sides, early, _ := ears(t, "cathedral", "front")
	for i, e := range early {
		at := int(r.Path(sides[i], seat).DelayS * float64(e.Rate))
		direct := [2][]float64{e.L[at-48 : at+60], e.R[at-48 : at+60]} // 1 ms before to 1.25 ms after
		first := func(x []float64) int {
			top := 0.0
			for _, v := range x {
				top = max(top, math.Abs(v))
			}
			for k, v := range x {
				if math.Abs(v) > top/2 {
					return k
				}
			}
			return 0
		}
		lag := float64(first(direct[1])-first(direct[0])) / float64(e.Rate) * 1e6
		level := 10 * math.Log10(energyOf(direct[0])/energyOf(direct[1]))
		t.Logf("source %d: the left ear is %.0f µs earlier and %.1f dB louder", i, lag, level)
		switch side := sides[i].X; {
		case side < 0 && !(lag > 50 && level > 1), side > 0 && !(lag < -50 && level < -1), side == 0 && (lag != 0 || math.Abs(level) > 1e-9):
			t.Errorf("source at %g m: left ear %.0f µs earlier, %.1f dB louder", side, lag, level)
		}
	}
}

func TestEarsAreTheSameEachTime(t *testing.T) {
	_, _, _, a, al := ears(t, "chapel", "middle")
	_, _, _, b, bl := ears(t, "chapel", "middle")
	for i, x := range append(a, al) {
		y := append(b, bl)[i]
		for k := range x.L {
			if x.L[k] != y.L[k] || x.R[k] != y.R[k] {
				t.Fatalf("response %d differs at sample %d", i, k)
			}
		}
	}
}

func TestRecordedRoomHasNoOtherEars(t *testing.T) {
	r, _ := room.BuiltIn("chapel")
	seat, _ := r.Seat("middle")
	measured := *r
	measured.Measured = Whole(r, r.OrganMiddle(), seat, 48000)
	if _, _, err := Ears(t.Context(), &measured, everywhere(r.OrganMiddle()), seat, 48000); !errors.Is(err, ErrRecorded) {
		t.Errorf("error %v", err)
	}
}

func BenchmarkResponses(b *testing.B) {
	r, _ := room.FromRT(7)
	sides := []geometry.Point{{X: -4, Y: -1, Z: 5}, {X: 4, Y: -1, Z: 5}, {X: 0, Y: -1, Z: 5}}
	seat, _ := r.Seat("middle")
	b.Run("pair", func(b *testing.B) {
		for b.Loop() {
			Pair(b.Context(), r, everywhere(sides...), seat, 48000)
		}
	})
	b.Run("ears", func(b *testing.B) {
		for b.Loop() {
			Ears(b.Context(), r, everywhere(sides...), seat, 48000)
		}
	})
}

// diffuseCoherence is that of the sphere for a head at hz, where the speed of sound is c, m/s.
func diffuseCoherence(hz, c float64) float64 {
	return sphereCoherence(2 * math.Pi * hz / c * HeadRadius)
}
