package field

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// exp against the standard library.
func TestExp(t *testing.T) {
	for y := -mostExp * 1.0; y <= mostExp; y += 0.0371 {
		require.InEpsilon(t, math.Exp(y), exp(y), 5e-16, "e^%g", y)
	}
	require.EqualValues(t, 1, exp(0))
	require.Less(t, exp(math.Inf(-1)), 1e-300)
}
