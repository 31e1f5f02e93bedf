package sound

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestResonatorsAreTheSameInVectors(t *testing.T) {
	if !wide {
		t.Skip("the processor has no such instructions")
	}
	defer func() { wide = true }()
	sound := func(w bool) []float64 {
		wide = w
		dst := make([]float64, 300)
		ring(dst, []resonator{sinusoid(1, 0.7, 0.1, 0.99, 300), sinusoid(2, -1, 0.7, 1, 277), sinusoid(1, 0.2, 2, 1, 5)})
		return dst
	}
	require.Equal(t, sound(false), sound(true))
}

func TestSincsAreTheSameInVectors(t *testing.T) {
	if !wide {
		t.Skip("the processor has no such instructions")
	}
	var x [sincTaps]float64
	for i := range x {
		x[i] = hash(3, int64(i))
	}
	for k := 0; k < sincPhases; k += 37 {
		rows := (*[2][sincTaps]float64)(sincTable()[k:])
		require.Equal(t, sincSumScalar(&x, rows, 0.3), sincSumFours(&x, rows, 0.3))
	}
}

func TestRampsOfOtherProcessorsAreTheSame(t *testing.T) {
	var got, want, src [64]float32
	for i := range src {
		src[i] = float32(hash(5, int64(i)))
	}
	gains, again := [8]float32{1, 2, 3, 4, 5, 6, 7, 8}, [8]float32{1, 2, 3, 4, 5, 6, 7, 8}
	rampByFour(&got[0], &src[0], 8, &gains, 0.001)
	rampScalar(want[:], src[:], &again, 0.001)
	require.Equal(t, want, got)

	short := make([]int16, len(src))
	shorts(short, slices.Repeat([]float64{-1, 0.3, 0.7, -0.2}, len(src)/4), unitFor(1))
	loops := []func(*float32, *int16, int, float32, float32){rampShortByFour}
	if wide {
		loops = append(loops, rampShortByEight)
	}
	if widest {
		loops = append(loops, rampShortBySixteen)
	}
	begun := got
	for i, loop := range loops {
		got, want = begun, begun
		loop(&got[0], &short[0], 4, 0.3, 0.001)
		rampShortScalar(want[:], short, 0.3, 0.001)
		require.Equal(t, want, got, "loop %d", i)
	}
}

func TestShortsAndLargestAreTheSame(t *testing.T) {
	for n := range 40 {
		x := make([]float64, n)
		for i := range x {
			x[i] = hash(7, int64(i))
		}
		require.Equal(t, largestScalar(x), largest(x))
		if n == 0 {
			continue
		}
		x[n/2] *= -3
		require.Equal(t, largestScalar(x), largest(x))
		got, want := make([]int16, n), make([]int16, n)
		unit := unitFor(largest(x))
		shorts(got, x, unit)
		shortsScalar(want, x, 1/unit)
		require.Equal(t, want, got)
	}
}
