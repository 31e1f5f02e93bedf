//go:build !amd64

package field

func decays(left, rate [][maxTerms]float64, x float64) { decaysGo(left, rate, x) }

func fallen(left, rate []float64, x float64) { fallenGo(left, rate, x) }

func weaken(x, by []float64) { weakenGo(x, by) }

func drive(now, old, lacking, fading, speaking, gain, aim, direct []float64) {
	driveGo(now, old, lacking, fading, speaking, gain, aim, direct)
}

func pour(tail, residue, filling, in, left []float64) { pourGo(tail, residue, filling, in, left) }

func part(now, old, tail, residue []float64) { partGo(now, old, tail, residue) }
