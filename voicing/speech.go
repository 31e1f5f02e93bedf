package voicing

import (
	"math"
	"math/bits"
)

// speechLaw is how the pipes of one family and construction start and stop. Times are in
// periods of the fundamental at refHz and at the reference wind of the row; see
// families for the numbers and where they come from.
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
	glideCents     float64 // pitch of the first sound re the steady one
	edgeStretch    float64 // edge tone re the harmonic that the chiff lies about, share of its pitch; 0 for none
}

const (
	// glideOfRise is the time constant of the pitch's glide, of that in which the fundamental rises.
	glideOfRise = 0.6
	// edgeShare is how much of a chiff's power is its edge tone.
	edgeShare = 0.5
)

// refHz is the pitch at which a speechLaw gives periods: C of an 8 ft stop.
const refHz = 65.4

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

// ReleaseGroups is how many groups the partials of a pipe fall into when it stops: the fundamental, the harmonics 2 and 3, 4 to
// 7, and 8 and up.
const ReleaseGroups = 4

// ReleaseGroup is the group of harmonic n (from 1).
func ReleaseGroup(n int) int { return min(ReleaseGroups, bits.Len(uint(max(1, n)))) - 1 }

// groupHarmonic is the harmonic that stands for its group, the geometric mean of the first and the last (of 8 to 15 for the top).
var groupHarmonic = [ReleaseGroups]float64{1, 2.449, 5.292, 10.95}

// ReleaseOf is the time constant of the amplitude of a group's partials after the pallet shuts, s. A mode of quality factor Q rings
// for Q/(πf), so with one Q for all modes harmonic n stops n times sooner than the fundamental. That Q changes little from mode to
// mode is what the two losses leave: losses at the walls give a Q that grows as √n, radiation from the ends one that falls as 1/n,
// and where the lower modes of a pipe lie both are of one size (the formulas: Fletcher & Rossing, The Physics of Musical
// Instruments, ch. 8, from memory; widths of the modes of organ pipes as the sum of both: "Resonance absorption cross section
// of a pipe organ", J. Acoust. Soc. Am. 38 (1965) 780, abstract). Steps of an octave of harmonics: the ear does not tell two
// partials within one apart by how they stop.
func (s Speech) ReleaseOf(group int) float64 { return s.ReleaseS / groupHarmonic[group] }
