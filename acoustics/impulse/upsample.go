package impulse

const (
	upsampleTaps = 16
	// UpsampleBand is the highest frequency of what [Upsample] takes, in cycles a sample.
	UpsampleBand = 0.25
)

// Upsample puts step samples into dst for each of x, whose end meets its beginning; dst may be shorter. Nothing of x lies above UpsampleBand:
// what would appear at the images of its spectrum lies 110 dB below it (a sinc of 16 taps under a Kaiser window, β = 12).
func Upsample(dst, x []float64, step int) {
	const before = upsampleTaps/2 - 1
	kernels := make([][upsampleTaps]float64, step)
	for p := range kernels {
		for k := range upsampleTaps {
			kernels[p][k] = kaiserSinc(float64(p)/float64(step)+before-float64(k), 1, upsampleTaps/2, 12)
		}
	}
	around := func(i int) float64 { return x[((i%len(x))+len(x))%len(x)] }
	var edge [upsampleTaps]float64
	for j := 0; j*step < len(dst); j++ {
		from := j - before
		src := &edge
		if from >= 0 && from+upsampleTaps <= len(x) {
			src = (*[upsampleTaps]float64)(x[from:])
		} else {
			for k := range edge {
				edge[k] = around(from + k)
			}
		}
		out := dst[j*step : min(len(dst), (j+1)*step)]
		for p := range out {
			out[p] = upsampleSum(src, &kernels[p])
		}
	}
}

// upsampleSum is the sum of the products. Products are rounded before they are added: the bits are the same everywhere.
func upsampleSum(x, w *[upsampleTaps]float64) float64 {
	var a, b, c, d float64
	for k := 0; k < upsampleTaps; k += 4 {
		a += float64(x[k] * w[k])
		b += float64(x[k+1] * w[k+1])
		c += float64(x[k+2] * w[k+2])
		d += float64(x[k+3] * w[k+3])
	}
	return (a + c) + (b + d)
}
