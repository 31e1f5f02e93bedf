package convolve_test

import (
	"fmt"
	"math"

	"afterchord/acoustics/convolve"
)

// A click in a hall of two echoes: one straight ahead, one from the right.
func ExampleStereo() {
	click := []float64{1, 0, 0, 0}
	l, r, err := convolve.Stereo(click, convolve.Response{L: []float64{1, 0, 0.5}, R: []float64{1, 0, 0, 0.25}}, convolve.Options{Block: 4})
	if err != nil {
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
	// 0.00 0.00
	// 0.00 0.00
	// 0.00 0.00
}
