package sound

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"afterchord/acoustics/octave"

	"github.com/stretchr/testify/assert"
)

// The end of the wind noise leads into its beginning as if it had always gone round, its mean square is 1, and whoever renders next
// has the same.
func TestWindGoesRound(t *testing.T) {
	for _, rate := range []int{48000, 192000} {
		for _, band := range []int{0, 5} {
			t.Run(fmt.Sprint(rate, "/", band), func(t *testing.T) {
				wind := windNoise(band, rate)
				round := make([]float64, windLength)
				sixteenBits(round, rand.NewPCG(uint64(band), 0x71d))
				filter := newBandPass(octave.Centres[band], math.Sqrt2, rate)
				filter.filter(append([]float64(nil), round...))
				filter.filter(round)
				var power, square, apart float64
				for _, y := range round {
					power += y * y / windLength
				}
				for i, x := range wind {
					square += float64(x) * float64(x) / windLength
					apart = max(apart, math.Abs(float64(x)-round[i]/math.Sqrt(power)))
				}
				assert.InDelta(t, 1, square, 1e-5)
				assert.Less(t, apart, 1e-4)
				assert.Same(t, &wind[0], &windNoise(band, rate)[0])
			})
		}
	}
}
