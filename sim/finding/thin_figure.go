package finding

import (
	"fmt"
	"maps"
	"math"
	"math/bits"
	"slices"
	"sort"

	"afterchord/acoustics/parallel"
	"afterchord/sim/field"
	"afterchord/sim/performance"
)

// ThinFigure finds broken chords with nothing sustained. An organ has no pedal that
// gathers the notes; what holds them together is the room alone. For each figure it
// takes, over its time, how many of the chord's keys are still there (within thin_alive_db of
// their held level at the seat, tail included) and how loud it is, against the same keys
// held as a chord. In a room that rings long enough nothing is found.
func ThinFigure(c *Context) []Finding {
	if c.Field == nil {
		return nil
	}
	var out []Finding
	seen := map[int32]bool{}
	for _, x := range c.brokenChords() {
		for _, i := range x.figure {
			seen[i] = true
		}
		if f, ok := c.thin(x); ok {
			out = append(out, f)
		}
	}
	for _, fig := range c.figuresBetween() {
		if seen[fig[0]] || seen[fig[len(fig)/2]] || seen[fig[len(fig)-1]] {
			continue
		}
		for _, i := range fig {
			seen[i] = true
		}
		if f, ok := c.thin(c.broken(fig)); ok {
			out = append(out, f)
		}
	}
	return append(out, c.bassesGone()...)
}

// figuresBetween are the figures that are no part's own: in a strand of a part that has several, or shared by both hands. What
// both hands share is a figure where it is the texture of at least three harmonies; less is a flourish.
func (c *Context) figuresBetween() [][]int32 {
	var out [][]int32
	for _, line := range c.strands() {
		out = append(out, c.figures(line)...)
	}
	_, hands := c.limbsOf()
	shared, n := c.figures(c.moments(hands)), 0
	for _, fig := range shared {
		n += len(fig)
	}
	if first := len(shared); first >= 3 {
		from, to := c.note(shared[0][0]).OnS, c.note(shared[first-1][0]).OffS
		all := 0
		for i := range c.Performance.Notes {
			if x := &c.Performance.Notes[i]; hands(x) && x.OnS >= from && x.OnS <= to {
				all++
			}
		}
		if 10*n >= 8*all {
			out = append(out, shared...)
		}
	}
	return out
}

// figures finds stretches of a line that break one chord after another: one key at a time, in
// leaps, each chord of three keys and more coming round again, at least two chords of
// them. Each entry is the notes of one harmony.
func (c *Context) figures(ms []moment) [][]int32 {
	var line []int32
	var out [][]int32
	flush := func() {
		if !c.detached(line) {
			// one harmony alone is a flourish, unless it stays
			if h := c.harmonies(line); len(h) > 1 || len(h) == 1 && len(h[0]) >= c.Thresholds.ThinFlourish {
				out = append(out, h...)
			}
		}
		line = nil
	}
	for _, m := range ms {
		n := c.note(m.notes[0])
		if len(m.notes) > 1 || n.OffS-n.OnS > 0.6 {
			flush()
			continue
		}
		if k := len(line) - 1; k >= 0 {
			p := c.note(line[k])
			overlap := p.OffS - n.OnS
			if n.OnS-p.OffS > 0.25 || overlap > 0.3*(p.OffS-p.OnS) || p.Division != n.Division {
				flush()
			}
		}
		line = append(line, m.notes[0])
	}
	flush()
	return out
}

// detachedShare is the share of its time that a note of a detached figure is held at the most: staccato is half (common practice).
const detachedShare = 0.55

// detached reports whether the most of a line is written short: a figure that is to be pointed, not to be a chord.
func (c *Context) detached(line []int32) bool {
	short := 0
	for i := 1; i < len(line); i++ {
		if a, b := c.note(line[i-1]), c.note(line[i]); a.OffS-a.OnS < detachedShare*(b.OnS-a.OnS) {
			short++
		}
	}
	return 2*short > len(line)
}

// harmonies cuts a line into the longest stretches that use few keys over and over.
func (c *Context) harmonies(line []int32) [][]int32 {
	var out [][]int32
	if short := c.shortHarmonies(line); short != nil {
		return short
	}
	least := c.Thresholds.ThinNotes
	for i := 0; i+least <= len(line); {
		var keys chordKeys
		j := i
		for j < len(line) && keys.take(c.note(line[j]).Key) {
			j++
		}
		if j-i >= least && keys.n >= 3 && 3*keys.repeated() >= 2*keys.n && c.leaps(line[i:j]) {
			out = append(out, line[i:j])
			i = j
			continue
		}
		i++
	}
	return out
}

