package report

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"afterchord/render/internal/words"
	"afterchord/sim/finding"
)

// picture is one stretched picture: lines, shaded spans, labels at the sides.
type picture struct {
	Spans          []band
	Lines          []line
	Share          string // path of the heard share on a scale of its own below; may be empty
	YTicks, XTicks []tick
	OldTag, NewTag string
	Alt            string
}

type line struct{ Class, D string }

// band is a shaded stretch: where it starts and how wide it is, percent.
type band struct {
	Name, Class string
	Left, Width float64
}

// axes are what pictures that stand side by side have in common: the range of levels, dB, and how long they are, s.
type axes struct{ low, high, lengthS float64 }

// axesOf holds all of some traces.
func axesOf(ts ...*finding.Trace) axes {
	var curves [][]float32
	var a axes
	for _, t := range ts {
		if t != nil && isFinite(t.StepS) {
			curves = append(curves, t.OldDB, t.NewDB)
			a.lengthS = math.Max(a.lengthS, float64(max(len(t.OldDB), len(t.NewDB))-1)*t.StepS)
		}
	}
	a.low, a.high = levels(60, curves...)
	return a
}

// tracePicture is the picture of one finding, nil where there is nothing to draw.
func tracePicture(t finding.Trace) *picture { return tracePictureOn(t, axesOf(&t)) }

// tracePictureOn is the picture of one finding on given axes.
func tracePictureOn(t finding.Trace, a axes) *picture {
	n := max(len(t.OldDB), len(t.NewDB))
	if n < 2 || !(t.StepS > 0) || !isFinite(t.StepS) || !isFinite(t.FromS) {
		return nil
	}
	s := scale{from: t.FromS, until: t.FromS + a.lengthS, low: a.low, high: a.high}
	const columns = 240
	p := &picture{OldTag: t.OldTag, NewTag: t.NewTag}
	if p.OldTag == "" {
		p.OldTag = "the sound before"
	}
	if p.NewTag == "" {
		p.NewTag = "the new sound"
	}
	add := func(class string, v []float32, area bool) {
		if d := s.path(v, t.FromS, t.StepS, columns, area); d != "" {
			p.Lines = append(p.Lines, line{class, d})
		}
	}
	add("old-area", t.OldDB, true)
	add("old", t.OldDB, false)
	add("new", t.NewDB, false)
	share := s
	share.low, share.high = 0, 1
	p.Share = share.path(t.Share, t.FromS, t.StepS, columns, true)
	p.YTicks = s.valueTicks(tickStep(a.high-a.low), 0)
	p.XTicks = secondTicks(s)
	p.Alt = "Level in dB over time: " + p.OldTag + " against " + p.NewTag + "."
	for _, sp := range t.Spans {
		from, until := s.percent(sp.FromS), s.percent(sp.UntilS)
		if until <= from {
			continue
		}
		class := "other"
		if sp.Name == "inaudible" || sp.Name == "blurred" {
			class = sp.Name
		}
		p.Spans = append(p.Spans, band{sp.Name, class, from, math.Round(100*(until-from)) / 100})
		p.Alt += " " + sp.Name + " for " + words.Number(sp.UntilS-sp.FromS, 2) + " s."
	}
	return p
}

func tickStep(span float64) float64 {
	if span > 40 {
		return 20
	}
	return 10
}

// secondTicks marks round seconds, four to eight of them.
func secondTicks(s scale) []tick {
	step := 0.05
	for i := 0; (s.until-s.from)/step > 7 && i < 40; i++ {
		if i%3 == 1 {
			step *= 2.5
		} else {
			step *= 2
		}
	}
	decimals := 0
	if step < 1 {
		decimals = 1
	}
	if step < 0.1 {
		decimals = 2
	}
	var out []tick
	for k := math.Ceil(s.from/step - 1e-9); k*step <= s.until+1e-9 && len(out) < 12; k++ {
		out = append(out, tick{At: s.percent(k * step), Label: strconv.FormatFloat(k*step, 'f', decimals, 64)})
	}
	return out
}

// byTime is a copy of the findings in the order in which they happen.
func byTime(fs []finding.Finding) []finding.Finding {
	out := slices.Clone(fs)
	slices.SortStableFunc(out, func(a, b finding.Finding) int { return cmp.Compare(a.AtS, b.AtS) })
	return out
}
