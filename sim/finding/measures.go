package finding

import (
	"cmp"
	"slices"
	"sort"

	"afterchord/acoustics/parallel"
)

// Places are what the acoustic checks measure all over the piece, whether it is worth a word or not: what the norms of
// the repertoire are made of.
func Places(c *Context) []Place {
	var out []Place
	for _, b := range HarmonyBlurs(c) {
		out = append(out, Place{MeasureBlur, b.AtS, b.clash()})
	}
	e := newEntry(c)
	for _, i := range c.fallsInLevel() {
		if o := &c.Field.Onsets[i]; len(o.Total) > 0 {
			out = append(out, Place{MeasureEntry, o.KeyS, e.follow(c.Hearing, o, 1, nil).blurred})
		}
	}
	for _, x := range c.brokenChords() {
		out = append(out, Place{MeasureThin, x.finding.AtS, x.missing()})
	}
	for _, run := range c.struckBasses() {
		for _, x := range run {
			out = append(out, Place{MeasureBass, x.atS(c), bassesLost(run)})
		}
	}
	solo := newSoloist(c)
	for _, line := range c.solos() {
		for _, x := range line.strokes {
			if m, ok := solo.note(x.notes[0]); ok {
				out = append(out, Place{MeasureSolo, x.on, 1 - m.share})
			}
		}
	}
	r, l := newRunner(c), newLatency(c)
	for _, s := range c.lines() {
		for _, run := range r.runs(s) {
			lost := strokesLost(run)
			for _, p := range run {
				out = append(out, Place{p.measure, s[p.i].on, lost[p.measure]})
			}
		}
		for i := range s {
			for _, n := range s[i].notes {
				x := c.Performance.Notes[n]
				if held, speak := x.OffS-x.OnS, l.speak(n, c.Thresholds.LateShare); held >= c.Thresholds.LateLeastS && held < speak {
					out = append(out, Place{MeasureUnspoken, x.OnS, 1 - held/speak})
				}
			}
			if i == 0 {
				continue
			}
			if b, ok := l.bend(s, i); ok {
				out = append(out, Place{MeasureUneven, s[i].on, b.times()})
			}
		}
	}
	return out
}

// HarmonyBlur is a change of harmony with what the room makes of it.
type HarmonyBlur struct {
	AtS     float64 // key time
	BlurS   float64 // until it is clear; 0 at once
	LengthS float64 // until the next change
	Tones   float64 // of the old harmony that clash with the new one

	change harmonyChange
}

// lastHarmonyS is the length of a piece's last harmony, s, of which there is no next change.
const lastHarmonyS = 2

// HarmonyBlurs are the changes of harmony of the piece, in order.
func HarmonyBlurs(c *Context) []HarmonyBlur {
	c.blurOnce.Do(func() {
		changes := c.harmonyChanges()
		at := func(i int) float64 { return c.Field.Onsets[changes[i].onset].KeyS }
		for i, ch := range changes {
			x := HarmonyBlur{AtS: at(i), LengthS: lastHarmonyS, change: ch}
			if i+1 < len(changes) {
				x.LengthS = at(i+1) - x.AtS
			}
			c.blurs = append(c.blurs, x)
		}
		for _, ch := range c.brokenChanges() {
			t := c.Field.Onsets[ch.onset].KeyS
			if i := sort.Search(len(changes), func(i int) bool { return at(i) >= t-harmonyS/2 }); i < len(changes) && at(i) < t+harmonyS/2 {
				continue // the same change, of chords that are held
			}
			c.blurs = append(c.blurs, HarmonyBlur{AtS: t, LengthS: ch.lengthS, change: ch})
		}
		const together = 32 // share what a blur is measured with
		chunks := slices.Collect(slices.Chunk(c.blurs, together))
		parallel.Do(0, len(chunks), func(i int) {
			b := newBlur(c)
			for j := range chunks[i] {
				x := &chunks[i][j]
				x.BlurS, x.Tones = b.mean(x.change)
			}
		})
		slices.SortStableFunc(c.blurs, func(a, b HarmonyBlur) int { return cmp.Compare(a.AtS, b.AtS) })
	})
	return c.blurs
}

// clash is the blur weighed by the tones that clash: a dense chord on a dense chord is worse than a voice on a voice.
func (b HarmonyBlur) clash() float64 { return b.BlurS * b.Tones }

// Part is the share of the harmony's length that is blurred, at most 1, in a room that rings room times as long
// and at tempo times the tempo: what the old harmony and the new one give depends on the time over the reverberation time alone.
func (b HarmonyBlur) Part(room, tempo float64) float64 {
	return min(1, b.BlurS*room*tempo/b.LengthS)
}

// BlurredShare is the share of changes of harmony that are blurred for part of their length and more, in a room that rings room times
// as long and at tempo times the tempo.
func BlurredShare(blurs []HarmonyBlur, part, room, tempo float64) float64 {
	if len(blurs) == 0 {
		return 0
	}
	n := 0
	for _, b := range blurs {
		if b.Part(room, tempo) >= part {
			n++
		}
	}
	return float64(n) / float64(len(blurs))
}
