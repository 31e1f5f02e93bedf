package convolve_test

import (
	"fmt"
	"math"

	"afterchord/acoustics/convolve"
)

// A click in a hall of two echoes: one straight ahead, one from the right.
func Example() {
	c, err := convolve.New([]convolve.Response{{L: []float64{1, 0, 0.5}, R: []float64{1, 0, 0, 0.25}}}, convolve.Response{}, convolve.Options{Block: 4})
	if err != nil {
		fmt.Println(err)
		return
	}
	l, r := make([]float64, 4), make([]float64, 4)
	if err := c.Process(l, r, []float64{1, 0, 0, 0}); err != nil {
		fmt.Println(err)
		return
	}
	for i := range l {
		fmt.Printf("%.2f %.2f\n", math.Abs(l[i]), math.Abs(r[i]))
	}
	// Output:
	// 1.00 1.00
	// 0.00 0.00
	// 0.50 0.00
	// 0.00 0.25
}
