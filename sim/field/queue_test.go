package field

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestQueueGivesTheEarliest(t *testing.T) {
	for seed := range uint64(50) {
		r := rand.New(rand.NewPCG(seed, 1))
		var q queue
		var held []edge
		for i := range int32(300) {
			x := edge{float64(r.IntN(40)), i}
			q.push(x)
			held = append(held, x)
			for len(q) > 0 && r.IntN(3) == 0 {
				slices.SortFunc(held, func(a, b edge) int {
					if a.before(b) {
						return -1
					}
					return 1
				})
				require.Equal(t, held[0], q.pop())
				held = held[1:]
			}
		}
		for last := (edge{at: -1}); len(q) > 0; {
			x := q.pop()
			require.True(t, last.before(x))
			last = x
		}
	}
}
