package finding

import (
	"fmt"
	"math"
	"slices"

	"afterchord/sim/field"
	"afterchord/sim/performance"
	"afterchord/voicing"
)

// octavePair is an octave in the lowest or the highest keys of a chord.
type octavePair struct {
	low, high int32
	bass      bool // low is the lowest key, else high is the highest
	between   int  // keys of the chord between the two
	hands     bool // one key for each hand: an octave of two voices
}

// vainOctaves finds parallel octaves at the bottom or the top of chords of three keys and more
// that add no loudness. Octaves inside a full chord that come and go with the
// voices are left alone: that is how a full organ texture is written.
func (c *Context) vainOctaves(ms []moment, down heldKeys) []Finding {
	var out []Finding
	memo := map[string]vain{}
	hand := c.handOf()
	for _, bass := range [2]bool{true, false} {
		var run []vain
		var last *octavePair
		moves := 1
		flush := func() {
			if moves >= c.Thresholds.VainChords {
				out = append(out, c.octaveFinding(run))
			}
			run, last, moves = nil, nil, 1
		}
		for _, m := range ms {
			p, ok := c.outerOctave(m, bass)
			if !ok {
				if c.chordSize(m, c.note(m.notes[0]).Division) > 1 { // a single note between the chords ends nothing
					flush()
				}
				continue
			}
			p.hands = hand[p.low] != hand[p.high]
			if last != nil && !c.goesOn(*last, p) {
				flush()
			}
			v, ok := c.vainOctave(m, p, down, memo)
			if !ok {
				flush()
				continue
			}
			if last != nil && c.note(last.low).Key != c.note(p.low).Key {
				moves++
			}
			last = &p
			run = append(run, v)
		}
		flush()
	}
	return out
}

// outerOctave is the octave at the bottom or the top of the keys of one division that begin together in
// a chord of three keys and more.
func (c *Context) outerOctave(m moment, bass bool) (octavePair, bool) {
	edge := m.notes[len(m.notes)-1]
	if bass {
		edge = m.notes[0]
	}
	e := c.note(edge)
	if c.chordSize(m, e.Division) < 3 {
		return octavePair{}, false
	}
	// A full texture of six keys and more doubles its notes as it must; there only bare
	// octaves, with no key between, are octaves for weight.
	full := c.chordSize(m, e.Division) > 5
	several := false // the hands have staves of their own
	for _, i := range m.notes {
		several = several || c.note(i).Part != e.Part
	}
	for _, i := range m.notes {
		n := c.note(i)
		if d := n.Key - e.Key; full && n.Division == e.Division && d > -12 && d < 12 && d != 0 && (d > 0) == bass {
			return octavePair{}, false
		}
	}
	for k, i := range m.notes {
		n := c.note(i)
		if several && n.Part != e.Part {
			continue // two hands: free voices, or a full texture
		}
		if n.Division == e.Division && bass && n.Key-e.Key == 12 {
			return octavePair{low: edge, high: i, bass: true, between: k - 1}, true
		}
		if n.Division == e.Division && !bass && e.Key-n.Key == 12 {
			return octavePair{low: i, high: edge, between: len(m.notes) - 2 - k}, true
		}
	}
	return octavePair{}, false
}

func (c *Context) chordSize(m moment, division int) int {
	n := 0
	for _, i := range m.notes {
		if c.note(i).Division == division {
			n++
		}
	}
	return n
}

// goesOn reports whether octave b continues a: on the same division, moving by no more than an octave, and between the
// hands in the same two voices of the chord.
func (c *Context) goesOn(a, b octavePair) bool {
	if (a.hands || b.hands) && a.between != b.between {
		return false
	}
	d := c.note(b.low).Key - c.note(a.low).Key
	return c.note(a.low).Division == c.note(b.low).Division && d <= 12 && d >= -12 &&
		c.note(b.low).OnS-max(c.note(a.low).OffS, c.note(a.high).OffS) < 2
}

// vainOctave is the doubled key of a chord that adds least, if that is less than noticeable.
func (c *Context) vainOctave(m moment, p octavePair, down heldKeys, memo map[string]vain) (vain, bool) {
	r := c.Performance.RegistrationAt(m.atS)
	sounding := down.at(m.atS+togetherS+0.01, func(n *performance.Note) bool { return c.hasKey(n) })
	key := fmt.Sprint(p.bass, r, c.soundKeys(sounding))
	at := func(v vain) (vain, bool) {
		return v, v.note >= 0 && v.step < c.Thresholds.VainLoudness && v.heard < c.Thresholds.CoveredShare && v.heard < c.Thresholds.VainShare*v.other
	}
	if v, ok := memo[key]; ok {
		if v.note < 0 {
			return v, false
		}
		// same chord again: the same keys, other notes
		was, by := c.note(v.note), c.note(v.by)
		v.note, v.by = c.sameKey(m, was), c.sameKey(m, by)
		if v.note < 0 || v.by < 0 {
			return v, false
		}
		return at(v)
	}
	x := field.Recall(c.Field.Hall, "octave in vain", func(f *field.Figures) {
		f.Float(c.Thresholds.VainLoudness, c.Thresholds.CoveredShare)
		f.Registration(r)
		f.Int(slices.Index(sounding, p.low), slices.Index(sounding, p.high), c.note(p.low).Key, c.note(p.high).Key, c.note(p.low).Division)
		f.Int(c.soundKeys(sounding)...)
		f.BoxesAt(m.atS)
	}, func() octaveLeftOut { return c.leastMissed(m, p, r, sounding) })
	best := vain{note: -1, step: x.step, heard: x.heard, other: x.other, keys: len(sounding)}
	switch {
	case x.low:
		best.note, best.by = p.low, p.high
	case x.high:
		best.note, best.by = p.high, p.low
	}
	memo[key] = best
	return at(best)
}

