package measure

import (
	"math"

	"afterchord/acoustics/octave"
)

// smoothedDB is the band's level in windows of 30 ms, or four periods if longer, dB; and the window in samples.
func smoothedDB(energy []float64, rate, band int) ([]float64, int) {
	step := max(1, int(float64(rate)*max(0.01, 3/octave.Exact(band))))
	out := make([]float64, 0, len(energy)/step+1)
	for a := 0; a < len(energy); a += step {
		z := min(len(energy), a+step)
		if z-a < step/2 && len(out) > 0 {
			break
		}
		var sum float64
		for _, e := range energy[a:z] {
			sum += e
		}
		out = append(out, 10*math.Log10(sum/float64(z-a)+1e-300))
	}
	return out, step
}

// truncation finds the noise (mean square), the sample where the decay meets it and the decay rate (1/s of
// energy) just before, by iteration.
func truncation(energy []float64, rate, band int) (noise float64, cross int, slope float64) {
	level, step := smoothedDB(energy, rate, band)
	n := len(level)
	mean := func(a, z int) float64 {
		var sum float64
		for _, e := range energy[a:z] {
			sum += e
		}
		return sum / float64(max(1, z-a))
	}
	noise = mean(len(energy)*9/10, len(energy))
	cross = len(energy)
	peakAt := 0
	for i, l := range level {
		if l > level[peakAt] {
			peakAt = i
		}
	}
	for range 6 {
		noiseDB := 10 * math.Log10(noise+1e-300)
		// The late slope: from 25 dB above the noise (or the peak) down to 8 dB above it.
		z := peakAt
		for z < n && level[z] > noiseDB+8 {
			z++
		}
		a := z
		for a > peakAt && level[a-1] < noiseDB+28 {
			a--
		}
		if z-a < 3 {
			a = peakAt
		}
		if z-a < 3 {
			return noise, cross, slope
		}
		k, at0 := line(level[a:z])
		if k >= 0 {
			return noise, cross, slope
		}
		slope = -k * float64(rate) / float64(step) * math.Ln10 / 10
		meet := float64(a) + (noiseDB-at0)/k
		cross = min(len(energy), max(step, int(meet*float64(step))))
		// Noise again, from 10 dB of decay past the meeting, but the last tenth at least.
		from := min(len(energy)*9/10, cross+int(math.Ln10/slope*float64(rate)))
		noise = mean(from, len(energy))
	}
	// A response whose decay goes on to its very end has no noise floor to speak of.
	if cross >= len(energy)*97/100 {
		noise, cross = 0, len(energy)
	}
	return noise, cross, slope
}

// line fits y = at0 + k·i.
func line(y []float64) (k, at0 float64) {
	n := float64(len(y))
	var sy, sxy float64
	for i, v := range y {
		sy += v
		sxy += float64(i) * v
	}
	sx, sxx := n*(n-1)/2, (n-1)*n*(2*n-1)/6
	k = (n*sxy - sx*sy) / (n*sxx - sx*sx)
	return k, (sy - k*sx) / n
}
