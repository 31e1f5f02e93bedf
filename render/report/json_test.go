package report

import (
	"bufio"
	"bytes"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// Rounded numbers are written as strconv writes them.
func TestRoundedNumbers(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	values := []float64{0, math.Copysign(0, -1), 1, -1, 0.5, 0.05, -0.0004, 0.00005, 99.99996, 1e9, -1e9, 123456789.4321, 1e11, 1e12, 1e300, 0.9995, 1.005}
	for range 2000 {
		values = append(values, (r.Float64()-0.5)*math.Pow(10, float64(r.IntN(14)-3)))
	}
	for _, x := range values {
		for _, decimals := range []int{2, 3, 4} {
			want := x
			if scale := math.Pow(10, float64(decimals)); math.Abs(x) <= 1e11 {
				want = math.Round(x*scale)/scale + 0 // no minus zero
			}
			var b bytes.Buffer
			e := encoder{w: bufio.NewWriter(&b)}
			e.rounded(x, decimals)
			e.w.Flush()
			require.Equal(t, strconv.FormatFloat(want, 'f', -1, 64), b.String(), "%g to %d", x, decimals)
		}
	}
}
