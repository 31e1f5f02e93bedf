package field

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// The loops in vector instructions give the bits of those in Go.
func TestFlowSameBits(t *testing.T) {
	if !wide {
		t.Skip("the processor has no such instructions")
	}
	const bands, rows = 77, 16
	flow := func() [][]float64 {
		r := rand.New(rand.NewPCG(1, 2))
		plane := planes(bands, rows)
		var x [][]float64
		for range rows {
			x = append(x, plane())
			for b := range bands {
				x[len(x)-1][b] = r.ExpFloat64()
			}
		}
		weaken(x[0], x[1])
		drive(x[2], x[3], x[4], x[5], x[6], x[7], x[8], x[9])
		pour(x[0], x[10], x[11], x[4], x[5])
		part(x[2], x[3], x[0], x[10])
		return x
	}
	defer func() { wide = true }()
	inVectors := flow()
	wide = false
	require.Equal(t, flow(), inVectors)
	wide = true
	require.Panics(t, func() { weaken(make([]float64, bands), make([]float64, bands)) })
}

func TestDecaysSameBits(t *testing.T) {
	if !wide {
		t.Skip("the processor has no such instructions")
	}
	r := rand.New(rand.NewPCG(1, 2))
	rate := decayRows(77)
	for b := range rate {
		rate[b] = [maxTerms]float64{50 * r.Float64(), 3 * r.Float64()}
	}
	for _, x := range []float64{-0.02, 0, 1e-9, 0.3, 5, 100, 1e9} {
		got, want := decayRows(77), decayRows(77)
		decays(got, rate, x)
		decaysGo(want, rate, x)
		require.Equal(t, want, got)
	}
}
