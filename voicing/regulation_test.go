package voicing

import (
	"math"
	"testing"

	"afterchord/acoustics/hearing"

	"github.com/stretchr/testify/require"
)

// phonOf is the loudness level in a diffuse field, phon: the level of a frontal tone of 1 kHz that is as loud.
func phonOf(list []hearing.Component) float64 {
	want := hearing.LoudnessOf(list, hearing.Diffuse)
	lo, hi := 0.0, 120.0
	for range 16 {
		mid := (lo + hi) / 2
		if hearing.LoudnessOf([]hearing.Component{{Hz: 1000, LevelDB: mid}}, hearing.Free) < want {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// regulatedPhon is the loudness level of a pipe of hz there, and the level of a pure tone of its fundamental with the same C-weighted
// level, phon by the same ear: the figure of the survey.
func regulatedPhon(b *build, hz float64) (phon, asTone float64) {
	const takes = 3 // of the scatter of partials from pipe to pipe
	for seed := range uint64(takes) {
		var list []hearing.Component
		c := 0.0
		for _, p := range b.tone.partials(hz, 0, math.Pow(10, (b.levelDB+b.compass.at(hz)-churchDB)/10), pipeSeed(mix(seed))) {
			list = append(list, hearing.Component{Hz: p.Hz, LevelDB: 10 * math.Log10(p.Power)})
			c += p.Power * cWeighting(p.Hz)
		}
		phon += phonOf(list) / takes
		asTone += phonOf([]hearing.Component{{Hz: hz, LevelDB: 10 * math.Log10(c)}}) / takes
	}
	return phon, asTone
}

// Each way of building pipes is regulated by ear along the whole compass. Harrison & Thompson-Allen (J. Acoust. Soc. Am. 100 (1996)
// 3909, abstract) took the loudness level of a pure tone of the same C-weighted level and found unison stops loudest in the middle
// octave and 10 to 40 phon down at the ends. Seen so, the bass here has their pattern. The treble falls less than theirs where low
// pipes have many harmonics, which a single tone does not count.
func TestStopsAreRegulatedByLoudness(t *testing.T) {
	for i := range families {
		for k := range families[i].builds {
			b := &families[i].builds[k]
			t.Run(string(b.construction)+" "+string(families[i].name), func(t *testing.T) {
				middle, tone := regulatedPhon(b, 261.6)
				for c, want := range regulated[:9] { // at C9 there is one partial, near the end of hearing
					phon, _ := regulatedPhon(b, 16.35*math.Exp2(float64(c)))
					require.InDelta(t, want, phon-middle, 1.5, "C%d", c)
				}
				_, low := regulatedPhon(b, 65.4)
				_, upper := regulatedPhon(b, 523.3)
				_, high := regulatedPhon(b, 2093)
				t.Logf("as one tone C2 is %.1f phon below middle C, C5 %.1f, C7 %.1f", tone-low, tone-upper, tone-high)
				require.True(t, tone-low >= 10 && tone-low <= 40, "C2 %.1f phon below middle C", tone-low)
			})
		}
	}
}

// cWeighting is the C-weighting as a power factor at hz (IEC 61672-1:2013, Annex E, the analytical form).
func cWeighting(hz float64) float64 {
	f2 := hz * hz
	r := 12194 * 12194 * f2 / ((f2 + 20.6*20.6) * (f2 + 12194*12194))
	return r * r * 1.0143 // +0.06 dB so that 1 kHz is 0 dB
}
