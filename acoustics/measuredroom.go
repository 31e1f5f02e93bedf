package acoustics

import (
	"errors"
	"fmt"
	"math"

	"afterchord/acoustics/internal/fft"
	"afterchord/acoustics/octave"
)

// measuredFit is the energy of a measured response as Path gives it.
type measuredFit struct {
	direct octave.Bands
	tail   [octave.N][]Term
}

// Excitation is what made a recording ring.
type Excitation string

// Excitations that [FromRecording] knows.
const (
	Impulse   Excitation = "impulse" // a measured response, balloon burst or hand clap
	CutOff    Excitation = "cut-off" // a chord or noise held and cut off
	measureMS            = 80e-3     // early part of a measured response, s
	directMS             = 5e-3      // its direct sound, s
)

// FromRecording measures a recording per octave band. An impulse is measured as a response (a balloon or a clap
// colours the bands but not their decay). A sound that was held and cut off (interrupted noise,
// ISO 3382-2) decays from where its level last falls; from it come T20 and T30, not the
// measures that need an impulse. Its decay is integrated once more, which smooths the noise and leaves a straight
// decay as it is; a slower late slope weighs more in it than in a response's.
func FromRecording(resp *Response, made Excitation) (Measures, error) {
	mono := monoOf(resp)
	if made != CutOff {
		return Measure(mono, resp.Rate)
	}
	at, err := cutOff(mono, resp.Rate)
	if err != nil {
		return Measures{}, err
	}
	// The decay itself is already the integral of the response (ISO 3382-1, 5.2), so its negative slope is
	// what a response's energy would be; an exponential's slope has the same rate.
	m, err := measure(mono[at:], resp.Rate, true)
	m.OnsetS += float64(at) / float64(resp.Rate)
	return m, err
}

// cutOff is the last sample at which the level, in windows of 50 ms, lies within 3 dB of
// its median loud level.
func cutOff(x []float64, rate int) (int, error) {
	if _, err := findOnset(x, rate); err != nil {
		return 0, err
	}
	step := rate / 20
	var peak float64
	level := make([]float64, len(x)/step)
	for i := range level {
		for _, v := range x[i*step : (i+1)*step] {
			level[i] += v * v
		}
		peak = max(peak, level[i])
	}
	for i := len(level) - 1; i >= 0; i-- {
		if level[i] > peak/2 {
			return i * step, nil
		}
	}
	return 0, errors.New("no end of the sound found")
}

// monoOf is left and right added, or the left where both are the same.
func monoOf(resp *Response) []float64 {
	out := make([]float64, len(resp.L))
	for i := range out {
		out[i] = (resp.L[i] + resp.R[i]) / 2
	}
	return out
}

// MeasureResponse measures both channels of a response and gives the left's figures and decays, or the mean of the figures
// where both are reliable.
func MeasureResponse(resp *Response) (Measures, error) {
	left, err := Measure(resp.L, resp.Rate)
	if err != nil {
		return left, err
	}
	right, err := Measure(resp.R, resp.Rate)
	if err != nil {
		return left, nil
	}
	for b := range left.Bands {
		l, r := &left.Bands[b], &right.Bands[b]
		others := r.figures()
		for i, f := range l.figures() {
			switch {
			case f.Reliable && others[i].Reliable:
				f.Value = (f.Value + others[i].Value) / 2
			case others[i].Reliable:
				*f = *others[i]
			}
		}
	}
	return left, nil
}

// RoomFromMeasures makes a computed room of measured times, for recordings that give no response to listen through (a chord cut
// off): T30 per octave band, T20 or EDT where the noise allows no more, and a band that gives none takes
// its neighbour's. Its volume follows from [ChurchVolume].
func RoomFromMeasures(m Measures, name string) (*Room, error) {
	var t octave.Bands
	var ok [octave.N]bool
	for b, band := range m.Bands {
		f := band.RT()
		if f.Value >= 0.05 && f.Value <= 2*MaxRT60 {
			t[b], ok[b] = f.Value, true
		}
	}
	filled := nearestGiven(t, ok)
	if filled[4] == 0 {
		return nil, errors.New("the response is too noisy or too short: no octave band gives a reverberation time")
	}
	r, err := FromRT(min(MaxRT60, max(MinRT60, (filled[4]+filled[5])/2)))
	if err != nil {
		return nil, err
	}
	r.Name, r.Title, r.RT60 = name, fmt.Sprintf("%s (measured)", name), filled
	return r, nil
}

// RoomFromResponse makes a room of a measured response with the times that [RoomFromMeasures] takes from it. The
// recording's level says nothing of sound power, so it is scaled to what such a room gives from the organ's middle to the middle
// seat at 500 Hz and 1 kHz.
func RoomFromResponse(resp *Response, name string) (*Room, error) {
	m, err := MeasureResponse(resp)
	if err != nil {
		return nil, err
	}
	r, err := RoomFromMeasures(m, name)
	if err != nil {
		return nil, err
	}
	r.Measured = resp
	r.calibrate(int(m.OnsetS * float64(resp.Rate)))
	return r, nil
}

