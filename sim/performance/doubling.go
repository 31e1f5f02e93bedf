package performance

import "afterchord/sim/score"

// Doubling says that a part has the notes of another throughout, an octave lower for the most
// part: what a 16 ft stop does, written out as a part of its own for instruments that
// have no such stop.
type Doubling struct {
	Part   int // the lower one
	Leader int // the part as it is written for the feet or the hand
	Notes  int // notes of Part that Leader has at the same time
	Octave int // how many of them lie an octave lower
}

// doublingLeast is how many notes make a doubling more than chance, and doublingShare the
// share of them that must go along.
const (
	doublingLeast = 8
	doublingShare = 0.95
)

// Doublings finds the parts that only double another part an octave lower.
func Doublings(s *score.Score) []Doubling {
	type place struct {
		part, key int
		on        score.Tick
	}
	has := make(map[place]bool, len(s.Notes))
	count := make([]int, len(s.Parts))
	for _, n := range s.Notes {
		has[place{n.Part, n.Key, n.On}] = true
		count[n.Part]++
	}
	var out []Doubling
	for a := range s.Parts {
		if count[a] < doublingLeast {
			continue
		}
		octave, unison := make([]int, len(s.Parts)), make([]int, len(s.Parts))
		for _, n := range s.Notes {
			if n.Part != a {
				continue
			}
			for b := range s.Parts {
				if b == a {
					continue
				}
				if has[place{b, n.Key + 12, n.On}] {
					octave[b]++
				} else if has[place{b, n.Key, n.On}] {
					unison[b]++
				}
			}
		}
		for b := range s.Parts {
			both := octave[b] + unison[b]
			if float64(both) >= doublingShare*float64(max(count[a], count[b])) && 2*octave[b] >= count[a] {
				out = append(out, Doubling{Part: a, Leader: b, Notes: both, Octave: octave[b]})
				break
			}
		}
	}
	return out
}