// octaveLeftOut is which key of an octave is missed least among all that sound, neither where none can be spared, and how little: see vain.
type octaveLeftOut struct {
	low, high          bool
	step, heard, other float64
}

// leastMissed leaves out one key of an octave and the other.
func (c *Context) leastMissed(m moment, p octavePair, r voicing.Registration, sounding []int32) octaveLeftOut {
	w := c.earWork()
	defer c.works.Put(w)
	bands := func(notes ...int32) []float64 { return c.steadyBands(c.pipesOf(r, notes), m.atS) }
	all := c.Field.Model.Loudness(bands(sounding...), w)
	others := func(i int) []int32 { return slices.Delete(slices.Clone(sounding), i, i+1) }
	// heard is note i as a sound of its own among the others
	heard := func(i int) float64 {
		part, alone := c.Field.Model.Partial(bands(sounding[i]), bands(others(i)...), w)
		return part / max(alone, 1e-6)
	}
	best := octaveLeftOut{step: 1}
	doubled := -1 // the key in sounding
	for _, n := range [2]int32{p.low, p.high} {
		i := slices.Index(sounding, n)
		if i < 0 || all <= 0 || !c.soundsPitch(r, others(i), float64(c.note(n).Key)) {
			continue
		}
		without := c.Field.Model.Loudness(bands(others(i)...), w)
		if step := (all - without) / max(without, 1e-6); step < best.step {
			best.low, best.high, best.step, doubled = n == p.low, n == p.high, step, i
		}
	}
	if best.step < c.Thresholds.VainLoudness && doubled >= 0 { // else nobody asks further
		best.heard = heard(doubled)
		if best.heard < c.Thresholds.CoveredShare {
			best.other = c.heardOthers(sounding, p, heard)
		}
	}
	return best
}

// heardOthers is how well the keys that double nothing are heard, mean, for comparison.
func (c *Context) heardOthers(sounding []int32, p octavePair, heard func(i int) float64) float64 {
	sum, others := 0.0, 0
	for i, n := range sounding {
		if c.note(n).Division == c.note(p.low).Division && (c.note(n).Key-c.note(p.low).Key)%12 != 0 {
			sum += heard(i)
			others++
		}
	}
	return sum / float64(max(others, 1))
}

// soundsPitch reports whether the keys sound the 8 ft pitch of key through any stop of theirs.
func (c *Context) soundsPitch(r voicing.Registration, notes []int32, key float64) bool {
	for _, p := range c.pipesOf(r, notes) {
		feet := c.Organ.Divisions[p.Division].Stops[p.Stop].Ranks[p.Rank].FeetAt(int(p.Key))
		if feet > 0 && math.Abs(float64(p.Key)+12*math.Log2(8/feet)-key) < 0.25 {
			return true
		}
	}
	return false
}

func (c *Context) sameKey(m moment, like *performance.Note) int32 {
	for _, i := range m.notes {
		if n := c.note(i); n.Key == like.Key && n.Division == like.Division {
			return i
		}
	}
	return -1
}

func (c *Context) soundKeys(notes []int32) []int {
	var out []int
	for _, n := range notes {
		out = append(out, c.note(n).Division<<8|c.note(n).Key)
	}
	return out
}

func (c *Context) octaveFinding(run []vain) Finding {
	var notes []int32
	most, sum, heard, other := 0.0, 0.0, 0.0, 0.0
	low := 0
	for _, v := range run {
		notes = append(notes, v.note)
		most = max(most, v.step)
		sum += v.step
		other += v.other
		heard += v.heard
		if c.note(v.note).Key < c.note(v.by).Key {
			low++
		}
	}
	f := c.finding(KindDoubledInVain, notes)
	f.Severity = Notice
	f.Count = len(run)
	f.Weight = (f.UntilS - f.AtS) * 0.5
	f.Measured["keys"] = float64(len(run))
	f.Measured["loudness_added"] = round(sum/float64(len(run)), 3)
	n := float64(len(run))
	f.Measured["heard_share"], f.Measured["heard_share_others"] = round(heard/n, 3), round(other/n, 3)
	f.Measured["loudness_added_most"] = round(most, 3)
	where, stops := "lower", "16 ft pipes"
	try := "leave out the lower octaves: the 16 ft stop sounds them"
	if 2*low < len(run) {
		where, stops = "upper", "4 ft pipes"
		try = "leave out the upper octaves: the 4 ft stop sounds them"
	}
	f.Message = fmt.Sprintf("The %s octave in %d chords adds nothing: %s already sound it. It raises the loudness by %.1f %%, below the just noticeable step.",
		where, len(run), stops, 100*sum/n)
	f.Try = []string{try, "use the free finger for a note that the chord lacks"}
	return f
}
