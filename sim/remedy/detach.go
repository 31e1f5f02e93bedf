package remedy

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"afterchord/acoustics/plural"
	"afterchord/sim/finding"

	"afterchord/sim/score"
)

// share is how much of its length a detached note keeps.
type share struct {
	keep  float64
	word  string
	price float64
}

// shares are how much of its length a detached note keeps, from the gentlest, and what that costs the music beyond
// a change of touch: dots of a quarter make another piece of a legato one.
var shares = []share{{0.75, "three quarters", 0.2}, {0.5, "half", 0.8}, {0.25, "a quarter", 4.5}}

// leastDownS is how long a detached key is down at the least, s: of a quicker run nobody chooses how long its keys are down
// (common practice: ten or twelve strokes a second are the quickest).
const leastDownS = 0.08

// Detach shortens the chords that run into a change of harmony or a fall, or the strokes of
// a figure, to plain note values, so that each has rung down somewhat before the next: dense legato chords lose their
// harmony in a live room, detached ones keep it (common practice).
func Detach(c *Case) []Draft {
	ids := c.ringing()
	var out []Draft
	last := 0.0
	for _, share := range shares {
		d := c.pen()
		var became []string
		kept := 0.0
		for _, id := range ids {
			n := d.note(id)
			was := written(c.Score(), *n)
			is, ok := plainPart(c.Score(), was, share.keep)
			if !ok || n.On+is >= n.Off || c.lasts(is, n.On) < leastDownS {
				continue
			}
			d.shorten(id, n.On+is)
			became = append(became, c.becomes(was, n.Off-n.On))
			kept += float64(n.Off-n.On) / float64(was)
		}
		if kept == last || 2*len(became) < len(ids) { // no value between; a note here and there is no touch
			continue
		}
		last = kept
		keep := nearestShare(kept / float64(max(1, len(became)))) // plain values keep more or less than was asked for
		if x, ok := d.finish(false, "Detached before and in %s: %s. It costs the legato.", c.bars(), detached(became, keep.word)); ok {
			x.Price = keep.price
			out = append(out, x)
		}
	}
	return out
}

// nearestShare is the row of shares that is nearest to a share.
func nearestShare(keep float64) share {
	return slices.MinFunc(shares, func(a, b share) int { return cmp.Compare(math.Abs(a.keep-keep), math.Abs(b.keep-keep)) })
}

// becomes says what a note value turns into, "crotchets become quavers"; "" where no sign writes one of them.
func (c *Case) becomes(was, is score.Tick) string {
	a, b := valueName(c.Score(), was), valueName(c.Score(), is)
	if a == "" || b == "" {
		return ""
	}
	return a + "s become " + b + "s"
}

// mostValues is how many changes of note value a sentence lists.
const mostValues = 3

// detached is "12 minims become crotchets, 4 crotchets become quavers", or what share of their length all keep.
func detached(became []string, share string) string {
	n := len(became)
	kinds := slices.Compact(slices.Sorted(slices.Values(became)))
	if len(kinds) == 0 || len(kinds) > mostValues || kinds[0] == "" {
		return fmt.Sprintf("%s about %s of the written length", plural.Count(n, "note keeps", "notes keep"), share)
	}
	times := map[string]int{}
	for _, b := range became {
		times[b]++
	}
	slices.SortStableFunc(kinds, func(a, b string) int { return times[b] - times[a] })
	for i, k := range kinds {
		n := times[k]
		if n == 1 {
			k = strings.Replace(strings.TrimSuffix(k, "s"), "s become ", " becomes a ", 1)
		}
		kinds[i] = fmt.Sprintf("%d %s", n, k)
	}
	return strings.Join(kinds, ", ")
}

// beforeFall is how far back chords are detached before a fall, in bars.
const beforeFall = 2

// ringing lists the notes whose sound runs into the finding's onsets.
func (c *Case) ringing() []int {
	s := c.Score()
	var ids []int
	seen := map[int]bool{}
	take := func(n score.Note) {
		if !seen[n.ID] {
			seen[n.ID] = true
			ids = append(ids, n.ID)
		}
	}
	onsets := c.Onsets()
	if len(onsets) == 0 {
		return nil
	}
	if c.Finding.Kind == finding.KindRunTogether {
		part := c.Notes()[0].Part
		overlapping(s, onsets[0]-s.TicksPerCrotchet, onsets[len(onsets)-1], func(n score.Note) {
			if n.Part == part && n.On < onsets[len(onsets)-1] && !c.heldUnder(n) {
				take(n)
			}
		})
		return ids
	}
	for _, at := range onsets {
		from := at - s.TicksPerCrotchet
		if c.Finding.Kind == finding.KindCoveredEntry {
			bar := s.Bars[s.BarAt(max(0, at-1))]
			from = bar.Start - (beforeFall-1)*bar.Length
		}
		overlapping(s, from, at, func(n score.Note) {
			if n.Off <= at+grid(s) { // what is held on through belongs to both
				take(n)
			}
		})
	}
	return ids
}

// heldUnder reports whether a note is held while its part goes on above or below it: a bass that is to stay, and no stroke of the figure.
func (c *Case) heldUnder(n score.Note) bool {
	g := grid(c.Score())
	held := false
	overlapping(c.Score(), n.On+g+1, n.Off-g, func(m score.Note) { held = held || m.Part == n.Part && m.On > n.On+g })
	return held
}
