package fft

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Several values at a time and one at a time give the same bits.
func TestWideIsTheSame(t *testing.T) {
	if !wide {
		t.Skip("the processor has no such instructions")
	}
	t.Run("float32", sameBits[float32])
	t.Run("float64", sameBits[float64])
}

func sameBits[T Float](t *testing.T) {
	defer func() { wide = true }()
	for n := 4; n <= 1<<13; n *= 2 {
		p := NewPlan[T](n)
		one := func(w bool) (re, im []T) {
			wide = w
			for i, v := range noise(2 * n) {
				if i < n {
					re = append(re, T(v))
				} else {
					im = append(im, T(v))
				}
			}
			p.Down(re, im)
			re[0] += 3
			p.Up(re, im)
			return re, im
		}
		re, im := one(true)
		re1, im1 := one(false)
		require.Equal(t, re1, re, "n %d", n)
		require.Equal(t, im1, im, "n %d", n)
	}
}
