package finding

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"afterchord/sim/score"
)

// values are note lengths in crotchets and their names.
var values = []struct {
	crotchets float64
	name      string
}{
	{0.125, "demisemiquaver"}, {0.25, "semiquaver"}, {0.375, "dotted semiquaver"}, {0.5, "quaver"},
	{0.75, "dotted quaver"}, {1, "crotchet"}, {1.5, "dotted crotchet"}, {2, "minim"}, {3, "dotted minim"},
	{4, "semibreve"}, {6, "dotted semibreve"}, {8, "breve"},
}

// NoteValue names the shortest note value that lasts at least seconds at a tempo in
// crotchets a minute: "dotted crotchet".
func NoteValue(seconds, tempo float64) string {
	n := seconds * tempo / 60
	for _, v := range values {
		if v.crotchets >= n*0.97 {
			return v.name
		}
	}
	return fmt.Sprintf("%.0f-crotchet", math.Ceil(n))
}

// keyNames lists keys as notes from the lowest up, each once.
func (c *Context) keyNames(notes []int32) []string {
	var keys []int
	for _, n := range notes {
		keys = append(keys, c.Performance.Notes[n].Key)
	}
	slices.Sort(keys)
	var out []string
	for _, k := range slices.Compact(keys) {
		out = append(out, score.KeyName(k))
	}
	return out
}

// noteIDs are the score's IDs of performance notes.
func (c *Context) noteIDs(notes []int32) []int {
	var out []int
	for _, n := range notes {
		out = append(out, c.Score.Notes[c.Performance.Notes[n].Score].ID)
	}
	return out
}

// tempoAt is the speed in crotchets a minute at t (s).
func (c *Context) tempoAt(t float64) float64 { return c.Score.TempoAt(c.Score.TickAt(t)) }

// divisionsOf names the divisions of notes, "Great and Pedal".
func (c *Context) divisionsOf(notes []int32) string {
	var names []string
	for d := range c.Organ.Divisions {
		for _, n := range notes {
			if c.Performance.Notes[n].Division == d {
				names = append(names, c.Organ.Divisions[d].Name)
				break
			}
		}
	}
	return list(names)
}

func list(names []string) string {
	switch len(names) {
	case 0:
		return ""
	case 1:
		return names[0]
	}
	s := names[0]
	for _, n := range names[1 : len(names)-1] {
		s += ", " + n
	}
	return s + " and " + names[len(names)-1]
}

// bisect finds x in [lo, hi] where ok turns from false to true; hi where it never does.
func bisect(lo, hi float64, ok func(x float64) bool) float64 {
	if ok(lo) {
		return lo
	}
	for range bisections {
		mid := (lo + hi) / 2
		if ok(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi
}

func round(x float64, digits int) float64 {
	p := math.Pow(10, float64(digits))
	return math.Round(x*p) / p
}

// fromTo writes a range: "1.1 to 1.9 s", or "1.1 s" where both ends are alike.
func fromTo(least, most float64, unit string) string {
	a, b := fmt.Sprintf("%.1f", least), fmt.Sprintf("%.1f", most)
	if a != b {
		b = a + " to " + b
	}
	return strings.TrimSpace(b + " " + unit)
}

// percents writes a range of shares: "40 to 55 %", or "40 %" where both ends are alike.
func percents(least, most float64) string {
	a, b := fmt.Sprintf("%.0f", 100*least), fmt.Sprintf("%.0f", 100*most)
	if a == b {
		return b + " %"
	}
	return a + " to " + b + " %"
}

// inWords writes a small count: "three", from ten on in figures.
func inWords(n int) string {
	if words := [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"}; n < len(words) {
		return words[n]
	}
	return strconv.Itoa(n)
}
