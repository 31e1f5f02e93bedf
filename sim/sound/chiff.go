package sound

import (
	"math"
	"math/rand/v2"

	"afterchord/voicing"
)

const (
	// chiffSpan: a chiff is over after so many of its time constants; what is cut off lies 40 dB below it.
	chiffSpan = 4.6
	// chiffTakes is how many chiffs of a pipe are kept, each of which is taken either way up, so that a note struck again is not
	// the same to the sample. They are much of what a pipe takes in memory, hence in 16 bits: what rounding adds lies some 90 dB below the chiff.
	chiffTakes = 2
)

// chiff is what sounds of a pipe before its tone is there: noise in a band about an octave wide and an edge tone, which swell in a
// sixth of their decay time.
type chiff struct {
	takes [chiffTakes][]int16 // from the first sound
	unit  float64             // what 1 stands for
}

func newChiff(noise voicing.Noise, rate int, seed uint64, buf *buffers) chiff {
	hz := math.Min(noise.ChiffHz, 0.4*float64(rate))
	n := int(chiffSpan * noise.ChiffS * float64(rate))
	if n <= 0 || !(noise.ChiffPower > 0) || !(hz > 0) {
		return chiff{}
	}
	const q = 1.4 // of an octave
	filter := newBandPass(hz, q, rate)
	gain := math.Sqrt(3*noise.ChiffPower/filter.b0) / (1 << 15) // of uniform noise between ±2¹⁵
	random := rand.NewPCG(seed, 0xc41f)
	const warm = 256
	band := sized(&buf.part, warm+n+(chiffTakes-1)*takeStep(n)) // each take begins at a place of its own
	sixteenBits(band, random)
	filter.filter(band)
	band = band[warm:]
	for i := range band {
		band[i] *= gain
	}
	if edge := 2 * math.Pi * noise.EdgeHz / float64(rate); noise.EdgePower > 0 && edge < 2*math.Pi*highestPartial {
		// Each take meets the edge tone in another phase.
		ringOne(band, new(sinusoid(math.Sqrt(2*noise.EdgePower), math.Pi*hash(seed, 0xed6e), edge, 1, len(band))))
	}
	fall := math.Exp(-1 / (noise.ChiffS * float64(rate)))
	rise := math.Exp(-6 / (noise.ChiffS * float64(rate)))
	e, u, end := 1.0, 1.0, math.Exp(-chiffSpan)
	swells := sized(&buf.loop, n)
	for i := range swells {
		swells[i] = (e - end) * (1 - u)
		e *= fall
		u *= rise
	}
	swelled := sized(&buf.bent, chiffTakes*n) // the takes, one after the other
	for k := range chiffTakes {
		from, to := band[k*takeStep(n):][:n], swelled[k*n:][:n]
		for i, swell := range swells {
			to[i] = swell * from[i]
		}
	}
	peak := largest(swelled)
	if peak == 0 { // too short for a sample
		return chiff{}
	}
	c := chiff{unit: unitFor(peak)}
	for k := range c.takes {
		c.takes[k] = make([]int16, n)
		shorts(c.takes[k], swelled[k*n:][:n], c.unit)
	}
	return c
}

// takeStep is how far apart the takes begin in the noise, for a chiff of n samples.
func takeStep(n int) int { return n / 4 }

// take is the chiff of a note whose first sound is at the absolute sample start, and what 1 stands for in it, either way up.
func (c *chiff) take(seed uint64, start int64) (samples []int16, unit float64) {
	i := min(2*chiffTakes-1, int((1+hash(seed, start))*chiffTakes))
	return c.takes[i/2], c.unit * float64(1-i%2*2)
}

// mixChiff adds a chiff from its sample pos on, with a gain that moves in a straight line from g by step a sample.
func mixChiff(dst []float32, chiff []int16, pos int64, g, step float64) {
	if pos >= int64(len(chiff)) {
		return
	}
	n := min(len(dst), len(chiff)-int(pos))
	rampShorts(dst[:n], chiff[pos:], float32(g), float32(step))
}
