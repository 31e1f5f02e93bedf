package finding

import (
	"fmt"
	"math"
	"slices"

	"afterchord/sim/performance"
)

// struckBass is a bass from which a hand leaps to the chord over it, further than it can hold both: on a piano the damper pedal keeps
// the bass, here the room alone does.
type struckBass struct {
	bass     []int32 // one key, or octaves of it
	chord    []int32
	from, to float64 // from the chord to the next bass or the end of the chord: key times, s
	there    float64 // share of that time for which the harmony has its bass
	most     float64 // the same to keen ears
}

// bassGoneS is how long after a bass its chord may come, s: a minim at 80.
const bassGoneS = 1.5

// struckBasses lists, for each part of the hands, the basses that a hand lets go for the chord over them, in passages of which each bass
// is at most run_together_s after the chord before.
func (c *Context) struckBasses() [][]struckBass {
	c.bassOnce.Do(func() {
		_, hands := c.limbsOf()
		for part := range c.Score.Parts {
			ms := c.moments(func(n *performance.Note) bool { return n.Part == part && hands(n) })
			until := math.Inf(-1)
			for i := 0; i < len(ms); i++ {
				x, next, ok := c.struckBass(ms, i)
				if !ok {
					continue
				}
				i = next - 1
				if k := len(c.basses) - 1; k >= 0 && x.atS(c)-until <= c.Thresholds.RunTogetherS {
					c.basses[k] = append(c.basses[k], x)
				} else {
					c.basses = append(c.basses, []struckBass{x})
				}
				until = x.to
			}
		}
	})
	return c.basses
}

func (x *struckBass) atS(c *Context) float64 { return c.note(x.bass[0]).OnS }

// struckBass reads one bass and its chord from moment i of a part on; next is the moment after the chord.
func (c *Context) struckBass(ms []moment, i int) (x struckBass, next int, ok bool) {
	low := c.note(ms[i].notes[0])
	top, off := low.Key, 0.0
	for _, n := range ms[i].notes {
		if (c.note(n).Key-low.Key)%12 != 0 {
			return x, 0, false
		}
		top, off = max(top, c.note(n).Key), max(off, c.note(n).OffS)
	}
	x.bass = ms[i].notes
	reach := low.Key + int(c.Thresholds.HandStretchSemitones)
	highest := 0
	var classes [12]bool // of the chord
	for next = i + 1; next < len(ms); next++ {
		m := ms[next]
		if next == i+1 {
			x.from = m.atS
			for _, n := range m.notes {
				classes[c.note(n).Key%12] = true
			}
		}
		if lowest := c.note(m.notes[0]); lowest.Key <= max(top, c.note(ms[i+1].notes[0]).Key-1) || lowest.Division != low.Division || !c.within(m.notes, classes) {
			break
		}
		for _, n := range m.notes {
			highest = max(highest, c.note(n).Key)
			x.to = max(x.to, c.note(n).OffS)
		}
		x.chord = append(x.chord, m.notes...)
	}
	if next < len(ms) {
		x.to = min(x.to, ms[next].atS)
	}
	if next == i+1 || len(ms[i+1].notes) < 2 || highest <= reach || off > x.from+overlapS || x.from-ms[i].atS > bassGoneS || c.another(x) {
		return x, 0, false
	}
	c.bassThere(&x)
	return x, next, true
}

// within reports whether notes are of some pitch classes.
func (c *Context) within(notes []int32, classes [12]bool) bool {
	return !slices.ContainsFunc(notes, func(n int32) bool { return !classes[c.note(n).Key%12] })
}

// another reports whether a key as low as the bass or lower is held by something else through most of the chord: then that is the bass.
func (c *Context) another(x struckBass) bool {
	low, covered := c.note(x.bass[0]), 0.0
	for _, i := range c.soundingKeys(x.from, x.to) {
		n := c.note(i)
		if n.Key <= low.Key+12 && n.Part != low.Part || n.Key <= low.Key && n.OnS < low.OnS {
			covered += min(n.OffS, x.to) - max(n.OnS, x.from)
		}
	}
	return covered >= 0.6*(x.to-x.from)
}

// bassThere measures for how much of its time the chord has its bass: the bass rings within thin_alive_db of its held level, or the
// lowest key that is down is an octave of it.
func (c *Context) bassThere(x *struckBass) {
	low := c.note(x.bass[0])
	r := c.Performance.RegistrationAt(low.OnS)
	steady := sumOf(c.steadyBands(c.pipesOf(r, x.bass), low.OnS))
	alive := math.Pow(10, -c.Thresholds.ThinAliveDB/10)
	keen := alive * math.Pow(10, -c.Thresholds.KeenDB/10)
	sounds, one := c.ringingNotes(), make([]float64, c.Field.Model.N())
	for _, n := range x.bass {
		sounds.press(n)
	}
	held := c.soundingKeys(x.from, x.to)
	count := 0.0
	for t := x.from; t < x.to; t += 0.02 {
		clear(one)
		sounds.at(one, c.Field.SeatTime(low.Division, t))
		sum := sumOf(one)
		root := c.rootAt(held, t, low.Key%12)
		if root || sum >= alive*steady {
			x.there++
		}
		if root || sum >= keen*steady {
			x.most++
		}
		count++
	}
	x.there, x.most = x.there/max(1, count), x.most/max(1, count)
}

// rootAt reports whether the lowest of some keys that is down at t is of a pitch class.
func (c *Context) rootAt(keys []int32, t float64, class int) bool {
	lowest := math.MaxInt
	for _, i := range keys {
		if n := c.note(i); n.OnS <= t && t < n.OffS {
			lowest = min(lowest, n.Key)
		}
	}
	return lowest < math.MaxInt && lowest%12 == class
}

// bassesLost is how many basses a passage loses, each by the share of its chord that is without it: one is soon past.
func bassesLost(run []struckBass) float64 {
	lost := 0.0
	for _, x := range run {
		lost += 1 - x.there
	}
	return lost
}

// fewBasses is how many basses that are let go are no habit: two bars of a waltz or a march.
const fewBasses = 4

// bassesGone finds passages whose harmony loses its bass.
func (c *Context) bassesGone() []Finding {
	var out []Finding
	for _, run := range c.struckBasses() {
		lost := bassesLost(run)
		sev, rare := c.verdict(MeasureBass, lost, len(run) >= fewBasses && lost >= (1-c.Thresholds.ThinComplete)*float64(len(run)), false)
		if sev == "" {
			continue
		}
		var notes []int32
		there, most := 0.0, 0.0
		for _, x := range run {
			notes = append(notes, x.bass...)
			there += x.there / float64(len(run))
			most += x.most / float64(len(run))
		}
		f := c.finding(KindThinFigure, notes)
		f.Severity, f.UntilS, f.passage, f.Try = sev, run[len(run)-1].to, true, bassTry
		f.Weight = lost / float64(len(run)) * (f.UntilS - f.AtS)
		f.Measured["basses"], f.Measured["bass_share"], f.Measured["bass_most_share"], f.Measured["more_than_share"] = float64(len(run)), round(there, 2), round(most, 2), round(1-rare, 4)
		f.Message = fmt.Sprintf("%d basses are let go as the hand leaps to their chords, and no damper pedal holds them: on average each is there for %s of its chord, which then stands on another note; %s.",
			len(run), percents(there, most), usual(rare, likeRoom))
		out = append(out, f)
	}
	return out
}

var bassTry = []string{"give the bass to the pedal, held to the end of its harmony", "bring the bass within reach of the chord, and hold both", "let the chord stand on the note of its bass: the same chord in root position"}
