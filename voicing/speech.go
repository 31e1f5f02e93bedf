package voicing

import "math"

// speechLaw is how the pipes of one family and construction start and stop. Times are in
// periods of the fundamental at refHz and at the reference wind of the row; see
// speechLaws for the numbers and where they come from.
type speechLaw struct {
	deadPeriods    float64 // pallet to first sound
	risePeriods    float64 // τ of the fundamental
	harmonicPower  float64 // τ of harmonic n is τ1·n^-harmonicPower
	pitchPower     float64 // periods grow as (f/refHz)^pitchPower
	windPa         float64 // wind at which the row holds
	windPower      float64 // dead time and rise scale as (windPa/wind)^windPower
	releasePeriods float64 // τ of the decay
	chiffDB        float64 // chiff at its peak re the pipe's steady power
	chiffHarmonic  float64 // its centre, times the fundamental
	chiffPeriods   float64 // τ of its decay
	windDB         float64 // wind noise re the pipe's steady power
}

// refHz is the pitch at which speechLaws gives periods: C of an 8 ft stop.
const refHz = 65.4

type pipeKind struct {
	Family       Family
	Construction Construction
}

// speechLaws is the one table of how pipes speak. Where its numbers come from, column by column:
//
//   - dead, rise: periods scale with the pipe, and a flue pipe takes some twenty to thirty periods to settle while a
//     reed needs only a few (Fletcher & Rossing, The Physics of Musical Instruments, 2nd ed. 1998, ch. 16-17: the
//     order of magnitude; the single values are from memory and set so that the pipe of the row is within a decibel of
//     steady after 12-15 periods, "about two dozen to speak fully", common practice). That narrow strings are the slowest,
//     stopped flutes quicker than open pipes and reeds quickest is common practice. A measured 16 ft Violone F (43.7 Hz)
//     takes about a second to be stable (Pykett, "A second in the life of a Violone", 2005): the string row gives 0.9 s to 2 %.
//   - harmonic: the upper partials of a flue pipe come before its fundamental (Angster, Rucz & Miklós, "Acoustics of
//     organ pipes", Acoustics Today 13(1), 2017; Nolle & Finch, J. Acoust. Soc. Am. 91 (1992) 2190); the exponent is from
//     memory. A reed's partials start nearly together, as the tongue beats (Fletcher & Rossing, ch. 13 and 17; exponent from memory).
//   - pitch: small pipes take more periods and less time than large ones (common practice; exponent from memory).
//   - wind: the rise of the pressure in the foot governs the onset (Nolle & Finch 1992); more wind speaks sooner. The
//     exponents are from memory.
//   - release: the air column rings down with its own Q, some 15-30 in an organ pipe, Q/π periods (Fletcher & Rossing, ch. 16; from memory).
//   - chiff, wind noise: from memory; no published value is claimed.
var speechLaws = map[pipeKind]speechLaw{
	//                      dead rise harm pitch  wind  w   rel chiff ×f per noise
	{Flute, Open}:        {3.5, 6.0, 0.5, 0.25, 700, 0.3, 6, -16, 3, 8, -38},
	{Flute, Stopped}:     {3.0, 4.6, 0.5, 0.25, 700, 0.3, 5, -14, 3, 6, -36},
	{Principal, Open}:    {3.5, 6.5, 0.5, 0.25, 700, 0.3, 6, -18, 4, 8, -42},
	{Principal, Stopped}: {3.0, 5.0, 0.5, 0.25, 700, 0.3, 5, -16, 4, 6, -40},
	{String, Open}:       {4.5, 10.0, 0.5, 0.25, 700, 0.3, 7, -20, 5, 10, -36},
	{String, Stopped}:    {4.0, 8.5, 0.5, 0.25, 700, 0.3, 6, -20, 5, 10, -36},
	{Reed, Open}:         {2.0, 2.2, 0.2, 0.25, 800, 0.2, 3, -30, 6, 3, -46},
	{Reed, HalfLength}:   {1.8, 2.0, 0.2, 0.25, 800, 0.2, 3, -30, 6, 3, -46},
}

// SpeakS is the time from the pallet's opening until the pipe's pressure (the root mean square
// of all partials together) has reached share (0 … 1, exclusive) of its steady value, s.
func SpeakS(p Pipe, share float64) float64 {
	if len(p.Partials) == 0 || !(share > 0) {
		return p.Speech.DeadS
	}
	share = min(share, 0.9999)
	total, slowest := 0.0, 0.0
	for _, x := range p.Partials {
		total += x.Power
		slowest = max(slowest, x.RiseS)
	}
	want := share * share * total
	lo, hi := 0.0, -math.Log1p(-share)*slowest
	for range 60 {
		mid := (lo + hi) / 2
		got := 0.0
		for _, x := range p.Partials {
			a := -math.Expm1(-mid / x.RiseS)
			got += a * a * x.Power
		}
		if got < want {
			lo = mid
		} else {
			hi = mid
		}
	}
	return p.Speech.DeadS + hi
}
