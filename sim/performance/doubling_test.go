package performance

import (
	"testing"

	"afterchord/sim/score"
)

func TestDoublings(t *testing.T) {
	build := func(lower func(i, k int) (int, bool)) *score.Score {
		s := &score.Score{TicksPerCrotchet: 480, Parts: []score.Part{{Name: "a"}, {Name: "b"}}, Tempos: []score.Tempo{{Crotchets: 60}}}
		for i, k := range []int{40, 42, 43, 45, 47, 48, 50, 52, 53, 40, 42, 43} {
			on := score.Tick(i * 480)
			s.Notes = append(s.Notes, score.Note{ID: 2*i + 1, Key: k, On: on, Off: on + 480})
			if k, ok := lower(i, k); ok {
				s.Notes = append(s.Notes, score.Note{ID: 2*i + 2, Part: 1, Key: k, On: on, Off: on + 480})
			}
		}
		return s
	}
	octave := func(_, k int) (int, bool) { return k - 12, true }
	got := Doublings(build(octave))
	if len(got) != 1 || got[0] != (Doubling{Part: 1, Leader: 0, Notes: 12, Octave: 12}) {
		t.Errorf("an octave lower throughout: got %+v", got)
	}
	for name, lower := range map[string]func(i, k int) (int, bool){
		"in thirds":           func(_, k int) (int, bool) { return k - 4, true },
		"unison":              func(_, k int) (int, bool) { return k, true },
		"every second octave": func(i, k int) (int, bool) { return k - 12, i%2 == 0 },
		"nothing":             func(_, k int) (int, bool) { return 0, false },
	} {
		if got := Doublings(build(lower)); len(got) != 0 {
			t.Errorf("%s: got %+v", name, got)
		}
	}
}
