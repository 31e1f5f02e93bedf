package main

import (
	"math"
	"slices"
)

// point is one measurement: a size and what it cost.
type point struct{ size, cost float64 }

// exponent is the slope of the least-squares line through the logarithms: 1 where the cost
// grows with the size, less where part of it is fixed.
func exponent(points []point) float64 {
	n, x, y, xx, xy := 0.0, 0.0, 0.0, 0.0, 0.0
	for _, p := range points {
		if p.size <= 0 || p.cost <= 0 {
			continue
		}
		u, v := math.Log(p.size), math.Log(p.cost)
		n, x, y, xx, xy = n+1, x+u, y+v, xx+u*u, xy+u*v
	}
	return (n*xy - x*y) / (n*xx - x*x)
}

// median of a list that is not empty; the list is sorted.
func median(list []float64) float64 {
	slices.Sort(list)
	n := len(list)
	return (list[(n-1)/2] + list[n/2]) / 2
}
