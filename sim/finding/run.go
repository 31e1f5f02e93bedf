package finding

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"
)

// Kinds lists the checks in the order of the handbook: what the building does, what
// the pipes do, what the player cannot do. Adding a finding is adding a row.
var Kinds = []struct {
	Name  string
	Check Check
}{
	{"covered-entry", CoveredEntry},
	{"blurred-harmony", BlurredHarmony},
	{"run-together", RunTogether},
	{"late-speech", LateSpeech},
	{"masked-solo", MaskedSolo},
	{"doubled-in-vain", DoubledInVain},
	{"thin-figure", ThinFigure},
	{"stop-scramble", StopScramble},
	{"stepped-crescendo", SteppedCrescendo},
	{"box-out-of-reach", BoxOutOfReach},
	{"pedal-reach", PedalReach},
	{"hand-reach", HandReach},
	{"off-compass", OffCompass},
	{"no-such-effect", NoSuchEffect},
}

// Run makes every check, fills in bar and beat, puts the worst first and numbers them.
func Run(c *Context) []Finding {
	found := make([][]Finding, len(Kinds))
	var wg sync.WaitGroup
	for i, k := range Kinds {
		wg.Add(1)
		go func() {
			defer wg.Done()
			found[i] = k.Check(c)
			for j := range found[i] {
				found[i][j].Kind = k.Name
			}
		}()
	}
	wg.Wait()
	all := slices.Concat(found...)
	for i := range all {
		c.locate(&all[i])
	}
	all = group(all)
	slices.SortStableFunc(all, func(a, b Finding) int {
		if r := cmp.Compare(rank(b.Severity), rank(a.Severity)); r != 0 {
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

func rank(s Severity) int {
	switch s {
	case Fail:
		return 2
	case Warning:
		return 1
	}
	return 0
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
		if f.Count > 1 && f.ToBar > f.Bar {
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

func merge(a, b Finding) Finding {
	worst := a
	if rank(b.Severity) > rank(a.Severity) || rank(b.Severity) == rank(a.Severity) && b.Weight > a.Weight {
		worst = b
	}
	m := worst
	m.Bar, m.Beat, m.AtS = a.Bar, a.Beat, a.AtS
	m.ToBar, m.UntilS = max(a.ToBar, b.ToBar), max(a.UntilS, b.UntilS)
	m.Count = a.Count + b.Count
	m.Weight = a.Weight + b.Weight
	m.Notes = append(slices.Clone(a.Notes), b.Notes...)
	m.Keys = union(a.Keys, b.Keys)
	if m.ToBar > m.Bar {
		m.Where = fmt.Sprintf("bars %d–%d, %d places", m.Bar, m.ToBar, m.Count)
	} else {
		m.Where = fmt.Sprintf("bar %d, %d places from beat %s", m.Bar, m.Count, beat(m.Beat))
	}
	return m
}

func beat(b float64) string {
	if b == math.Trunc(b) {
		return fmt.Sprintf("%.0f", b)
	}
	return fmt.Sprintf("%.4g", b)
}

func union(a, b []string) []string {
	out := slices.Clone(a)
	for _, k := range b {
		if !slices.Contains(out, k) {
			out = append(out, k)
		}
	}
	return out
}