// shortHarmonies cuts a line that breaks a chord of three keys and more every few notes, throughout: at least three of them, and
// nearly the whole line. It is nil where the line does anything else.
func (c *Context) shortHarmonies(line []int32) [][]int32 {
	const shortest, longest = 4, 16
	n := len(line)
	if n < 3*shortest {
		return nil
	}
	// best[i] is how many notes from i on can be covered, and next[i] where the harmony that begins at i ends (i: none does)
	best, next := make([]int, n+1), make([]int, n+1)
	for i := n - 1; i >= 0; i-- {
		best[i], next[i] = best[i+1], i
		var keys chordKeys
		for j := i; j < min(n, i+longest) && keys.take(c.note(line[j]).Key); j++ {
			if length := j + 1 - i; length >= shortest && keys.n >= 3 && c.leaps(line[i:j+1]) && length+best[j+1] >= best[i] {
				best[i], next[i] = length+best[j+1], j+1
			}
		}
	}
	if 10*best[0] < 9*n {
		return nil
	}
	var out [][]int32
	for i := 0; i < n; {
		if next[i] == i {
			i++
			continue
		}
		out = append(out, line[i:next[i]])
		i = next[i]
	}
	if len(out) < 3 {
		return nil
	}
	return out
}

// A broken chord has so many pitch classes at the most, and so many keys: it may go up and down through octaves.
const mostClasses, mostKeys = 4, 8

// chordKeys are the keys of a broken chord as far as it has come.
type chordKeys struct {
	n       int
	keys    [mostKeys]int
	struck  [mostKeys]int // how often each of them has been
	classes uint16        // their pitch classes, a bit each
}

// take takes one more key in; false where it does not belong to the chord.
func (c *chordKeys) take(key int) bool {
	for i, x := range c.keys[:c.n] {
		if x == key {
			c.struck[i]++
			return true
		}
	}
	classes := c.classes | 1<<(key%12)
	if c.n == mostKeys || bits.OnesCount16(classes) > mostClasses {
		return false
	}
	for _, x := range c.keys[:c.n] { // two keys a second apart belong to a melody, not to a chord
		if abs(x-key) <= 2 {
			return false
		}
	}
	c.keys[c.n], c.struck[c.n], c.classes = key, 1, classes
	c.n++
	return true
}

// repeated counts the keys that were struck more than once.
func (c *chordKeys) repeated() int {
	n := 0
	for _, times := range c.struck[:c.n] {
		if times > 1 {
			n++
		}
	}
	return n
}

// leaps reports whether a line moves by thirds and more nearly all the time.
func (c *Context) leaps(line []int32) bool {
	wide := 0
	for i := 1; i < len(line); i++ {
		if math.Abs(float64(c.note(line[i]).Key-c.note(line[i-1]).Key)) >= 3 {
			wide++
		}
	}
	return 10*wide >= 8*(len(line)-1)
}

// brokenChord is a figure with what sounds of its chord.
type brokenChord struct {
	finding   Finding
	figure    []int32
	chord     []int32 // a note of each key, from the lowest
	sustained bool    // something holds the chord, or nothing sounds
	complete  float64 // share of the chord's keys that are there at a time
	most      float64 // the same to keen ears
	loud      float64 // loudness against the held chord
}

// brokenChords are the figures of the piece.
func (c *Context) brokenChords() []brokenChord {
	c.figureOnce.Do(func() {
		_, hands := c.limbsOf()
		for part := range c.Score.Parts {
			figures := c.figures(c.moments(func(n *performance.Note) bool { return n.Part == part && hands(n) }))
			first := len(c.brokenOnes)
			c.brokenOnes = append(c.brokenOnes, make([]brokenChord, len(figures))...)
			parallel.Do(0, len(figures), func(i int) { c.brokenOnes[first+i] = c.broken(figures[i]) })
		}
	})
	return c.brokenOnes
}

