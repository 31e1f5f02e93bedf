package proof

import (
	"container/heap"
	"fmt"

	"afterchord/sim/score"
)

// What a file may ask for at most: far beyond any organ and any player, and within what a run can do in seconds. Five
// keyboards have some 300 keys; two hands and two feet strike some forty notes a second at most (common practice), a full
// orchestral score in tremolo a few hundred.
const (
	mostKeys    = 600  // down at once
	mostStrokes = 3000 // within strokeS
	strokeS     = 10.0
)

// playable refuses a score that no organ could play, before anything is computed from it.
func playable(s *score.Score) error {
	var down ends
	from := 0
	starts := make([]float64, len(s.Notes))
	for i, n := range s.Notes {
		starts[i] = s.Seconds(n.On)
		for len(down) > 0 && down[0] <= n.On {
			heap.Pop(&down)
		}
		if heap.Push(&down, n.Off); len(down) > mostKeys {
			return fmt.Errorf("%s, %s: more than %d keys are down at once, and no organ has so many; look for tracks that stand in the file again and again", s.File, s.Position(n.On), mostKeys)
		}
		for starts[from] < starts[i]-strokeS {
			from++
		}
		if i-from >= mostStrokes {
			return fmt.Errorf("%s, %s: more than %d keys are struck within %g s, and nobody could play them; look at the tempo, and for tracks that stand in the file again and again", s.File, s.Position(s.Notes[from].On), mostStrokes, strokeS)
		}
	}
	return nil
}

// ends are when the keys that are down come up, the first on top.
type ends []score.Tick

func (e ends) Len() int           { return len(e) }
func (e ends) Less(i, j int) bool { return e[i] < e[j] }
func (e ends) Swap(i, j int)      { e[i], e[j] = e[j], e[i] }
func (e *ends) Push(x any)        { *e = append(*e, x.(score.Tick)) }
func (e *ends) Pop() any {
	last := (*e)[len(*e)-1]
	*e = (*e)[:len(*e)-1]
	return last
}
