// Command bench convolves noise with a stereo response of noise and prints the seconds that took,
// without those of planning. compare.py runs it beside other tools.
package main

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"time"

	"afterchord/acoustics/convolve"
)

func main() {
	seconds := flag.Int("seconds", 60, "length of the sound, `s`")
	response := flag.Int("response", 8, "length of the response, `s`")
	single := flag.Bool("single", false, "compute in float32")
	block := flag.Int("block", 0, "samples a block; 0: the default")
	flag.Parse()
	const rate = 48000
	r := rand.New(rand.NewPCG(1, 2))
	noise := func(n int) []float64 {
		x := make([]float64, n)
		for i := range x {
			x[i] = r.NormFloat64()
		}
		return x
	}
	c, err := convolve.New([]convolve.Response{{L: noise(*response * rate), R: noise(*response * rate)}}, convolve.Response{},
		convolve.Options{Block: *block, Single: *single, Workers: 1})
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	x, left, right := noise(c.Block()), make([]float64, c.Block()), make([]float64, c.Block())
	start := time.Now()
	blocks := (*seconds*rate + c.Block() - 1) / c.Block()
	for range blocks {
		if err := c.Process(left, right, x); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
	spent := time.Since(start).Seconds()
	fmt.Printf("%.4f s, %.1f ns a sample\n", spent, spent*1e9/float64(max(1, blocks*c.Block())))
}
