package finding

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/score"
)

var coachChecks = map[string]Check{
	KindPedalReach: PedalReach, KindHandReach: HandReach, KindOffCompass: OffCompass, KindNoSuchEffect: NoSuchEffect,
	KindDoubledInVain: DoubledInVain, KindStopScramble: StopScramble, KindBoxOutOfReach: BoxOutOfReach,
	KindSteppedCrescendo: SteppedCrescendo, KindThinFigure: ThinFigure,
}

// hymn is four voices and pedal as any organist plays them: steps and small leaps, the pedal on the bass.
func hymn() *score.Score {
	voices := [4][]int{
		{67, 67, 69, 71, 72, 71, 69, 67, 69, 71, 72, 74, 72, 71, 69, 67},
		{62, 64, 64, 62, 64, 62, 66, 62, 64, 62, 64, 65, 64, 62, 62, 62},
		{59, 60, 57, 59, 60, 59, 60, 59, 60, 59, 60, 59, 60, 55, 60, 59},
		{43, 48, 48, 43, 45, 50, 50, 43, 48, 50, 45, 47, 48, 50, 50, 43},
	}
	names := [4]string{"Great soprano", "Great alto", "Great tenor", "Pedal"}
	var lines []line
	for v, keys := range voices {
		lines = append(lines, line{names[v], tune(0, 1, keys...)})
	}
	return page(80, lines...)
}

func TestGoodWritingIsLeftAlone(t *testing.T) {
	for _, organ := range []string{"village", "minster"} {
		t.Run(organ, func(t *testing.T) {
			for _, mark := range []string{"p", "mf", "ff"} {
				t.Run(mark, func(t *testing.T) {
					c := hear(t, draw(play(t, organ, hymn()), mark), "parish-church")
					for kind, check := range coachChecks {
						t.Run(kind, func(t *testing.T) {
							require.Empty(t, words(check(c)), "%s at %s: %s", organ, mark, kind)
						})
					}
				})
			}
		})
	}
}

// Whatever the score, a check answers with findings that lie within the piece and name its notes.
func TestAnyScore(t *testing.T) {
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 1))
		var lines []line
		for _, name := range []string{"Great", "Swell", "Pedal", "Track 9"}[:1+r.IntN(4)] {
			var notes []score.Note
			for range 1 + r.IntN(60) {
				n := key(20+r.IntN(90), float64(r.IntN(64))/4, float64(1+r.IntN(16))/4)
				n.Velocity = 1 + r.IntN(127)
				notes = append(notes, n)
			}
			lines = append(lines, line{name, notes})
		}
		s := page(30+200*r.Float64(), lines...)
		for range 30 {
			s.Controls = append(s.Controls, score.Control{At: score.Tick(r.IntN(16 * crotchet)), Part: r.IntN(len(lines)),
				Kind: []score.ControlKind{score.Controller, score.Bend, score.Pressure}[r.IntN(3)], Number: []int{1, 7, 11, 64, 66, 67}[r.IntN(6)], Value: r.IntN(128)})
		}
		slices.SortStableFunc(s.Controls, func(a, b score.Control) int { return int(a.At - b.At) })
		s.Words = []score.Word{{At: 0, Part: -1, Kind: score.Hairpin, Text: "crescendo"}}
		c := hear(t, play(t, []string{"cabinet", "village", "minster"}[seed%3], s), "chapel")
		known := map[int]bool{}
		for _, n := range s.Notes {
			known[n.ID] = true
		}
		for kind, check := range coachChecks {
			t.Run(kind, func(t *testing.T) {
				got := check(c)
				wellFormed(t, kind, got)
				require.Equal(t, got, check(c), "the same answer twice: %s", kind)
				for _, f := range got {
					require.GreaterOrEqual(t, f.AtS, 0.0)
					require.LessOrEqual(t, f.AtS, c.Performance.EndS+1)
					for _, id := range f.Notes {
						require.True(t, known[id])
					}
				}
			})
		}
	}
}

func BenchmarkCoach(b *testing.B) {
	// ten minutes of four voices in quavers at crotchet = 100
	var lines []line
	r := rand.New(rand.NewPCG(1, 2))
	for v, name := range []string{"Great soprano", "Great alto", "Great tenor", "Pedal"} {
		var keys []int
		k := []int{72, 65, 57, 43}[v]
		for range 2000 {
			k += r.IntN(5) - 2
			k = min(max(k, []int{65, 60, 50, 36}[v]), []int{81, 72, 64, 55}[v])
			keys = append(keys, k)
		}
		lines = append(lines, line{name, tune(0, 0.5, keys...)})
	}
	c := play(&testing.T{}, "village", page(100, lines...))
	for kind, check := range coachChecks {
		b.Run(kind, func(b *testing.B) {
			for range b.N {
				check(c)
			}
		})
	}
}
