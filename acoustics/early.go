package acoustics

import (
	"math"
	"slices"

	"afterchord/acoustics/geometry"
	"afterchord/acoustics/internal/fft"
	"afterchord/acoustics/octave"
)

// mixingTime is when the diffuse tail has taken over from the single reflections, s after
// the direct sound: sqrt(V in m³) ms (Polack), within 15..80 ms.
func (r *Room) mixingTime() float64 {
	return min(0.080, max(0.015, math.Sqrt(r.VolumeM3)/1000))
}

// diffuseShare is how much of the energy at u (0..1 of the mixing time) is the tail's.
func diffuseShare(u float64) float64 {
	u = min(1, max(0, u))
	return u * u * (3 - 2*u)
}

// lateShare is the part of one exponential's energy that the tail holds when it fades in
// over the mixing time: ∫ share(t)·rate·exp(−rate·t) dt.
func lateShare(rate, mixing float64) float64 {
	const steps = 400
	var sum float64
	h := mixing / steps
	for i := range steps {
		t := (float64(i) + 0.5) * h
		sum += diffuseShare(t/mixing) * rate * math.Exp(-rate*t) * h
	}
	return sum + math.Exp(-rate*mixing)
}

// EarlyResponse is the direct sound from source and the first reflections of the
// box, at rate (Hz); it lasts about the delay and a tenth of a second. In each octave band its energy and that of
// [Room.LateResponse] add up to [Room.Path]. For a measured room it is the first 80 ms. Where several
// sources are heard from one seat, [Room.Responses] costs less.
func (r *Room) EarlyResponse(source geometry.Point, seat Seat, rate int) *Response {
	return r.early(source, seat, rate, r.LateResponse(seat, rate), stereoPair(SpeedOfSound(r.TempC), rate))
}

