package finding

import (
	"math"
	"math/bits"
	"slices"
)

// harmonyChange is an onset at which the harmony changes.
type harmonyChange struct {
	onset    int
	old, now []int32 // notes that still ring, notes that are down
	broken   []int32 // the notes of the new harmony as they come, where it is a broken chord; else nil
	lengthS  float64 // of the new harmony, where it is a broken chord
}

// ringBackS is how far back notes still ring into a change of harmony: 20 dB of the room's decay, at most 1.5 s.
func (c *Context) ringBackS() float64 { return min(1.5, c.Field.Hall.Room.RT(500)/3) }

// harmonyS is how far back a note still belongs to the harmony of the moment, s: a broken
// chord comes round within it at usual tempi, two chords in turn do not.
const harmonyS = 0.9

// harmonyKeys is how many keys must be down for an onset to be a harmony: a lone voice
// or two have passing notes, no chords.
const harmonyKeys = 3

// freshClasses is how many pitch classes an onset must bring for the harmony to change: one alone is a step of a line, in the
// bass, too, and the ear follows lines.
const freshClasses = 2

// harmonyChanges are the onsets at which the harmony changes: they bring freshClasses pitch classes
// that were not held in the last harmonyS seconds. A note that is let go as the change comes belongs to the old harmony.
func (c *Context) harmonyChanges() []harmonyChange {
	var out []harmonyChange
	var last [12]float64 // when each pitch class was last held
	for i := range last {
		last[i] = math.Inf(-1)
	}
	var down, gone []int32 // notes held, notes let go of late
	back := c.ringBackS()
	for i := range c.Field.Onsets {
		o := &c.Field.Onsets[i]
		kept := down[:0]
		for _, n := range down {
			if c.Performance.Notes[n].OffS > o.KeyS+overlapS {
				kept = append(kept, n)
			} else {
				gone = append(gone, n)
			}
		}
		down = append(kept, o.Notes...)
		ring := gone[:0]
		for _, n := range gone {
			if c.Performance.Notes[n].OffS > o.KeyS-back {
				ring = append(ring, n)
			}
		}
		gone = ring
		var fresh uint16
		for _, n := range o.Notes {
			key := c.Performance.Notes[n].Key
			if last[key%12] < o.KeyS-harmonyS {
				fresh |= 1 << (key % 12)
			}
		}
		for _, n := range o.Notes {
			x := c.Performance.Notes[n]
			last[x.Key%12] = max(last[x.Key%12], x.OffS)
		}
		if i > 0 && len(down) >= harmonyKeys && bits.OnesCount16(fresh) >= freshClasses {
			out = append(out, harmonyChange{onset: i, old: slices.Clone(gone), now: slices.Clone(down)})
		}
	}
	return out
}

// brokenChanges are the changes from one broken chord to the next of the same part with freshClasses new pitch classes: no key need be
// down with another, and the room holds the old chord all the same.
func (c *Context) brokenChanges() []harmonyChange {
	var out []harmonyChange
	chords := c.brokenChords()
	back := c.ringBackS()
	for i := 1; i < len(chords); i++ {
		a, b := &chords[i-1], &chords[i]
		from := c.note(b.figure[0]).OnS
		if c.note(a.figure[0]).Part != c.note(b.figure[0]).Part || from-a.finding.UntilS > overlapS || from < a.finding.AtS {
			continue
		}
		var had [12]bool
		for _, n := range a.figure {
			had[c.note(n).Key%12] = true
		}
		fresh := 0
		for _, n := range b.chord {
			if !had[c.note(n).Key%12] {
				fresh++
			}
		}
		onset := c.onsetOf(from)
		if fresh < freshClasses || onset < 0 {
			continue
		}
		ch := harmonyChange{onset: onset, broken: b.figure, now: b.chord, lengthS: b.finding.UntilS - from}
		for _, n := range a.figure {
			if x := c.note(n); x.OffS <= from+overlapS && x.OffS > from-back {
				ch.old = append(ch.old, n)
			}
		}
		out = append(out, ch)
	}
	return out
}
