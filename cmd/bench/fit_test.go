package main

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestExponent(t *testing.T) {
	for _, want := range []float64{0, 0.5, 1, 2} {
		var points []point
		for _, size := range []float64{1, 2, 5, 40} {
			points = append(points, point{size, 3 * math.Pow(size, want)})
		}
		assert.InDelta(t, want, exponent(points), 1e-12)
	}
}

func TestMedian(t *testing.T) {
	assert.Equal(t, 2.0, median([]float64{9, 1, 2}))
	assert.Equal(t, 1.5, median([]float64{9, 1, 2, 0}))
}
