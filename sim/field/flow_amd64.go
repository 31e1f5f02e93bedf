package field

import "golang.org/x/sys/cpu"

// wide says whether the processor takes four values of double precision at a time; one at a time gives the same bits.
var wide = cpu.X86.HasAVX2

// fours is how many vectors a plane has. It panics where there is no room behind x for the last of them.
func fours(x []float64) int {
	n := (len(x) + lanes - 1) / lanes
	_ = x[:n*lanes]
	return n
}

func weaken(x, by []float64) {
	if !wide {
		weakenGo(x, by)
		return
	}
	weakenFours(&x[0], &by[0], min(fours(x), fours(by)))
}

func drive(now, old, lacking, fading, speaking, gain, aim, direct []float64) {
	if !wide {
		driveGo(now, old, lacking, fading, speaking, gain, aim, direct)
		return
	}
	n := min(fours(now), fours(old), fours(lacking), fours(fading), fours(speaking), fours(gain), fours(aim), fours(direct))
	driveFours(&now[0], &old[0], &lacking[0], &fading[0], &speaking[0], &gain[0], &aim[0], &direct[0], n)
}

func pour(tail, residue, filling, in, left []float64) {
	if !wide {
		pourGo(tail, residue, filling, in, left)
		return
	}
	pourFours(&tail[0], &residue[0], &filling[0], &in[0], &left[0], min(fours(tail), fours(residue), fours(filling), fours(in), fours(left)))
}

func part(now, old, tail, residue []float64) {
	if !wide {
		partGo(now, old, tail, residue)
		return
	}
	partFours(&now[0], &old[0], &tail[0], &residue[0], min(fours(now), fours(old), fours(tail), fours(residue)))
}

func decays(left, rate [][maxTerms]float64, x float64) {
	n := (len(left) + 1) / 2 // of two rows
	if !wide || n == 0 {
		decaysGo(left, rate, x)
		return
	}
	fallenFours(&left[:2*n][0][0], &rate[:2*n][0][0], -x, &taylor, n)
}

func fallen(left, rate []float64, x float64) {
	if !wide || len(left) == 0 {
		fallenGo(left, rate, x)
		return
	}
	fallenFours(&left[0], &rate[0], -x, &taylor, min(fours(left), fours(rate)))
}

//go:noescape
func fallenFours(left, rate *float64, x float64, taylor *[14]float64, fours int)

//go:noescape
func weakenFours(x, by *float64, fours int)

//go:noescape
func driveFours(now, old, lacking, fading, speaking, gain, aim, direct *float64, fours int)

//go:noescape
func pourFours(tail, residue, filling, in, left *float64, fours int)

//go:noescape
func partFours(now, old, tail, residue *float64, fours int)
