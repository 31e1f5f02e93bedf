package remedy

import (
	"math"
	"slices"
	"strconv"

	"afterchord/sim/score"
)

// plainRests are the rests that a remedy writes, in crotchets: one sign each, with a dot at most.
var plainRests = []float64{0.25, 0.5, 0.75, 1, 1.5, 2, 3, 4}

// rests lists plainRests in ticks.
func rests(s *score.Score) []score.Tick {
	var out []score.Tick
	for _, r := range plainRests {
		if t := score.Tick(r * float64(s.TicksPerCrotchet)); t > 0 {
			out = append(out, t)
		}
	}
	return out
}

// restBefore is the longest rest up to most that may end what sounds from `from` to `to` and leaves a quarter of it
// at least: a plain one, half of a tuplet or of what is shorter than any; of music that is not on the beat, most itself.
func restBefore(s *score.Score, from, to, most score.Tick) score.Tick {
	span := to - from
	room := min(most, span*3/4)
	switch {
	case onGrid(s, from, 1) && onGrid(s, to, 1):
		ladder := rests(s)
		for _, r := range slices.Backward(ladder) {
			if r <= room {
				return r
			}
		}
	case !onGrid(s, from, 3) || !onGrid(s, to, 3): // played, not written
		return room
	}
	if half := span / 2; half <= most && half >= grid(s) {
		return half
	}
	return 0
}

// onGrid reports whether a place is a multiple of a demisemiquaver, or of one of a tuplet of so many.
func onGrid(s *score.Score, t, tuplet score.Tick) bool { return t*tuplet%grid(s) == 0 }

// written is the length that a note has on the page: its printed one, and in a file without one the next plain value where
// it is played a little short of that.
func written(s *score.Score, n score.Note) score.Tick {
	length := max(n.Written, n.Off-n.On)
	if onGrid(s, length, 1) || onGrid(s, length, 3) {
		return length
	}
	const short = 0.85
	for v := grid(s); v <= 8*s.TicksPerCrotchet; v *= 2 {
		for _, x := range []score.Tick{v, v * 3 / 2} {
			if length <= x && float64(length) >= short*float64(x) {
				return x
			}
		}
	}
	return length
}

// plainPart is the length nearest to a share of a written one that one sign writes, with a dot at most, and that leaves a rest which one
// sign writes: neither shorter than a semiquaver, as nobody prints a dotted semiquaver and a demisemiquaver rest for a detached
// quaver (common practice). Of a tuplet it is the half; of what is not on the beat, which is played and not written, the share itself.
// ok is false where there is none.
func plainPart(s *score.Score, length score.Tick, share float64) (part score.Tick, ok bool) {
	switch least := max(grid(s), s.TicksPerCrotchet/4); {
	case onGrid(s, length, 1):
		want, off := share*float64(length), math.Inf(1)
		for v := least; v < length; v *= 2 {
			for _, x := range []score.Tick{v, v * 3 / 2} {
				if length-x < least || !onGrid(s, x, 1) || valueName(s, length-x) == "" {
					continue
				}
				if d := math.Abs(math.Log(float64(x) / want)); d < off {
					part, off = x, d
				}
			}
		}
		return part, part > 0
	case onGrid(s, length, 3):
		if 3*length < 4*least {
			return 0, false
		}
		return length / 2, true
	}
	return score.Tick(share*float64(length) + 0.5), true
}

// signs are the undotted note values, each half as long as the next.
var signs = []string{"demisemiquaver", "semiquaver", "quaver", "crotchet", "minim", "semibreve", "breve"}

// valueName names a length that one sign writes, with two dots at most: "dotted crotchet"; "" for any other.
func valueName(s *score.Score, t score.Tick) string {
	v := s.TicksPerCrotchet // of an eighth of a tick
	for _, name := range signs {
		switch 4 * 8 * t {
		case 4 * v:
			return name
		case 6 * v:
			return "dotted " + name
		case 7 * v:
			return "double-dotted " + name
		}
		v *= 2
	}
	return ""
}

// aValue names a length for a sentence: "a quaver", or how many crotchets where no sign writes it.
func aValue(s *score.Score, t score.Tick) string {
	if name := valueName(s, t); name != "" {
		return "a " + name
	}
	return strconv.FormatFloat(math.Round(100*float64(t)/float64(s.TicksPerCrotchet))/100, 'f', -1, 64) + " crotchets"
}
