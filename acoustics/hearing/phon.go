package hearing

import "math"

// phonTable is ISO 532-2:2017, Table 5: loudness level, phon, against loudness, sone.
var phonTable = []struct{ phon, sone float64 }{
	{0, 0.001}, {2.2, 0.004}, {4, 0.008}, {5, 0.010}, {7.5, 0.019}, {10, 0.031}, {15, 0.073},
	{20, 0.146}, {25, 0.26}, {30, 0.43}, {35, 0.67}, {40, 1.00}, {45, 1.46}, {50, 2.09},
	{55, 2.96}, {60, 4.14}, {65, 5.77}, {70, 8.04}, {75, 11.2}, {80, 15.8}, {85, 22.7},
	{90, 32.9}, {95, 47.7}, {100, 69.6}, {105, 102}, {110, 151}, {115, 225}, {120, 337.6},
}

// Phon is the loudness level of a loudness in sone (ISO 532-2:2017, Table 5, linear in
// lg sone between rows; beyond 120 phon its last slope is carried on, below 0.001 sone it is 0).
func Phon(sone float64) float64 {
	t := phonTable
	if !(sone > t[0].sone) {
		return 0
	}
	i := 1
	for i < len(t)-1 && t[i].sone < sone {
		i++
	}
	a, b := t[i-1], t[i]
	return a.phon + (b.phon-a.phon)*math.Log(sone/a.sone)/math.Log(b.sone/a.sone)
}
