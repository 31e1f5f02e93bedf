package casebook

import "math/rand/v2"

// hand is the generator of one page: its choices come from a seed.
type hand struct {
	*rand.Rand
	tonic int // pitch class
	minor bool
}

func newHand(seed uint64) *hand {
	g := &hand{Rand: rand.New(rand.NewPCG(seed, 0x5eed))}
	g.tonic, g.minor = g.IntN(12), g.IntN(2) == 0
	return g
}

func (g *hand) coin() bool { return g.IntN(2) == 0 }

// between is a whole number from a to b, both included.
func (g *hand) between(a, b int) int { return a + g.IntN(b-a+1) }

func pick[T any](g *hand, xs ...T) T { return xs[g.IntN(len(xs))] }

// degree is the pitch class of a degree of the scale, from 0; the leading note of minor is raised in the dominant.
func (g *hand) degree(d int, raised bool) int {
	scale := [7]int{0, 2, 4, 5, 7, 9, 11}
	if g.minor {
		scale = [7]int{0, 2, 3, 5, 7, 8, 10}
		if raised {
			scale[6] = 11
		}
	}
	return (g.tonic + scale[((d%7)+7)%7]) % 12
}

// triad is the pitch classes of the chord on a degree, root first.
func (g *hand) triad(d int) [3]int {
	raised := d == 4 || d == 6
	return [3]int{g.degree(d, raised), g.degree(d+2, raised), g.degree(d+4, raised)}
}

// progression is a degree for each of n places.
func (g *hand) progression(n int) []int {
	turns := [][]int{{0, 3, 4, 0}, {0, 5, 3, 4}, {0, 4, 5, 3}, {0, 1, 4, 0}, {0, 3, 1, 4}, {5, 3, 0, 4}, {0, 4, 0, 3}, {0, 2, 3, 4}}
	var out []int
	for len(out) < n {
		out = append(out, turns[g.IntN(len(turns))]...)
	}
	out = out[:n]
	out[n-1] = 0
	return out
}

// near is the key of a pitch class nearest to centre.
func near(class, centre int) int {
	k := centre - ((centre-class)%12+12)%12
	if centre-k > 6 {
		k += 12
	}
	return k
}

// above is the lowest key of a pitch class at or above from.
func above(class, from int) int { return from + ((class-from)%12+12)%12 }

// close3 is a triad in close position with its lowest key near centre.
func (g *hand) close3(d, centre int) []int {
	t := g.triad(d)
	low := near(t[0], centre)
	for _, c := range t[1:] {
		if k := near(c, centre); abs(k-centre) < abs(low-centre) {
			low = k
		}
	}
	out := []int{low}
	for len(out) < 3 {
		next := 999
		for _, c := range t {
			next = min(next, above(c, out[len(out)-1]+1))
		}
		out = append(out, next)
	}
	return out
}

func abs(x int) int { return max(x, -x) }

// bass is the root of a chord between low and low+11.
func (g *hand) bass(d, low int) int { return above(g.triad(d)[0], low) }

// rhythm fills a bar with lengths drawn from those given; the last one fits.
func (g *hand) rhythm(bar int, from ...int) []int {
	var out []int
	for bar > 0 {
		n := from[g.IntN(len(from))]
		for n > bar {
			n = pick(g, 1, 2, 4)
		}
		if n == 5 || n == 7 {
			n = 4
		}
		out, bar = append(out, n), bar-n
	}
	return out
}

// melody is a singing line over a progression of one chord a bar, of crotchets and longer with some quavers, about centre.
func (g *hand) melody(prog []int, bar, centre int) []chord {
	var out []chord
	at := near(g.triad(prog[0])[g.IntN(3)], centre)
	for _, d := range prog {
		for i, n := range g.rhythm(bar, 4, 6, 8, 2, 4) {
			t := g.triad(d)
			if i == 0 || g.IntN(3) == 0 {
				at = near(t[g.IntN(3)], at+g.between(-3, 3))
			} else {
				step := g.between(0, 6)
				at = near(g.degree(step, d == 4), at+pick(g, -2, 2, 1, -1))
			}
			for at > centre+9 {
				at -= 12
			}
			for at < centre-7 {
				at += 12
			}
			out = append(out, chord{keys: []int{at}, len: n})
		}
	}
	return out
}

// hold is a note or chord for each bar.
func hold(prog []int, bar int, keys func(d int) []int) []chord {
	var out []chord
	for _, d := range prog {
		out = append(out, chord{keys: keys(d), len: bar})
	}
	return out
}

// figure is a way to break a chord: indexes into its keys, 3 the octave of the first.
var figures = [][]int{{0, 1, 2, 1}, {0, 2, 1, 2}, {0, 1, 2, 3}, {2, 1, 0, 1}, {0, 1, 2}, {0, 2, 1}, {0, 1, 2, 3, 2, 1}, {0, 2, 3, 2}, {3, 2, 1, 0}, {0, 2, 0, 1}}

// broken breaks the chord of each bar in notes of a length.
func (g *hand) broken(prog []int, bar, length, centre int) []chord {
	fig := figures[g.IntN(len(figures))]
	var out []chord
	for _, d := range prog {
		keys := g.close3(d, centre)
		keys = append(keys, keys[0]+12)
		for i := range bar / length {
			out = append(out, chord{keys: []int{keys[fig[i%len(fig)]]}, len: length})
		}
		if r := bar % length; r > 0 {
			out = append(out, chord{keys: []int{keys[0]}, len: r})
		}
	}
	return out
}

// slurred puts each bar's notes, or groups of n of them, under a slur.
func slurred(cs []chord, n int) []chord {
	for i := 0; i+1 < len(cs); i += n {
		j := min(i+n, len(cs)) - 1
		if j > i && len(cs[i].keys) > 0 && len(cs[j].keys) > 0 {
			cs[i].slur, cs[j].slur = 1, -1
		}
	}
	return cs
}
