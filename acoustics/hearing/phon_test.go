package hearing

import "math"

// Sone is the loudness of a loudness level in phon, the inverse of Phon.
func Sone(phon float64) float64 {
	t := phonTable
	if !(phon > 0) {
		return 0
	}
	i := 1
	for i < len(t)-1 && t[i].phon < phon {
		i++
	}
	a, b := t[i-1], t[i]
	return a.sone * math.Pow(b.sone/a.sone, (phon-a.phon)/(b.phon-a.phon))
}

// Cam is the ERB number of hz: how many equivalent rectangular bandwidths lie below
// it (Glasberg & Moore 1990; ISO 532-2:2017, Formula 6).
func Cam(hz float64) float64 { return camsPerDecade * math.Log10(0.004368*hz+1) }
