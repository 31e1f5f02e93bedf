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
	doublingMost  = 1.2 // notes of a copy to one of the line
)

// Doublings finds the parts that only double another part an octave lower.
func Doublings(s *score.Score) []Doubling {
	notes := make([][]score.Note, len(s.Parts)) // of each part, by time
	count := make([]int, len(s.Parts))
	for i := range s.Notes {
		count[s.Notes[i].Part]++
	}
	for part, n := range count {
		notes[part] = make([]score.Note, 0, n)
	}
	for _, n := range s.Notes {
		notes[n.Part] = append(notes[n.Part], n)
	}
	var out []Doubling
	for a := range notes {
		if len(notes[a]) < doublingLeast {
			continue
		}
		for b := range notes {
			if d, ok := doubling(notes[a], notes[b]); ok && a != b {
				d.Part, d.Leader = a, b
				out = append(out, d)
				break
			}
		}
	}
	return out
}

// doubling compares a part with one that may lead it. It gives up as soon as too many
// notes have gone astray, which for two parts that have nothing in common is soon.
func doubling(part, leader []score.Note) (d Doubling, ok bool) {
	least := doublingShare * float64(max(len(part), len(leader)))
	from := 0
	for i, n := range part {
		for from < len(leader) && leader[from].On < n.On {
			from++
		}
		octave, unison := false, false
		for j := from; j < len(leader) && leader[j].On == n.On; j++ {
			octave = octave || leader[j].Key == n.Key+12
			unison = unison || leader[j].Key == n.Key
		}
		if octave {
			d.Octave++
		}
		if octave || unison {
			d.Notes++
		}
		if float64(d.Notes+len(part)-i-1) < least {
			return d, false
		}
	}
	// octaves are not a copy: they have the line itself in them
	return d, 2*d.Octave >= len(part) && float64(len(part)) <= doublingMost*float64(len(leader))
}
