package main

import (
	"math"

	"afterchord/acoustics/measure"
	"afterchord/acoustics/octave"
)

// figureJSON is one figure; null where the recording does not carry it.
type figureJSON struct {
	Value    *float64 `json:"value"`
	Reliable bool     `json:"reliable"`
	Why      string   `json:"why,omitempty"`
}

type bandJSON struct {
	Hz           float64    `json:"hz"`
	RangeDB      *float64   `json:"range_db"`
	T20          figureJSON `json:"t20_s"`
	T30          figureJSON `json:"t30_s"`
	T15          figureJSON `json:"t15_s"`
	Curvature    figureJSON `json:"curvature_percent"`
	NonLinearity figureJSON `json:"non_linearity_per_mille"`
	EDT          figureJSON `json:"edt_s"`
	C80          figureJSON `json:"c80_db"`
	D50          figureJSON `json:"d50_share"`
	Ts           figureJSON `json:"ts_s"`
}

type warningJSON struct {
	Hz   []float64 `json:"hz"`
	Bend string    `json:"bend"`
	Why  string    `json:"why"`
	Do   string    `json:"do"`
}

type recordingJSON struct {
	Recording string        `json:"recording"`
	RateHz    int           `json:"rate_hz"`
	LengthS   float64       `json:"length_s"`
	OnsetS    float64       `json:"onset_s"`
	Clipped   bool          `json:"clipped"`
	Bands     []bandJSON    `json:"bands"`
	Warnings  []warningJSON `json:"warnings"`
}

// measuresJSON is what a recording measures, for programs.
func measuresJSON(name string, rate int, seconds float64, m measure.Result) recordingJSON {
	out := recordingJSON{Recording: name, RateHz: rate, LengthS: seconds, OnsetS: m.OnsetS, Clipped: m.Clipped, Warnings: []warningJSON{}}
	number := func(v float64) *float64 {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil
		}
		v = math.Round(v*1e4) / 1e4
		return &v
	}
	figure := func(f measure.Figure) figureJSON { return figureJSON{number(f.Value), f.Reliable, f.Why} }
	for b, hz := range octave.Centres {
		x := m.Bands[b]
		out.Bands = append(out.Bands, bandJSON{Hz: hz, RangeDB: number(x.RangeDB), T20: figure(x.T20), T30: figure(x.T30), T15: figure(x.T15),
			Curvature: figure(x.Curvature), NonLinearity: figure(x.NonLinearity), EDT: figure(x.EDT), C80: figure(x.C80),
			D50: figure(x.D50), Ts: figure(x.Ts)})
	}
	for _, w := range m.DecayWarnings() {
		x := warningJSON{Bend: string(w.Bend), Why: w.Why, Do: w.Do}
		for _, b := range w.Bands {
			x.Hz = append(x.Hz, octave.Centres[b])
		}
		out.Warnings = append(out.Warnings, x)
	}
	return out
}
