package finding

import (
	"fmt"
	"math"
	"sort"

	"afterchord/sim/performance"
	"afterchord/voicing"
)

// octaveStroke is an octave struck by one hand, with or without notes between.
type octaveStroke struct {
	low, high int32
	offS      float64
}

// HandOctaves finds a hand that plays a line in octaves, quick or short. On the organ a stop of 16 or 4 ft sounds the
// octave by itself, from one key. For each run the sound with the octaves is measured against the line alone with the
// stop that does it: the level and the spectrum at the seat, and how many pipes are other ones.
func HandOctaves(c *Context) []Finding {
	var out []Finding
	for _, line := range c.handLines() {
		var run []octaveStroke
		flush := func() {
			if f, ok := c.octaveRun(run); ok {
				out = append(out, f)
			}
			run = nil
		}
		for _, m := range line {
			o, ok := c.octaveOf(m)
			if !ok {
				flush()
				continue
			}
			if k := len(run) - 1; k >= 0 {
				a, b := c.note(run[k].low), c.note(o.low)
				if a.Division != b.Division || b.OnS-run[k].offS > 1 || abs(b.Key-a.Key) > 14 {
					flush()
				}
			}
			run = append(run, o)
		}
		flush()
	}
	return out
}

// handLines is what each hand plays: the staff of a hand where hands have staves of their own, else what the reach of two
// hands makes of it.
func (c *Context) handLines() [][]moment {
	_, hands := c.limbsOf()
	byPart := map[int]bool{}
	for i := range c.Performance.Notes {
		if n := &c.Performance.Notes[i]; hands(n) {
			byPart[n.Part] = true
		}
	}
	var out [][]moment
	if len(byPart) >= 2 {
		for p := range c.Score.Parts {
			if ms := c.moments(func(n *performance.Note) bool { return n.Part == p && hands(n) }); len(ms) > 0 {
				out = append(out, ms)
			}
		}
		return out
	}
	of := c.handOf()
	for hand := range int8(2) {
		var mine [][]int32
		for i := range c.Performance.Notes {
			if of[i] == hand {
				mine = append(mine, []int32{int32(i)})
			}
		}
		index := map[*performance.Note]bool{}
		for _, x := range mine {
			index[c.note(x[0])] = true
		}
		out = append(out, c.moments(func(n *performance.Note) bool { return index[n] }))
	}
	return out
}

// octaveOf is the octave that encloses what a hand strikes.
func (c *Context) octaveOf(m moment) (octaveStroke, bool) {
	if len(m.notes) < 2 {
		return octaveStroke{}, false
	}
	lo, hi := m.notes[0], m.notes[len(m.notes)-1]
	a, b := c.note(lo), c.note(hi)
	if b.Key-a.Key != 12 || a.Division != b.Division || len(m.notes) > 4 {
		return octaveStroke{}, false
	}
	return octaveStroke{lo, hi, max(a.OffS, b.OffS)}, true
}

func (c *Context) octaveRun(run []octaveStroke) (Finding, bool) {
	t := &c.Thresholds
	if len(run) < t.OctaveNotes {
		return Finding{}, false
	}
	moves := 0
	var apart, length []float64
	var notes []int32
	for i, o := range run {
		length = append(length, c.note(o.high).OffS-c.note(o.high).OnS)
		notes = append(notes, o.low, o.high)
		if i > 0 {
			apart = append(apart, c.note(o.low).OnS-c.note(run[i-1].low).OnS)
			if c.note(o.low).Key != c.note(run[i-1].low).Key {
				moves++
			}
		}
	}
	quick, short := median(apart), median(length)
	if 2*moves < len(run)-1 || quick > t.OctaveQuickS && short > t.OctaveShortS {
		return Finding{}, false
	}
	f := c.finding(KindHandOctaves, notes)
	f.Severity = Notice
	f.Count = len(run)
	f.Weight = 0.3 * (f.UntilS - f.AtS)
	f.Measured["octaves"], f.Measured["between_onsets_s"] = float64(len(run)), round(quick, 3)
	alternative, ok := c.octaveStop(run[len(run)/2])
	how := "quick"
	if quick > t.OctaveQuickS {
		how = "short"
	}
	f.Message = fmt.Sprintf("One hand plays %d %s octaves (%.2f s apart): clean octaves at that speed cost more here than at the piano, as organ keys are a little wider and a key that is not quite down is not heard at all.", len(run), how, quick)
	f.Try = []string{}
	if ok {
		f.Measured["level_change_db"], f.Measured["spectrum_change_db"] = round(alternative.levelDB, 1), round(alternative.spectrumDB, 1)
		if alternative.levelDB >= -t.OctaveSameDB && alternative.levelDB <= t.OctaveSameDB && alternative.spectrumDB <= t.OctaveSpectrumDB {
			f.Severity = Warning
		}
		f.Message += fmt.Sprintf(" The %s voice alone with the %s sounds within %.1f dB of it at the seat, band by band within %.1f dB.",
			alternative.keep, alternative.name, math.Abs(alternative.levelDB), alternative.spectrumDB)
		f.Try = append(f.Try, fmt.Sprintf("write the %s voice alone and draw the %s", alternative.keep, alternative.name))
	}
	f.Try = append(f.Try, "keep the octaves for a few slow, weighty notes")
	return f, true
}

