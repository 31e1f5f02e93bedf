package sound

import (
	"math"

	"afterchord/acoustics"
	"afterchord/acoustics/convolve"
	"afterchord/acoustics/geometry"
)

// responses are the stereo responses of each division's place, and the one they share.
func (j *Job) responses() (own []convolve.Response, shared convolve.Response) {
	own = make([]convolve.Response, len(j.Organ.Divisions))
	switch {
	case j.Dry:
		for i := range own {
			own[i] = j.direct(i)
		}
	default:
		places := make([]geometry.Point, len(own))
		for i := range places {
			places[i] = j.Organ.Divisions[i].Place
		}
		early, late := j.Room.Responses(places, j.Seat, j.Rate)
		for i, e := range early {
			own[i] = asResponse(e)
		}
		shared = asResponse(late)
	}
	return own, shared
}

// hall is the convolution with the responses, and how long the longest is, samples.
type hall struct {
	conv *convolve.Convolver
	tail int
	err  error
}

func (j *Job) hall() hall {
	own, shared := j.responses()
	tail := len(shared.L)
	for _, o := range own {
		tail = max(tail, len(o.L))
	}
	conv, err := convolve.New(own, shared, convolve.Options{Block: block, Single: true, Workers: j.workers()})
	return hall{conv, tail, err}
}

func asResponse(r *acoustics.Response) convolve.Response {
	if r == nil {
		return convolve.Response{}
	}
	return convolve.Response{L: r.L, R: r.R}
}

// direct is the free field at the seat: a single tap of gain sqrt(ρc·1e-12/(4πd²))/20 µPa,
// d/c after the source (ISO 9613-2, geometrical divergence; no absorption by air).
func (j *Job) direct(division int) convolve.Response {
	temp := 20.0
	if j.Room != nil {
		temp = j.Room.TempC
	}
	d := math.Max(0.5, j.Organ.Divisions[division].Place.Distance(j.Seat.At))
	gain := math.Sqrt(acoustics.CharacteristicImpedance(temp)*1e-12/(4*math.Pi*d*d)) / 20e-6
	at := int(math.Round(d / acoustics.SpeedOfSound(temp) * float64(j.Rate)))
	h := make([]float64, at+1)
	h[at] = gain
	return convolve.Response{L: h, R: h}
}
