package hearing

import "math"

// log2 and exp2 by a table of 256 rows and a cubic in what is left: relative error of
// pow(x, y) for |y| ≤ 1 below 1e-9, at about a tenth of the cost of math.Pow.

const tableBits = 8

type log2Row struct{ inv, log float64 }

// Initialised by expression, not in init: other package variables are computed with them.
var log2Table, exp2Table = newTables()

func newTables() (l [1 << tableBits]log2Row, e [1 << tableBits]float64) {
	for i := range l {
		c := 1 + (float64(i)+0.5)/(1<<tableBits)
		l[i] = log2Row{1 / c, math.Log2(c)}
		e[i] = math.Exp2(float64(i) / (1 << tableBits))
	}
	return l, e
}

// log2 is the binary logarithm of a positive normal x.
func log2(x float64) float64 {
	bits := math.Float64bits(x)
	row := &log2Table[bits>>(52-tableBits)&(1<<tableBits-1)]
	m := math.Float64frombits(bits&(1<<52-1) | 1023<<52)
	r := m*row.inv - 1 // |r| < 1/512
	return float64(int(bits>>52)-1023) + row.log + r*math.Log2E*(1-r*(0.5-r*(1.0/3-r*0.25)))
}

// exp2 is 2 to the power x, for |x| < 1000.
func exp2(x float64) float64 {
	n := math.Floor(x * (1 << tableBits))
	r := (x - n/(1<<tableBits)) * math.Ln2 // 0 ≤ r < 0.0028
	i := int(n)
	scale := math.Float64frombits(uint64(i>>tableBits+1023) << 52)
	return scale * exp2Table[i&(1<<tableBits-1)] * (1 + r*(1+r*(0.5+r*(1.0/6))))
}

// pow is x to the power y for positive normal x.
func pow(x, y float64) float64 { return exp2(y * log2(x)) }