// octaveStop is the line alone with the stop that sounds the other octave.
type octaveStop struct {
	keep, name          string // the voice that stays, and the stop, "Octave 4 (already drawn)"
	levelDB, spectrumDB float64
	drop                int32
	draw                voicing.Registration
}

// octaveStop finds, for one octave, the stop of the division (or of one coupled to it) with which one voice sounds most
// like both.
func (c *Context) octaveStop(o octaveStroke) (octaveStop, bool) {
	if c.Field == nil {
		return octaveStop{}, false
	}
	at := c.note(o.low).OnS
	d := c.note(o.low).Division
	r := c.Performance.RegistrationAt(at)
	both := c.steadyBands(c.pipesOf(r, []int32{o.low, o.high}), at)
	var best octaveStop
	least, found := math.Inf(1), false
	for _, x := range []struct {
		keep string
		note int32
		drop int32
		feet float64
	}{{"lower", o.low, o.high, 4}, {"upper", o.high, o.low, 16}} {
		for s := range c.Organ.Divisions[d].Stops {
			stop := &c.Organ.Divisions[d].Stops[s]
			if stop.Mixture() || math.Abs(stop.Feet-x.feet) > 1e-6 || stop.DetuneCents != 0 {
				continue
			}
			with := r
			name := stop.Name
			if r.Stops[d]>>s&1 != 0 {
				name += " (already drawn)"
			}
			with.Stops[d] |= 1 << s
			alone := c.steadyBands(c.pipesOf(with, []int32{x.note}), at)
			level, spectrum := compareBands(both, alone)
			rank := spectrum // a stop that is drawn already before another, a flue before a reed
			if with != r {
				rank += 0.7
			}
			if stop.Family == voicing.Reed {
				rank += 1.5
			}
			if rank < least {
				least = rank
				best, found = octaveStop{x.keep, name, level, spectrum, x.drop, with}, true
			}
		}
	}
	return best, found
}

// compareBands is how much louder b is than a, dB, and how far apart they lie band by band, dB: the mean of the bands
// that hold the sound, each within 20 dB of the strongest.
func compareBands(a, b []float64) (levelDB, spectrumDB float64) {
	sa, sb, top := 0.0, 0.0, 0.0
	for i := range a {
		sa, sb, top = sa+a[i], sb+b[i], max(top, a[i], b[i])
	}
	if sa <= 0 || sb <= 0 {
		return math.Inf(-1), math.Inf(1)
	}
	sum, n := 0.0, 0
	floor := top / 100
	for i := range a {
		if a[i] >= floor || b[i] >= floor {
			sum += math.Abs(10 * math.Log10(max(a[i], floor)/max(b[i], floor)))
			n++
		}
	}
	return 10 * math.Log10(sb/sa), sum / float64(n)
}

func median(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	y := append([]float64(nil), x...)
	sort.Float64s(y)
	return y[len(y)/2]
}

func abs(x int) int { return max(x, -x) }
