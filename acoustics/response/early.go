package response

import (
	"math"

	"afterchord/acoustics/air"
	"afterchord/acoustics/geometry"
	"afterchord/acoustics/impulse"
	"afterchord/acoustics/internal/fft"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/room"
)

// mixingTime is when the diffuse tail has taken over from the single reflections, s after
// the direct sound at the seat that late leads to: sqrt(V in m³) ms (Polack), within 15..80 ms, and no sooner than the reverberant sound has built up.
func mixingTime(r *room.Room, late room.Path) float64 {
	return min(0.080, max(0.015, math.Sqrt(r.VolumeM3)/1000, 1.5*late.BuildUpS))
}

// diffuseShare is how much of the energy at u (0..1 of the mixing time) is the tail's.
func diffuseShare(u float64) float64 {
	u = min(1, max(0, u))
	return u * u * (3 - 2*u)
}

// earlyBy is what hear gets of the direct sound from source and the first reflections of the box, at rate (Hz),
// before a tail that is already there; it lasts about the delay and a tenth of a second. In each octave band its energy and
// that of [Late] add up to [room.Room.Path], but for what the direct sound of a source that points has more. For a measured room it is the first 80 ms.
func earlyBy(r *room.Room, from Source, seat room.Seat, rate int, tail *impulse.Response, hear receiver) Early {
	source := r.Fit(from.At)
	path := r.Path(source, seat)
	if r.Measured != nil {
		return Early{Reflected: measuredPart(r, path.DelayS, rate, true)}
	}
	ahead := path.Direct
	for b, x := range from.toward(r, seat) {
		ahead[b] *= x
	}
	mixing := mixingTime(r, latePath(r, seat))
	length := int((path.DelayS + mixing + 0.01) * float64(rate))
	n := max(8, fft.PowerOfTwo(int((path.DelayS+earlyS)*float64(rate))+rate/10))
	arrivals := images(r, source, seat, mixing)
	reflectance, airLoss := wallReflectance(r), air.Attenuation(r.TempC, r.Humidity)
	transform, share := fft.NewReal(n), powerShares(n, rate)

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
				power := a.power * math.Pow(reflectance[b], float64(a.order)) * math.Exp(-airLoss[b]*a.metres) * single
				heardOf[i][ch].addTo(buf, math.Sqrt(power))
			}
			transform.Coefficients(coeff, buf)
			for k, w := range share[b] {
				reflectSpec[ch][k] += complex(real(coeff[k])*w, imag(coeff[k])*w)
			}
		}
	}
	for k := range n/2 + 1 {
		g := complex(math.Sqrt(smooth(ahead, share, k)), 0)
		directSpec[0][k] *= g
		directSpec[1][k] *= g
	}
	// The reflections interfere with the direct sound and with the beginning of the tail, so their gain
	// per band is solved for, not added up.
	// Early and late are brought each to what the path has, so that clarity is the path's too.
	base := [2][]complex128{}
	until := min(n, len(tail.L), int((path.DelayS+earlyS)*float64(rate)))
	for ch, x := range [][]float64{tail.L, tail.R} {
		clear(buf)
		copy(buf, x[:until])
		base[ch] = transform.Coefficients(nil, buf)
		for k, v := range base[ch] {
			base[ch][k] = v + directSpec[ch][k]
		}
	}
	var want octave.Bands
	for b := range want {
		want[b] = path.EnergyAfter(b, 0) - path.EnergyAfter(b, earlyS) + ahead[b] - path.Direct[b]
	}
	gains := reflectionGains(base, reflectSpec, share, want, n, rate)
	for k := range n/2 + 1 {
		g := complex(smooth(gains, share, k), 0)
		for ch := range 2 {
			reflectSpec[ch][k] *= g
		}
	}
	sound := func(spec [2][]complex128) *impulse.Response {
		out := &impulse.Response{Rate: rate}
		for ch, dst := range []*[]float64{&out.L, &out.R} {
			*dst = transform.Sequence(nil, spec[ch])[:length]
			for i := range *dst {
				(*dst)[i] /= float64(n)
			}
			fadeOut(*dst, rate/200)
		}
		return out
	}
	return Early{sound(directSpec), sound(reflectSpec)}
}

// reflectionGains are the gains per octave band with which the reflections, added to what is there without them, bring the
// energy that is wanted. They interfere with it, and a band's gain reaches into its neighbours', so the gains are approached
// in a few rounds.
func reflectionGains(base, reflections [2][]complex128, share *shares, want octave.Bands, n, rate int) octave.Bands {
	gains := octave.Flat(1)
	scaled := [2][]complex128{make([]complex128, n/2+1), make([]complex128, n/2+1)}
	sum := [2][]complex128{make([]complex128, n/2+1), make([]complex128, n/2+1)}
	fixed := mean2(base, n, rate)
	for range 7 {
		for k := range n/2 + 1 {
			g := smooth(gains, share, k)
			for ch := range 2 {
				r := reflections[ch][k]
				scaled[ch][k] = complex(real(r)*g, imag(r)*g)
				sum[ch][k] = base[ch][k] + scaled[ch][k]
			}
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
	return gains
}

// smooth is the value of v at coefficient k, led over from band to band.
func smooth(v octave.Bands, share *shares, k int) float64 {
	var sum float64
	for b := range v {
		sum += v[b] * share[b][k]
	}
	return sum
}

// latePath is the path from the organ's middle, which the shared tail stands for.
func latePath(r *room.Room, seat room.Seat) room.Path { return r.Path(r.OrganMiddle(), seat) }

func fadeOut(x []float64, n int) {
	n = min(n, len(x))
	for i := range n {
		x[len(x)-n+i] *= 0.5 + 0.5*math.Cos(math.Pi*float64(i+1)/float64(n))
	}
}

// mean2 is [MeanPower] over two channels.
func mean2(spec [2][]complex128, n, rate int) octave.Bands {
	a, b := impulse.MeanPower(spec[0], n, rate), impulse.MeanPower(spec[1], n, rate)
	for i := range a {
		a[i] = (a[i] + b[i]) / 2
	}
	return a
}
