package main

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"

	"github.com/mjibson/go-dsp/fft"
	"github.com/mjibson/go-dsp/window"
)

const (
	lowestHz, highestHz = 30.0, 16000.0
	rangeDB             = 90.0 // from the loudest to white
	frame               = 8192
	pictureHeight       = 260 // pixels
	mostWide            = 900
)

// heightOf is how far up a spectrogram a frequency stands, 0 to 1.
func heightOf(hz float64) float64 {
	return math.Log(hz/lowestHz) / math.Log(highestHz/lowestHz)
}

// spectrogram draws the power of the mean of both channels over time and frequency, which is logarithmic from the bottom up: black at the
// strongest, white rangeDB below.
func spectrogram(l, r []float32, rate int) ([]byte, error) {
	wide := min(mostWide, max(1, len(l)/512))
	picture := image.NewGray(image.Rect(0, 0, wide, pictureHeight))
	hann := window.Hann(frame)
	x, level := make([]float64, frame), make([][]float64, wide)
	loudest := math.Inf(-1)
	for col := range wide {
		start := int(float64(col)/float64(wide)*float64(len(l))) - frame/2
		level[col] = make([]float64, pictureHeight)
		var power [frame/2 + 1]float64
		for _, ch := range [][]float32{l, r} {
			for i := range x {
				x[i] = 0
				if at := start + i; at >= 0 && at < len(ch) {
					x[i] = float64(ch[at]) * hann[i]
				}
			}
			for k, c := range fft.FFTReal(x)[:len(power)] {
				power[k] += real(c)*real(c) + imag(c)*imag(c)
			}
		}
		for row := range pictureHeight {
			hz := func(row float64) float64 { return lowestHz * math.Pow(highestHz/lowestHz, row/pictureHeight) }
			a := int(hz(float64(row)) * frame / float64(rate))
			z := min(len(power)-1, max(a, int(hz(float64(row+1))*frame/float64(rate))))
			sum := 1e-30
			for k := a; k <= z; k++ {
				sum += power[k] / float64(z-a+1)
			}
			level[col][row] = 10 * math.Log10(sum)
			loudest = max(loudest, level[col][row])
		}
	}
	for col := range wide {
		for row, db := range level[col] {
			share := min(1, max(0, (loudest-db)/rangeDB))
			picture.SetGray(col, pictureHeight-1-row, color.Gray{Y: uint8(255 * share)})
		}
	}
	var b bytes.Buffer
	err := png.Encode(&b, picture)
	return b.Bytes(), err
}
