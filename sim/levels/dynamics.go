package levels

import (
	"math"
	"slices"

	"afterchord/voicing"
)

// Whole stands for the whole organ where a division is asked for.
const Whole = -1

// Step is how loud one dynamic mark is, played as [voicing.FullChord].
type Step struct {
	Division int // or Whole
	Mark     string
	Level    Level
	First    bool    // the first mark of the division
	StepPhon float64 // over the mark before; 0 for the first

	draws voicing.Registration
}

// heardStep is the least that a mark must be louder than the one before to count as one, phon.
const heardStep = 0.5

// Dynamics is the level of each mark that the organ's dynamic plan gives: for each division with pipes the chord on its own keys, with
// what it couples drawn at the same mark; then for the whole organ all divisions drawn at the mark, the hands on the main
// manual and a foot on the pedal. The swell boxes stand open. A mark that draws the same as the one before is left out,
// and of the whole organ's one that the main manual's plan does not give and that makes it no louder.
func (l *Listener) Dynamics() []Step {
	var out []Step
	planned := map[string]bool{}
	for d := range l.organ.Divisions {
		if len(l.organ.Divisions[d].Stops) == 0 {
			continue // a pull-down pedal sounds what it pulls
		}
		for i, mark := range l.organ.PlanMarks(d) {
			planned[mark] = true
			var by [voicing.MaxDivisions]string
			by[d] = mark
			out = l.add(out, i == 0, d, mark, by, []Part{{d, l.organ.FullChordKeys(d)}})
		}
	}
	first := true
	main := l.organ.PlanMarks(MainManual(l.organ))
	for _, mark := range voicing.Marks() {
		if !planned[mark] {
			continue
		}
		by, parts := whole(l.organ, mark)
		out = l.add(out, first, Whole, mark, by, parts)
		if last := len(out) - 1; !first && out[last].Mark == mark && out[last].StepPhon < heardStep && !slices.Contains(main, mark) {
			out = out[:last]
		}
		first = false
	}
	return out
}

func (l *Listener) add(steps []Step, first bool, division int, mark string, by [voicing.MaxDivisions]string, parts []Part) []Step {
	s := Step{Division: division, Mark: mark, First: first, draws: l.organ.Draw(by)}
	if !first && s.draws == steps[len(steps)-1].draws {
		return steps
	}
	s.Level = l.Of(s.draws, parts, false)
	if !first {
		s.StepPhon = s.Level.Phon() - steps[len(steps)-1].Level.Phon()
	}
	return append(steps, s)
}

// Whole is the level of the whole organ at a mark: every division drawn at it, eight keys on the main manual (the Great
// where there is one) and one of the pedal (see [voicing.FullChord]).
func (l *Listener) Whole(mark string) Level {
	by, parts := whole(l.organ, mark)
	return l.Of(l.organ.Draw(by), parts, false)
}

// whole is every division drawn at a mark, and the keys of [Listener.Whole].
func whole(o *voicing.Organ, mark string) (by [voicing.MaxDivisions]string, parts []Part) {
	main := MainManual(o)
	for d := range o.Divisions {
		by[d] = mark
		if d == main || o.Divisions[d].Pedal {
			parts = append(parts, Part{d, o.FullChordKeys(d)})
		}
	}
	return by, parts
}

// WholePipes are the pipes that [Listener.Whole] sounds, each once.
func WholePipes(o *voicing.Organ, mark string) []voicing.PipeID {
	by, parts := whole(o, mark)
	return pipes(o, o.Draw(by), parts)
}

// MainManual is the Great, or the first manual where the organ has none.
func MainManual(o *voicing.Organ) int {
	if d, ok := o.DivisionByName("Great"); ok && !o.Divisions[d].Pedal {
		return d
	}
	for d := range o.Divisions {
		if !o.Divisions[d].Pedal {
			return d
		}
	}
	return 0
}

// StopLevel is how loud a stop is alone.
type StopLevel struct {
	Division, Stop int
	Level          Level // mean of single keys, of their energies and of their loudnesses; box open
}

// octave of keys over which the level of a stop alone is averaged: G3 to G4 in the hands, C2 to C3 in the feet.
const (
	handsFrom, handsTo = 55, 67
	feetFrom, feetTo   = 36, 48
)

// Softest is the stop that is softest to the ear alone, one key at a time over the middle octave of the manuals or the lowest of the
// pedal; ok is false for an organ without pipes.
func (l *Listener) Softest() (softest StopLevel, ok bool) {
	for d := range l.organ.Divisions {
		for s := range l.organ.Divisions[d].Stops {
			level, sounds := l.stop(d, s)
			if sounds && (!ok || level.Sone < softest.Level.Sone) {
				softest, ok = StopLevel{d, s, level}, true
			}
		}
	}
	return softest, ok
}

// stop is how loud a stop is alone; ok is false where it has no pipes at the keys that count.
func (l *Listener) stop(d, s int) (level Level, ok bool) {
	var r voicing.Registration
	r.Stops[d] = 1 << s
	from, to := handsFrom, handsTo
	if l.organ.Divisions[d].Pedal {
		from, to = feetFrom, feetTo
	}
	var sum, weighted, sones, n float64
	for k := from; k <= to; k++ {
		if x := l.Of(r, []Part{{d, []int{k}}}, false); !math.IsInf(x.DB, -1) {
			sum += math.Pow(10, x.DB/10)
			weighted += math.Pow(10, x.DBA/10)
			sones += x.Sone
			n++
		}
	}
	return Level{10 * math.Log10(sum/n), 10 * math.Log10(weighted/n), sones / n}, n > 0
}

// Shut is how far a shut box takes an enclosed division down at its loudest mark, dB and dB(A) (<= 0); ok is false where
// the division has no box or no plan.
func (l *Listener) Shut(division int) (db, dba float64, ok bool) {
	marks := l.organ.PlanMarks(division)
	if !l.organ.Divisions[division].Enclosed || len(marks) == 0 {
		return 0, 0, false
	}
	r := l.organ.Plan(marks[len(marks)-1], division)
	parts := []Part{{division, l.organ.FullChordKeys(division)}}
	open, shut := l.Of(r, parts, false), l.Of(r, parts, true)
	return shut.DB - open.DB, shut.DBA - open.DBA, true
}

// Uneven tells whether the step to s is smaller or larger than players expect ([voicing.SmallestStep], [voicing.LargestStep]).
func (s Step) Uneven() bool {
	return !s.First && (s.StepPhon < voicing.SmallestStep || s.StepPhon > voicing.LargestStep)
}