func (c *Context) broken(fig []int32) brokenChord {
	x := brokenChord{finding: c.finding(KindThinFigure, fig), figure: fig}
	f := &x.finding
	classes := map[int]bool{}
	for _, i := range fig {
		classes[c.note(i).Key%12] = true
		x.chord = append(x.chord, i)
	}
	x.chord = c.uniqueKeys(x.chord)
	// something that holds two of its keys, or their octaves, throughout makes up for it
	if x.sustained = c.sustained(fig, f.AtS, f.UntilS, classes) || c.stated(fig, f.AtS, f.UntilS, classes); x.sustained {
		return x
	}
	r := c.Performance.RegistrationAt(f.AtS)
	model := c.Field.Model
	w := c.earWork()
	defer c.works.Put(w)
	whole := model.Loudness(c.steadyBands(c.pipesOf(r, x.chord), f.AtS), w)
	if x.sustained = whole <= 0; x.sustained {
		return x
	}
	steady := make([]float64, len(x.chord))
	for i, n := range x.chord {
		steady[i] = sumOf(c.steadyBands(c.pipesOf(r, []int32{n}), f.AtS))
	}
	y := field.Recall(c.Field.Hall, "broken", func(f *field.Figures) {
		f.Float(whole, x.finding.AtS, x.finding.UntilS, c.Thresholds.ThinAliveDB, c.Thresholds.KeenDB)
		f.Float(steady...)
		for _, notes := range [][]int32{x.chord, fig, c.othersOf(fig, x.finding.AtS, x.finding.UntilS)} {
			f.Int(len(notes))
			for _, i := range notes {
				n := c.note(i)
				f.Float(n.OnS, n.OffS)
				f.Int(n.Key, n.Division)
				f.Chords(c.Field.Chords(nil, int(i)))
			}
		}
		f.Boxes(x.finding.AtS-farBackS, x.finding.UntilS+farBackS)
	}, func() soundingChord {
		return c.soundsBroken(fig, x.chord, x.finding.AtS, x.finding.UntilS, whole, steady)
	})
	if x.sustained = y.frames == 0; x.sustained {
		return x
	}
	x.complete, x.most, x.loud = y.complete/y.frames, y.most/y.frames, y.loud/y.frames
	return x
}

// farBackS is more than the sound of an organ takes to a listener, s.
const farBackS = 2

// soundingChord is what sounds of a broken chord, summed over frames.
type soundingChord struct{ complete, most, loud, frames float64 }

// soundsBroken follows the keys of a chord that figure breaks; the chord held is so loud in all, and each of its keys gives so much.
func (c *Context) soundsBroken(fig, chord []int32, fromS, untilS, whole float64, steady []float64) (x soundingChord) {
	model := c.Field.Model
	w := c.earWork()
	defer c.works.Put(w)
	bands, one := make([]float64, model.N()), make([]float64, model.N())
	alive := math.Pow(10, -c.Thresholds.ThinAliveDB/10)
	keen := alive * math.Pow(10, -c.Thresholds.KeenDB/10)
	others := c.othersOf(fig, fromS, untilS)
	// the first turn of the figure builds the sound up; what counts comes after it
	from := c.note(fig[min(len(chord), len(fig)-1)]).OnS
	sounds := map[int]*ringingNotes{} // by key
	for _, n := range chord {
		sounds[c.note(n).Key] = c.ringingNotes()
	}
	coming := 0 // of fig, which is in order
	for t := from; t < untilS; t += 0.02 {
		at := c.Field.SeatTime(c.note(fig[0]).Division, t)
		clear(bands)
		there, atMost := 0, 0
		for ; coming < len(fig) && c.note(fig[coming]).OnS <= t; coming++ {
			sounds[c.note(fig[coming]).Key].press(fig[coming])
		}
		for i, n := range chord {
			clear(one)
			sounds[c.note(n).Key].at(one, at)
			held := slices.ContainsFunc(others, func(o int32) bool {
				x := c.note(o)
				return x.OnS <= t && t < x.OffS && x.Key%12 == c.note(n).Key%12
			})
			sum := sumOf(one)
			if held || steady[i] > 0 && sum >= keen*steady[i] {
				atMost++
			}
			if held || steady[i] > 0 && sum >= alive*steady[i] {
				there++
			}
			for b, v := range one {
				bands[b] += v
			}
		}
		keys := float64(len(chord))
		x.complete += float64(there) / keys
		x.most += float64(atMost) / keys
		x.loud += model.Loudness(bands, w) / whole
		x.frames++
	}
	return x
}

// othersOf are the notes that sound with a figure: what they hold of its harmony, in whatever octave, is there.
func (c *Context) othersOf(fig []int32, from, to float64) []int32 {
	mine := map[int32]bool{}
	for _, n := range fig {
		mine[n] = true
	}
	return slices.DeleteFunc(c.soundingKeys(from, to), func(n int32) bool { return mine[n] })
}