// withMeasured puts a measured room's sound into the room that a file describes.
func (r *Room) withMeasured(measured *Room, file string) *Room {
	r.ResponseFile = file
	if r.RT60 == (octave.Bands{}) {
		r.RT60 = measured.RT60
	}
	if r.VolumeM3 == 0 {
		r.VolumeM3, r.SizeM, r.Seats = measured.VolumeM3, measured.SizeM, measured.Seats
	}
	r.Measured = measured.Measured
	r.calibrate(0)
	return r
}

// calibrate trims the response to 1 ms before its onset, scales it and fits its decay.
func (r *Room) calibrate(onset int) {
	resp := r.Measured
	start := max(0, onset-resp.Rate/1000)
	trimmed := &Response{Rate: resp.Rate, L: append([]float64(nil), resp.L[start:]...), R: append([]float64(nil), resp.R[start:]...)}
	r.Measured = nil
	seat, err := r.Seat("middle")
	if err != nil {
		seat = r.Seats[len(r.Seats)-1]
	}
	p := r.Path(r.OrganMiddle(), seat)
	want := p.energyAfter(4, 0) + p.energyAfter(5, 0)
	gain := responseMean(trimmed)
	scale := math.Sqrt(want / max(gain[4]+gain[5], 1e-300))
	for i := range trimmed.L {
		trimmed.L[i] *= scale
		trimmed.R[i] *= scale
	}
	r.Measured = trimmed
	r.fit = fitResponse(trimmed)
}

// responseMean is the mean of |H|² per octave band over both channels.
func responseMean(resp *Response) octave.Bands {
	n := fastLength(len(resp.L))
	transform := fft.NewReal(n)
	buf := make([]float64, n)
	var out octave.Bands
	for _, x := range [][]float64{resp.L, resp.R} {
		clear(buf)
		copy(buf, x)
		m := bandMean(transform.Coefficients(nil, buf), n, resp.Rate)
		for b := range out {
			out[b] += m[b] / 2
		}
	}
	return out
}

// fitResponse describes each band's energy decay by the direct sound (the first 5 ms, as the
// bands from 500 Hz up show it) and one or two exponentials whose gains add up
// to the band's exact energy. Two are used where the early and the late slope differ by
// more than a tenth.
func fitResponse(resp *Response) *measuredFit {
	total := responseMean(resp)
	fit := &measuredFit{}
	m, err := MeasureResponse(resp)
	if err != nil {
		return fit
	}
	var peak, first, all float64
	for i, v := range resp.L {
		e := v*v + resp.R[i]*resp.R[i]
		peak = max(peak, e)
		all += e
		if float64(i) < (m.OnsetS+directMS)*float64(resp.Rate) {
			first += e
		}
	}
	share := min(0.95, first/all)
	last := 1.0
	for b := range fit.tail {
		if f := m.Bands[b].RT(); f.Value > 0.05 {
			last = f.Value
		}
		fit.direct[b] = total[b] * share
		rest := total[b] - fit.direct[b]
		late := DecayRate(last)
		early := m.Bands[b].EDT
		if early.Reliable && early.Value > 0.05 && early.Value < 0.9*last {
			// Gains so that the mean life of the energy is the measured centre time.
			fast := DecayRate(0.8 * early.Value)
			ts := m.Bands[b].Ts.Value / max(0.05, 1-share)
			x := (ts - 1/fast) / (1/late - 1/fast)
			x = min(1, max(0, x))
			fit.tail[b] = []Term{{rest * (1 - x), fast}, {rest * x, late}}
			continue
		}
		fit.tail[b] = []Term{{rest, late}}
	}
	return fit
}

// measuredPart is the measured response at rate with its onset at delayS: the first 80 ms or what
// follows, with a crossover of 10 ms so that both add up to the whole.
func (r *Room) measuredPart(delayS float64, rate int, early bool) *Response {
	start := max(0, int((delayS-0.001)*float64(rate)))
	part := func(x []float64) []float64 {
		y := Resample(x, r.Measured.Rate, rate)
		// Resample keeps the spectrum of a response; see there.
		edge, fade := int(measureMS*float64(rate)), rate/100
		if early {
			y = y[:min(len(y), edge+fade)]
		}
		out := make([]float64, start+len(y))
		for i, v := range y {
			u := min(1, max(0, float64(i-edge)/float64(fade)))
			w := u * u * (3 - 2*u)
			if early {
				w = 1 - w
			}
			out[start+i] = v * w
		}
		return out
	}
	return &Response{Rate: rate, L: part(r.Measured.L), R: part(r.Measured.R)}
}
