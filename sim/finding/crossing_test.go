package finding

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// crossing finds what bisect finds, in fewer steps, wherever the guess lies.
func TestCrossingIsBisect(t *testing.T) {
	curves := map[string]func(x float64) float64{
		"straight":  func(x float64) float64 { return x / 4 },
		"saturates": func(x float64) float64 { a := 1 - math.Exp(-x/0.03); return a * a },
		"slow":      func(x float64) float64 { return 1 - math.Exp(-x) },
		"steps":     func(x float64) float64 { return math.Floor(x*8) / 32 },
		"jump":      func(x float64) float64 { return math.Round(min(1, x/2)) },
		"flat":      func(x float64) float64 { return 0.25 },
	}
	for name, f := range curves {
		for _, least := range []float64{-1, 0, 1e-9, 0.03, 0.25, 0.5, 0.9, 0.999999, 2} {
			want := bisect(0, 4, func(x float64) bool { return f(x) >= least })
			for _, guess := range []float64{-1, 0, 1e-6, 0.02, want, 0.3, 3.9, 4, 100} {
				steps := 0
				got := crossing(0, 4, guess, least, func(x float64) float64 { steps++; return f(x) })
				assert.Equal(t, want, got, "%s, %g, guess %g", name, least, guess)
				assert.Less(t, steps, 70, "%s, %g, guess %g", name, least, guess)
				if name == "saturates" && guess == want && least > 0.01 && least < 1 {
					assert.Less(t, steps, 9, "%s, %g", name, least)
				}
			}
		}
	}
}
