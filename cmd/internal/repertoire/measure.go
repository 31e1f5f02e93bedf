// Package repertoire makes the norms that findings are measured against: what the acoustic checks measure in the bars of organ works.
package repertoire

import (
	"context"
	"fmt"
	"slices"

	"afterchord/acoustics/parallel"
	"afterchord/acoustics/room"
	"afterchord/cmd/internal/works"
	"afterchord/sim/field"
	"afterchord/sim/finding"
	"afterchord/sim/performance"
	"afterchord/sim/pipework"
	"afterchord/sim/proof"
	"afterchord/sim/score"
	"afterchord/voicing"
)

// Seconds of each work, from its beginning, are what the norms are made of.
const Seconds = 150.0

// rts are the reverberation times of the table, s.
var rts = []float64{0.5, 1, 1.8, 3, 5, 8}

var (
	dynamics = []score.Dynamic{score.P, score.MF, score.FF}
	tempi    = []float64{0.9, 1, 1.1}
)

// Playing is what one playing of a work in one room measured: the worst value of each bar for each measure, and the blurs of its changes.
type Playing struct {
	composer, work string
	organ          string
	dynamic        score.Dynamic
	rt             int // index into rts
	bars           int
	worst          map[finding.Measure]map[int]float64 // by bar
	blurs          []finding.HarmonyBlur
	barBlurs       []float64 // blurred share of the harmonies of each bar that has changes
	minutes        float64
}

// Measure plays the beginnings of all works, so many seconds of each, in all rooms.
func Measure(all []works.Work, seconds float64, workers int) ([]Playing, error) {
	organs := voicing.BuiltIns()
	type job struct{ work, rt, organ int }
	var jobs []job
	for w := range all {
		for r := range rts {
			for o := range organs {
				jobs = append(jobs, job{w, r, o})
			}
		}
	}
	out := make([]Playing, len(jobs))
	errs := make([]error, len(jobs))
	parallel.Do(workers, len(jobs), func(i int) {
		j := jobs[i]
		dynamic := dynamics[(j.work+j.rt+j.organ)%len(dynamics)]
		tempo := tempi[(j.work+2*j.rt+j.organ)%len(tempi)]
		out[i], errs[i] = play(all[j.work], j.rt, organs[j.organ], dynamic, tempo, seconds, (j.work+j.rt+j.organ)%2 == 1)
	})
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}

func play(work works.Work, rt int, organ string, dynamic score.Dynamic, tempo, seconds float64, twoManuals bool) (Playing, error) {
	t := Playing{composer: work.Composer(), work: work.Name, organ: organ, dynamic: dynamic, rt: rt, worst: map[finding.Measure]map[int]float64{}}
	s := at(excerpt(work.Score, seconds), dynamic).Scaled(tempo)
	r, err := room.FromRT(rts[rt])
	if err != nil {
		return t, err
	}
	seat, err := r.Seat("middle")
	if err != nil {
		return t, err
	}
	o, ok := voicing.BuiltIn(organ)
	if !ok {
		return t, fmt.Errorf("no organ %q", organ)
	}
	p, err := performance.Build(s, o, performance.Options{})
	if err != nil {
		return t, err
	}
	if twoManuals {
		if p, err = soloed(s, o, p, dynamic); err != nil {
			return t, err
		}
	}
	events := pipework.Schedule(o, p)
	ear := proof.Hearing()
	f, err := field.Run(context.Background(), field.NewHall(o, r, seat, ear, p.Box), events, p)
	if err != nil {
		return t, err
	}
	c := &finding.Context{Score: s, Organ: o, Performance: p, Events: events, Field: f, Hearing: ear, Thresholds: finding.Defaults()}
	t.bars, t.minutes = s.BarAt(s.TickAt(p.EndS))+1, p.EndS/60
	sums, counts := map[int]float64{}, map[int]float64{}
	for _, x := range finding.Places(c) {
		bar := s.BarAt(s.TickAt(x.AtS))
		if t.worst[x.Measure] == nil {
			t.worst[x.Measure] = map[int]float64{}
		}
		t.worst[x.Measure][bar] = max(t.worst[x.Measure][bar], x.Value)
	}
	t.blurs = finding.HarmonyBlurs(c)
	for _, b := range t.blurs {
		bar := s.BarAt(s.TickAt(b.AtS))
		sums[bar] += b.Part(1, 1)
		counts[bar]++
	}
	for bar, sum := range sums {
		t.barBlurs = append(t.barBlurs, sum/counts[bar])
	}
	slices.Sort(t.barBlurs)
	return t, nil
}

// soloed plays the score again with its first part of the hands on a manual of its own, two marks above the others: organists
// give the tune of a chorale prelude a stop that carries, and most files do not say so. Where the organ has no second manual it is p.
func soloed(s *score.Score, o *voicing.Organ, p *performance.Performance, d score.Dynamic) (*performance.Performance, error) {
	for _, a := range p.Assignments {
		if o.Divisions[a.Division].Pedal || a.Silent {
			continue
		}
		for i, other := range o.Divisions {
			if other.Pedal || i == a.Division {
				continue
			}
			s = s.Clone()
			s.Words = slices.DeleteFunc(s.Words, func(w score.Word) bool { return w.Part < 0 && w.At == 0 && w.Kind == score.Mark })
			for part := range s.Parts {
				mark := d
				if part == a.Part {
					mark = min(score.FFF, d+2)
				}
				s.Words = append(s.Words, score.Word{Part: part, Kind: score.Mark, Text: mark.String()})
			}
			return performance.Build(s, o, performance.Options{Assign: map[string]string{fmt.Sprintf("Part %d", a.Part+1): other.Name}})
		}
		return p, nil
	}
	return p, nil
}

// excerpt is the beginning of a score.
func excerpt(s *score.Score, seconds float64) *score.Score {
	s = s.Clone()
	end := s.TickAt(seconds)
	s.Notes = slices.DeleteFunc(s.Notes, func(n score.Note) bool { return n.On >= end })
	return s
}

// at is a score at a dynamic: where it has marks or touches of its own, these moved by as much as the dynamic lies from mf.
func at(s *score.Score, d score.Dynamic) *score.Score {
	s = s.Clone()
	shift := d - score.MF
	marked := false
	for i, w := range s.Words {
		if own, ok := score.ParseDynamic(w.Text); ok && w.Kind == score.Mark {
			s.Words[i].Text = min(score.FFF, max(score.PPP, own+shift)).String()
			marked = true
		}
	}
	flat := true
	for _, n := range s.Notes {
		flat = flat && n.Velocity == s.Notes[0].Velocity
	}
	switch {
	case marked:
	case flat:
		s.Words = append([]score.Word{{Part: -1, Kind: score.Mark, Text: d.String()}}, s.Words...)
	default:
		for i := range s.Notes {
			s.Notes[i].Velocity = min(127, max(1, s.Notes[i].Velocity+16*int(shift)))
		}
	}
	return s
}
