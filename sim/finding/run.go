package finding

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"afterchord/acoustics/parallel"
)

// Run makes every check, fills in bar and beat, puts the worst first and numbers them.
func Run(c *Context) []Finding { return RunKinds(c, Kinds) }

// RunKinds is Run with the checks of some kinds alone.
func RunKinds(c *Context, kinds []Kind) []Finding {
	found := make([][]Finding, len(kinds))
	parallel.Do(0, len(kinds), func(i int) {
		found[i] = kinds[i].Check(c)
		for j := range found[i] {
			found[i][j].Kind = kinds[i].Name
		}
	})
	all := slices.Concat(found...)
	for i := range all {
		c.locate(&all[i])
	}
	all = group(all)
	for i := range all {
		c.say(&all[i])
		if finish := all[i].finish; finish != nil {
			all[i].finish = nil
			finish(&all[i])
		}
	}
	slices.SortStableFunc(all, func(a, b Finding) int {
		if r := cmp.Compare(a.Severity.Rank(), b.Severity.Rank()); r != 0 {
			return r
		}
		if r := cmp.Compare(b.Weight, a.Weight); r != 0 {
			return r
		}
		return cmp.Compare(a.AtS, b.AtS)
	})
	for i := range all {
		all[i].ID = i + 1
	}
	return all
}

// locate fills in bar, beat and where from the times on the page.
func (c *Context) locate(f *Finding) {
	if f.Count == 0 {
		f.Count = 1
	}
	p := c.Score.Position(c.Score.TickAt(f.AtS))
	f.Bar, f.Beat = p.Bar, math.Round(p.Beat*1000)/1000
	f.ToBar = max(f.Bar, c.Score.Position(c.Score.TickAt(max(f.AtS, f.UntilS-1e-3))).Bar)
	if f.Where == "" {
		f.Where = p.String()
		if (f.Count > 1 || f.passage) && f.ToBar > f.Bar {
			f.Where = fmt.Sprintf("bars %d–%d", f.Bar, f.ToBar)
		}
	}
}

// group puts findings of one kind and division in neighbouring bars into one: the worst
// speaks for all, Count says how many places there are.
func group(all []Finding) []Finding {
	slices.SortStableFunc(all, func(a, b Finding) int {
		if r := strings.Compare(a.Kind, b.Kind); r != 0 {
			return r
		}
		if r := strings.Compare(a.Division, b.Division); r != 0 {
			return r
		}
		return cmp.Compare(a.AtS, b.AtS)
	})
	var out []Finding
	for _, f := range all {
		if n := len(out) - 1; n >= 0 && joins(&out[n], &f) {
			out[n] = merge(out[n], f)
			continue
		}
		out = append(out, f)
	}
	return out
}

// joins reports whether b goes on where a stops: same kind and division, at most one bar between.
func joins(a, b *Finding) bool {
	return a.Kind == b.Kind && a.Division == b.Division && b.Bar-a.ToBar <= 1
}

// merge puts b behind a, which it uses up. What is only worth knowing beside a place that suffers is not counted as one.
func merge(a, b Finding) Finding {
	worst, other := a, b
	if b.Severity.Rank() < a.Severity.Rank() || b.Severity == a.Severity && b.Weight > a.Weight {
		worst, other = b, a
	}
	m := worst
	m.Weight = a.Weight + b.Weight
	if other.Severity == Notice && worst.Severity != Notice {
		return m
	}
	m.Bar, m.Beat, m.AtS = a.Bar, a.Beat, a.AtS
	m.ToBar, m.UntilS = max(a.ToBar, b.ToBar), max(a.UntilS, b.UntilS)
	m.Count = a.Count + b.Count
	if n, ok := m.Measured["places"]; ok {
		m.Measured = maps.Clone(m.Measured)
		m.Measured["places"] = n + other.Measured["places"]
	}
	m.Notes = append(a.Notes, b.Notes...)
	m.Keys = union(a.Keys, b.Keys)
	m.spots = append(a.places(), b.places()...)
	return m
}

// places are the key times of the places grouped in f, s.
func (f *Finding) places() []float64 {
	if len(f.spots) == 0 {
		return []float64{f.AtS}
	}
	return f.spots
}

// say writes where a group lies as a musician would.
func (c *Context) say(f *Finding) {
	if f.Count < 2 {
		return
	}
	how := c.every(f.places())
	if how == "" {
		how = fmt.Sprintf("%d places", f.Count)
	}
	if f.ToBar > f.Bar {
		f.Where = fmt.Sprintf("bars %d–%d, %s", f.Bar, f.ToBar, how)
	} else {
		f.Where = fmt.Sprintf("bar %d, %s from beat %s", f.Bar, how, beat(f.Beat))
	}
}

// everyShare is the share of the steps between places that must be alike to be called regular.
const everyShare = 0.8

// every names the step between places where it is regular: "every crotchet".
func (c *Context) every(spots []float64) string {
	if len(spots) < 4 {
		return ""
	}
	steps := make([]float64, 0, len(spots)-1)
	for i := 1; i < len(spots); i++ {
		steps = append(steps, (spots[i]-spots[i-1])*c.tempoAt(spots[i-1])/60)
	}
	sorted := slices.Sorted(slices.Values(steps))
	usual, same := sorted[len(sorted)/2], 0
	for _, x := range steps {
		if math.Abs(x-usual) < 0.03*usual {
			same++
		}
	}
	if float64(same) < everyShare*float64(len(steps)) {
		return ""
	}
	for _, v := range values {
		if math.Abs(v.crotchets-usual) < 0.03*usual {
			return "every " + v.name
		}
	}
	return ""
}

func beat(b float64) string {
	if b == math.Trunc(b) {
		return fmt.Sprintf("%.0f", b)
	}
	return fmt.Sprintf("%.4g", b)
}

// union is a, which it uses up, with those of b that it lacks.
func union(a, b []string) []string {
	for _, k := range b {
		if !slices.Contains(a, k) {
			a = append(a, k)
		}
	}
	return a
}