// soundingKeys are the notes of which a key is down between from and to, s, in order.
func (c *Context) soundingKeys(from, to float64) []int32 {
	notes := c.Performance.Notes
	var out []int32
	for i := sort.Search(len(notes), func(i int) bool { return notes[i].OnS >= from-c.longestS() }); i < len(notes) && notes[i].OnS < to; i++ {
		if notes[i].OffS > from {
			out = append(out, int32(i))
		}
	}
	return out
}

// missing is the share of the chord that is not there.
func (x *brokenChord) missing() float64 {
	if x.sustained {
		return 0
	}
	return 1 - x.complete
}

func (c *Context) thin(x brokenChord) (Finding, bool) {
	f := x.finding
	if x.sustained {
		return f, false
	}
	f.Measured = maps.Clone(f.Measured)
	keys := len(x.chord)
	sev, rare := c.verdict(MeasureThin, x.missing(), true, false)
	f.Measured["complete_share"], f.Measured["complete_most_share"], f.Measured["loudness_share"] = round(x.complete, 2), round(x.most, 2), round(x.loud, 2)
	f.Measured["chord_keys"], f.Measured["notes"], f.Measured["more_than_share"] = float64(keys), float64(len(f.Notes)), round(1-rare, 4)
	f.Severity, f.Try = Notice, thinTry
	if x.complete >= c.Thresholds.ThinComplete || x.loud >= c.Thresholds.ThinLoudness {
		held := 0.0 // of the chord's keys at a time, by the hands alone
		for _, n := range x.figure {
			held += c.note(n).OffS - c.note(n).OnS
		}
		held /= (f.UntilS - f.AtS) * float64(keys)
		if held >= c.Thresholds.ThinHeld {
			return f, false
		}
		f.Measured["held_share"] = round(held, 2)
		f.Weight = 0.05 * (f.UntilS - f.AtS)
		f.Message = fmt.Sprintf("The broken chord has nothing that sustains it but the room: the hands hold %.0f %% of its %d notes at a time, and this room makes it %s. In a drier one it falls apart.",
			100*held, keys, percents(x.complete, x.most))
		return f, true
	}
	if sev == Warning {
		f.Severity = Warning
	}
	f.Weight = (1 - x.complete) * (f.UntilS - f.AtS)
	f.Message = fmt.Sprintf("The broken chord has nothing that sustains it: on average only %s of its %d notes sound at once, at %.0f %% of the loudness of the held chord; %s.",
		fromTo(x.complete*float64(keys), x.most*float64(keys), ""), keys, 100*x.loud, usual(rare, likeRoom))
	return f, true
}

var thinTry = []string{"hold the notes of the chord as they come in, each to the end of the harmony", "hold the chord in the other hand, or its bass in the pedal, under the figure", "write repeated or held chords in place of the figure"}

func sumOf(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s
}

// statedS is how long a chord that is struck and let go carries what moves over it, s: repeated chords at a crotchet of 100.
const statedS = 0.6

// stated reports whether other parts strike two pitch classes of a figure together and again, nearly all the time: then the figure is a tune
// over its accompaniment.
func (c *Context) stated(fig []int32, from, to float64, classes map[int]bool) bool {
	others := c.othersOf(fig, from, to)
	last, count, with := math.Inf(-1), 0, 0
	for t := from; t < to; t += 0.05 {
		var down [12]bool
		n := 0
		for _, i := range others {
			if x := c.note(i); x.OnS <= t && t < x.OffS && classes[x.Key%12] && !down[x.Key%12] {
				down[x.Key%12] = true
				n++
			}
		}
		if n >= 2 {
			last = t
		}
		if count++; t-last <= statedS {
			with++
		}
	}
	return 10*with >= 8*count
}

// sustained reports whether notes that are held, one after another, sound two pitch classes of the figure through most of
// its span.
func (c *Context) sustained(fig []int32, from, to float64, classes map[int]bool) bool {
	length := make([]float64, len(fig))
	for i, x := range fig {
		length[i] = c.note(x).OffS - c.note(x).OnS
	}
	least := 2.5 * median(length)
	var cover [12]float64
	for _, i := range c.soundingKeys(from, to) {
		if n := c.note(i); n.OffS-n.OnS >= least && classes[n.Key%12] {
			cover[n.Key%12] += max(0, min(n.OffS, to)-max(n.OnS, from))
		}
	}
	held := 0
	for _, s := range cover {
		if s >= 0.6*(to-from) {
			held++
		}
	}
	return held >= 2
}
