package room

import (
	"errors"
	"fmt"
	"math"

	"afterchord/acoustics/decay"
	"afterchord/acoustics/impulse"
	"afterchord/acoustics/measure"
	"afterchord/acoustics/octave"
)

// measuredFit is the energy of a measured response as Path gives it.
type measuredFit struct {
	direct octave.Bands
	tail   [octave.N][]Term
}

// FromMeasures makes a computed room of measured times, for recordings that give no response to listen through (a chord cut
// off): T30 per octave band, T20 or EDT where the noise allows no more, and a band that gives none takes
// its neighbour's. Its volume follows from [ChurchVolume].
func FromMeasures(m measure.Result, name string) (*Room, error) {
	var t octave.Bands
	var ok [octave.N]bool
	var unsure []float64
	for b, band := range m.Bands {
		f := band.RT()
		if !f.Reliable {
			unsure = append(unsure, octave.Centres[b])
		}
		if f.Value >= 0.05 && f.Value <= 2*MaxRT60 {
			t[b], ok[b] = f.Value, true
		}
	}
	filled := nearestGiven(t, ok)
	if filled[4] == 0 {
		return nil, errors.New("the response is too noisy or too short: no octave band gives a reverberation time")
	}
	r, err := FromRT(min(MaxRT60, max(MinRT60, midOf(filled))))
	if err != nil {
		return nil, err
	}
	r.Name, r.Title, r.RT60 = name, fmt.Sprintf("%s (measured)", name), filled
	r.UnsureHz = unsure
	return r, nil
}

// FromResponse makes a room of a measured response with the times that [FromMeasures] takes from it. The
// recording's level says nothing of sound power, so it is scaled to what such a room gives from the organ's middle to the middle
// seat at 500 Hz and 1 kHz.
func FromResponse(resp *impulse.Response, name string) (*Room, error) {
	takes, err := measure.Takes([]*impulse.Response{resp})
	if err != nil {
		return nil, err
	}
	if len(takes.Takes) > 1 {
		return fromTakes(takes, []*impulse.Response{resp}, name)
	}
	m, err := measure.Response(resp)
	if err != nil {
		return nil, err
	}
	r, err := FromMeasures(m, name)
	if err != nil {
		return nil, err
	}
	r.Cautions = takes.Takes[0].Cautions
	r.Measured = resp
	r.calibrate(int(m.OnsetS * float64(resp.Rate)))
	return r, nil
}

// FromTakes makes a room of several claps or bursts: their joined times, the sound of the best one, and what was wrong with them. It is an error
// where none tells of the room.
func FromTakes(takes measure.Joined, recordings []*impulse.Response, name string) (*Room, error) {
	if !takes.Tells() {
		return nil, errors.New("no clap or burst is good enough to make a room of: " + takes.Why())
	}
	return fromTakes(takes, recordings, name)
}

func fromTakes(takes measure.Joined, recordings []*impulse.Response, name string) (*Room, error) {
	r, err := FromMeasures(takes.Result, name)
	if err != nil {
		return nil, err
	}
	r.Cautions = takes.Cautions
	best := takes.Takes[takes.Best].Sound(recordings)
	m, err := measure.Response(best)
	if err != nil {
		return nil, err
	}
	r.Measured = best
	r.calibrate(int(m.OnsetS * float64(best.Rate)))
	return r, nil
}

// withMeasured puts a measured room's sound into the room that a file describes.
func (r *Room) withMeasured(measured *Room, file string) *Room {
	r.ResponseFile = file
	if r.RT60 == (octave.Bands{}) {
		r.RT60, r.UnsureHz = measured.RT60, measured.UnsureHz
	}
	if r.VolumeM3 == 0 {
		r.VolumeM3, r.SizeM, r.Seats = measured.VolumeM3, measured.SizeM, measured.Seats
	}
	r.Measured = measured.Measured
	if r.Cautions == nil {
		r.Cautions = measured.Cautions
	}
	r.calibrate(0)
	return r
}

// calibrate trims the response to 1 ms before its onset, scales it and fits its decay.
func (r *Room) calibrate(onset int) {
	resp := r.Measured
	start := max(0, onset-resp.Rate/1000)
	trimmed := &impulse.Response{Rate: resp.Rate, L: append([]float64(nil), resp.L[start:]...), R: append([]float64(nil), resp.R[start:]...)}
	r.Measured = nil
	seat, err := r.Seat("middle")
	if err != nil {
		seat = r.Seats[len(r.Seats)-1]
	}
	p := r.Path(r.OrganMiddle(), seat)
	want := p.EnergyAfter(4, 0) + p.EnergyAfter(5, 0)
	gain := impulse.BandPower(trimmed)
	scale := math.Sqrt(want / max(gain[4]+gain[5], 1e-300))
	for i := range trimmed.L {
		trimmed.L[i] *= scale
		trimmed.R[i] *= scale
	}
	r.Measured = trimmed
	r.fit = fitResponse(trimmed, r.RT60)
}

const directMS = 5e-3 // the direct sound of a measured response, s

// fitResponse describes each band's energy decay by the direct sound (the first 5 ms, as the
// bands from 500 Hz up show it) and one or two exponentials whose gains add up
// to the band's exact energy. Two are used where the early and the late slope differ by
// more than a tenth.
func fitResponse(resp *impulse.Response, joined octave.Bands) *measuredFit {
	total := impulse.BandPower(resp)
	fit := &measuredFit{}
	m, err := measure.Response(resp)
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
		if f := m.Bands[b].RT(); f.Reliable && f.Value > 0.05 || joined[b] == 0 && f.Value > 0.05 {
			last = f.Value
		} else if joined[b] > 0 { // noise leaves this response none, but all of them together
			last = joined[b]
		}
		fit.direct[b] = total[b] * share
		rest := total[b] - fit.direct[b]
		late := decay.Rate(last)
		early := m.Bands[b].EDT
		if early.Reliable && early.Value > 0.05 && early.Value < 0.9*last {
			// Gains so that the mean life of the energy is the measured centre time.
			fast := decay.Rate(0.8 * early.Value)
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
