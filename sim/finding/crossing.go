package finding

import "math"

// bisections is how often bisect and crossing halve where they look.
const bisections = 24

// crossing is bisect for a rising f that is smooth: the same x at which f reaches least, to the bit, in a few steps from a guess.
func crossing(lo, hi, guess, least float64, f func(x float64) float64) float64 {
	const n = 1 << bisections
	at := func(k int) float64 { return lo + (hi-lo)*float64(k)/n }
	below := f(lo)
	if below >= least {
		return lo
	}
	return at(stepReached(n, int((guess-lo)/(hi-lo)*n), below, least, func(k int) float64 { return f(at(k)) }))
}

// stepReached is the first of the steps 1 to n at which a rising f that is smooth reaches least, n where none before it does; below is f at step 0.
func stepReached(n, guess int, below, least float64, f func(step int) float64) int {
	a, b := 0, n // f(a) < least <= f(b)
	above := math.NaN()
	k := min(n-1, max(1, guess))
	step := 1 + k/8 // while the guess is on one side of what is sought
	was := float64(k)
	for b-a > 1 {
		k = min(b-1, max(a+1, k))
		width := b - a
		if v := f(k); v >= least {
			b, above = k, v
		} else {
			a, below = k, v
		}
		switch {
		case a == 0:
			k = b - step
			step *= 4
		case b == n:
			k = a + step
			step *= 4
		case 4*(b-a) > 3*width: // a poor step
			k = a + (b-a)/2
		default: // along the chord, a little beyond what is sought as seen from the nearer end
			x := float64(a) + (least-below)/(above-below)*float64(b-a)
			beyond := 1 + math.Abs(x-was)/16
			was = x
			if 2*x > float64(a+b) {
				beyond = -beyond
			}
			k = int(math.Round(x + beyond))
		}
	}
	return b
}
