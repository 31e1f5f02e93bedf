package performance

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"afterchord/sim/score"
)

// doublingsByCount is the definition: every note of every part looked up in every other.
func doublingsByCount(s *score.Score) []Doubling {
	type place struct {
		part, key int
		on        score.Tick
	}
	has, count := map[place]bool{}, make([]int, len(s.Parts))
	for _, n := range s.Notes {
		has[place{n.Part, n.Key, n.On}] = true
		count[n.Part]++
	}
	var out []Doubling
	for a := range s.Parts {
		for b := range s.Parts {
			d := Doubling{Part: a, Leader: b}
			for _, n := range s.Notes {
				if n.Part == a && has[place{b, n.Key + 12, n.On}] {
					d.Octave++
					d.Notes++
				} else if n.Part == a && has[place{b, n.Key, n.On}] {
					d.Notes++
				}
			}
			if a != b && count[a] >= doublingLeast && float64(d.Notes) >= doublingShare*float64(max(count[a], count[b])) && 2*d.Octave >= count[a] && float64(count[a]) <= doublingMost*float64(count[b]) {
				out = append(out, d)
				break
			}
		}
	}
	return out
}

func TestDoublingsAgainstTheDefinition(t *testing.T) {
	found := 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 3))
		s := page(8, "a", "b", "c", "d")
		for i := range 8 + r.IntN(60) {
			at, key := score.Tick(r.IntN(30000)), 48+r.IntN(20)
			for part := range s.Parts {
				k := key - 12*part
				if r.IntN(40) < part { // here and there a part goes its own way
					k += r.IntN(3) * 6
				}
				s.Notes = append(s.Notes, score.Note{ID: 4*i + part, Part: part, Key: max(0, k), On: at, Off: at + 200})
			}
		}
		s.SortNotes()
		got := Doublings(s)
		found += len(got)
		assert.Equal(t, doublingsByCount(s), got, "seed %d", seed)
	}
	assert.Positive(t, found)
}
