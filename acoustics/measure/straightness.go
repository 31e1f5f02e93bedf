package measure

import (
	"fmt"
	"math"

	"afterchord/acoustics/octave"
)

// Limits of a decay that may pass for a straight line; beyond them one reverberation time does not tell the
// decay. Both measures are those of ISO 3382-2:2008, Annex B, with their usual values of 0 to 5 ‰ and 0 to 5 %
// and the 10 % beyond which a decay is suspect; the limit of 10 ‰ is from memory.
const (
	MostCurvature    = 10.0 // %
	MostNonLinearity = 10.0 // ‰
)

// curvature is C = 100·(T30/T20 − 1) % (ISO 3382-2:2008, B.3): above 0 the late decay is the slower one.
func curvature(t20, t30 Figure) Figure {
	c := Figure{Value: 100 * (t30.Value/t20.Value - 1), Reliable: t20.Reliable && t30.Reliable}
	switch {
	case !t30.Reliable:
		c.Why = t30.Why
	case !t20.Reliable:
		c.Why = t20.Why
	}
	return c
}

// nonLinearity is ξ = 1000·(1 − r²) ‰ of a least-squares line through y, r the coefficient of correlation
// (ISO 3382-2:2008, B.2).
func nonLinearity(y []float64) float64 {
	k, at0 := line(y)
	mean := at0 + k*float64(len(y)-1)/2
	var off, all float64
	for i, v := range y {
		d := v - at0 - k*float64(i)
		off += d * d
		all += (v - mean) * (v - mean)
	}
	if all == 0 {
		return 0
	}
	return 1000 * off / all
}

// Bend is how a decay departs from a straight line of level over time.
type Bend string

// Bends that [Band.Bend] tells apart.
const (
	Straight   Bend = ""
	SlowerLate Bend = "slower late" // the curve sags: a second, slower slope
	FasterLate Bend = "faster late" // the curve bulges
	Uneven     Bend = "uneven"      // it steps or waves about the line
)

// Bend tells how the band's decay departs from a straight line, Straight where neither the curvature nor the degree of
// non-linearity passes its limit or neither is known.
func (m Band) Bend() Bend {
	switch {
	case m.Curvature.Value > MostCurvature:
		return SlowerLate
	case m.Curvature.Value < -MostCurvature:
		return FasterLate
	case m.NonLinearity.Value > MostNonLinearity:
		return Uneven
	}
	return Straight
}

// byChance reports whether a noise that decays in a perfect straight line would often bend as much, seen once
// through the band's filter: with B·T periods of the filter in the decay, half of such decays have a ξ above 700/(B·T) ‰
// and C scatters by 66/√(B·T) %. Both were measured on decaying Gaussian noise, B·T from 20 to 30 000, with
// this package; what is within twice that is taken as chance.
func (m Band) byChance(band int) bool {
	bt := octave.Exact(band) / math.Sqrt2 * m.RT().Value
	c, xi := m.Curvature.Value, m.NonLinearity.Value
	return !(math.Abs(c) > 2*66/math.Sqrt(bt)) && !(xi > 2*700/bt)
}

// bends is why a decay that is no straight line gives no sure time.
const bends = "the decay bends: the time depends on where it is read"

// distorted reports whether the band's decay ends faster or falls unevenly beyond chance, which a room seldom does by itself: past the
// limits T30 is off by more than the ear lets pass (5 % of the reverberation time, ISO 3382-1:2009, Table A.1).
func (m Band) distorted(band int) bool {
	bend := m.Bend()
	return (bend == FasterLate || bend == Uneven) && !m.byChance(band)
}

// bent reports whether the decay of a take bends, either way, by more than leaves its time sure, and not by chance.
func (m Band) bent(band int) bool {
	c, xi := m.Curvature, m.NonLinearity
	return !m.byChance(band) && (c.Reliable && math.Abs(c.Value) > mostBend || xi.Reliable && xi.Value > MostNonLinearity || m.distorted(band))
}

// bentEarly reports whether a decay of which noise hides the end, so that there is no T30 to compare T20 with, bends within T20's own range: its
// second half falls slower or faster than its first by more than a time may be off, beyond chance. On straight decays of noise that ratio
// scatters by 270/√(B·T) % (measured like the figures of [Band.byChance]).
func (m Band) bentEarly(band int) bool {
	bt := octave.Exact(band) / math.Sqrt2 * m.RT().Value
	return !m.T30.Reliable && m.T20.Reliable && math.Abs(m.early) > max(mostBendEarly, 2*270/math.Sqrt(bt))
}

// doubt marks the figures as read from a decay that bends.
func doubt(figures ...*Figure) {
	for _, f := range figures {
		if f.Reliable {
			f.Reliable, f.Why = false, bends
		}
	}
}

// DecayWarning is a reason for which the decay in some bands is no straight line, and what to do about it.
type DecayWarning struct {
	Bands   []int // of [octave.Centres], ascending
	Bend    Bend
	Why, Do string
}

// DecayWarnings lists the bands whose decay is no straight line, those with the same likely reason together.
func (m Result) DecayWarnings() []DecayWarning {
	var out []DecayWarning
	for b := range octave.N {
		w, ok := m.Bands[b].warning(b)
		if !ok {
			continue
		}
		at := 0
		for at < len(out) && out[at].Why != w.Why {
			at++
		}
		if at == len(out) {
			out = append(out, w)
		}
		out[at].Bands = append(out[at].Bands, b)
	}
	return out
}

// warning gives the likely reason for which one band's decay bends.
func (m Band) warning(band int) (w DecayWarning, ok bool) {
	w.Bend = m.Bend()
	switch {
	case w.Bend == Straight:
		return w, false
	case m.byChance(band):
		w.Why = "the band holds so few resonances that chance alone may bend a single decay"
		w.Do = "take the mean of recordings from several places"
	case w.Bend == SlowerLate && m.RangeDB < rangeT30:
		w.Why = fmt.Sprintf("the noise lies less than %g dB below the peak and may hold up the end of the decay", rangeT30)
		w.Do = "record again in a quieter hour or with a louder burst"
	case w.Bend == SlowerLate:
		w.Why = "it ends on a slower slope, as where sound comes back from a coupled space (a side chapel, a tower, a loft) or one side takes up all the sound"
		w.Do = "judge running music by EDT, the last chord by T30; [slow] in a room file holds both slopes"
	case w.Bend == FasterLate:
		w.Why = "it ends on a faster slope, which rooms seldom do: suspect a noise gate, an automatic level or a fade in the recording"
		w.Do = "switch these off and record until all is quiet"
	default:
		w.Why = "it falls in steps or waves: suspect an echo, a flutter between walls, or two bursts in one"
		w.Do = "record one burst, away from walls, from several places, and take the mean"
	}
	return w, true
}