// early is what hear gets before a tail that is already there.
func (r *Room) early(source geometry.Point, seat Seat, rate int, tail *Response, hear receiver) *Response {
	path := r.Path(source, seat)
	if r.Measured != nil {
		return r.measuredPart(path.DelayS, rate, true)
	}
	mixing := r.mixingTime()
	length := int((path.DelayS + mixing + 0.01) * float64(rate))
	n := max(8, fft.PowerOfTwo(length+rate/10))
	// In a dry room the tail overlaps the reflections in few periods of the low bands; all of it counts.
	dry := slices.Max(r.RT60[:]) < overlapBelow
	if dry {
		n = max(n, fft.PowerOfTwo(len(tail.L)))
	}
	arrivals := r.images(source, seat, mixing)
	reflectance, air := r.wallReflectance(), AirAttenuation(r.TempC, r.Humidity)
	transform, share := fft.NewReal(n), powerShares(n, rate)

	late := r.latePath(seat)
	var target octave.Bands // what the reflections have to bring
	for b := range target {
		for _, t := range path.Tail[b] {
			target[b] += t.Gain
		}
		for _, t := range late.Tail[b] {
			target[b] -= t.Gain * lateShare(t.Rate, mixing)
		}
		var whole float64
		for _, t := range path.Tail[b] {
			whole += t.Gain
		}
		target[b] = max(target[b], 0.02*whole)
	}

	var directSpec, reflectSpec [2][]complex128
	buf := make([]float64, n)
	direct := hear(geometry.Point{X: source.X - seat.At.X, Y: source.Y - seat.At.Y, Z: source.Z - seat.At.Z}, path.DelayS)
	heardOf := make([][2]wavelet, len(arrivals))
	for i, a := range arrivals {
		heardOf[i] = hear(a.from, a.delayS)
	}
	for ch := range 2 {
		directSpec[ch] = make([]complex128, n/2+1)
		reflectSpec[ch] = make([]complex128, n/2+1)
		clear(buf)
		direct[ch].addTo(buf, 1)
		transform.Coefficients(directSpec[ch], buf)
		coeff := make([]complex128, n/2+1)
		for b := range octave.N {
			clear(buf)
			for i, a := range arrivals {
				single := 1 - diffuseShare((a.delayS-path.DelayS)/mixing)
				power := a.power * math.Pow(reflectance[b], float64(a.order)) * math.Exp(-air[b]*a.metres) * single
				heardOf[i][ch].addTo(buf, math.Sqrt(power))
			}
			transform.Coefficients(coeff, buf)
			for k, w := range share[b] {
				reflectSpec[ch][k] += complex(real(coeff[k])*w, imag(coeff[k])*w)
			}
		}
	}
	smooth := func(gains octave.Bands, k int) float64 {
		var g float64
		for b := range gains {
			g += gains[b] * share[b][k]
		}
		return g
	}
	for k := range n/2 + 1 {
		g := complex(math.Sqrt(smooth(path.Direct, k)), 0)
		directSpec[0][k] *= g
		directSpec[1][k] *= g
	}
	// The reflections interfere with the direct sound and with the beginning of the tail, so their gain
	// per band is solved for, not added up.
	base, heard := [2][]complex128{}, [2][]complex128{}
	for ch, x := range [][]float64{tail.L, tail.R} {
		clear(buf)
		if m := copy(buf, x); m < len(x) {
			fadeOut(buf, (n-length)/2)
		}
		heard[ch] = transform.Coefficients(nil, buf)
		base[ch] = make([]complex128, n/2+1)
		for k, v := range heard[ch] {
			base[ch][k] = v + directSpec[ch][k]
		}
	}
	want := mean2(directSpec, n, rate)
	begun := mean2(heard, n, rate)
	for b := range want {
		want[b] += target[b] + begun[b]
		if dry {
			want[b] = path.energyAfter(b, 0)
		}
	}
	gains := octave.Flat(1)
	sum := [2][]complex128{make([]complex128, n/2+1), make([]complex128, n/2+1)}
	scaled := [2][]complex128{make([]complex128, n/2+1), make([]complex128, n/2+1)}
	fixed := mean2(base, n, rate)
	for round := range 8 {
		for k := range n/2 + 1 {
			g := smooth(gains, k)
			for ch := range 2 {
				r := reflectSpec[ch][k]
				scaled[ch][k] = complex(real(r)*g, imag(r)*g)
				sum[ch][k] = base[ch][k] + scaled[ch][k]
			}
		}
		if round == 7 {
			for k := range n/2 + 1 {
				for ch := range 2 {
					sum[ch][k] = directSpec[ch][k] + scaled[ch][k]
				}
			}
			break
		}
		both, alone := mean2(sum, n, rate), mean2(scaled, n, rate)
		for b := range gains {
			if alone[b] <= 0 {
				continue
			}
			cross := both[b] - fixed[b] - alone[b] // fixed + x·cross + x²·alone = want
			x := (-cross + math.Sqrt(max(0, cross*cross-4*alone[b]*(fixed[b]-want[b])))) / (2 * alone[b])
			gains[b] *= min(30, max(0.03, x))
		}
	}
	out := &Response{Rate: rate}
	for ch, dst := range []*[]float64{&out.L, &out.R} {
		y := transform.Sequence(nil, sum[ch])
		*dst = y[:length]
		for i := range *dst {
			(*dst)[i] /= float64(n)
		}
		fadeOut(*dst, rate/200)
	}
	return out
}

// latePath is the path from the organ's middle, which the shared tail stands for.
func (r *Room) latePath(seat Seat) Path { return r.Path(r.OrganMiddle(), seat) }

func fadeOut(x []float64, n int) {
	n = min(n, len(x))
	for i := range n {
		x[len(x)-n+i] *= 0.5 + 0.5*math.Cos(math.Pi*float64(i+1)/float64(n))
	}
}

// overlapBelow is the longest reverberation time, s, that counts as dry in [Room.EarlyResponse].
const overlapBelow = 1.0

// mean2 is [bandMean] over two channels.
func mean2(spec [2][]complex128, n, rate int) octave.Bands {
	a, b := bandMean(spec[0], n, rate), bandMean(spec[1], n, rate)
	for i := range a {
		a[i] = (a[i] + b[i]) / 2
	}
	return a
}
