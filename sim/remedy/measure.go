package remedy

import (
	"context"
	"maps"
	"math"
	"slices"
	"strings"
	"sync"

	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/score"
)

// Tally is what a set of findings comes to.
type Tally struct {
	Fails    int     `json:"fails"`
	Warnings int     `json:"warnings"`
	Notes    int     `json:"notes"`
	Places   int     `json:"places"`
	LostS    float64 `json:"lost_s"` // sum of the findings' weights, s of music
	Cost     float64 `json:"cost"`   // places and lost seconds, weighted by severity
}

// points weighs a severity: a fail counts as three warnings, a note as a fifth of one.
func points(s finding.Severity) float64 {
	switch s {
	case finding.Fail:
		return 3
	case finding.Warning:
		return 1
	}
	return 0.2
}

// NewTally counts findings.
func NewTally(fs []finding.Finding) Tally {
	var t Tally
	for _, f := range fs {
		switch f.Severity {
		case finding.Fail:
			t.Fails++
		case finding.Warning:
			t.Warnings++
		default:
			t.Notes++
		}
		n := max(1, f.Count)
		t.Places += n
		t.LostS += f.Weight
		t.Cost += points(f.Severity) * (math.Sqrt(float64(n)) + f.Weight)
	}
	t.LostS = math.Round(t.LostS*1000) / 1000
	t.Cost = math.Round(t.Cost*1000) / 1000
	return t
}

// serious is how many warnings and fails there are.
func (t Tally) serious() int { return t.Fails + t.Warnings }

// same lists the findings of the same kind in the same bars on a division in common.
func same(fs []finding.Finding, f finding.Finding) []finding.Finding {
	var out []finding.Finding
	for _, g := range fs {
		if g.Kind == f.Kind && g.Bar <= max(f.Bar, f.ToBar) && max(g.Bar, g.ToBar) >= f.Bar && shareDivision(f.Division, g.Division) {
			out = append(out, g)
		}
	}
	return out
}

func shareDivision(a, b string) bool {
	if a == "" || b == "" {
		return true
	}
	split := func(s string) []string {
		return strings.FieldsFunc(strings.ReplaceAll(s, " and ", ","), func(r rune) bool { return r == ',' })
	}
	for _, x := range split(a) {
		for _, y := range split(b) {
			if strings.TrimSpace(x) == strings.TrimSpace(y) {
				return true
			}
		}
	}
	return false
}

// verdict is one excerpt proved: what it has in all, and of the finding in question.
type verdict struct {
	all, target Tally
	findings    []finding.Finding
	worst       *finding.Finding // of the target's
	err         error
}

// trial proves drafts on the passage about a finding.
type trial struct {
	ctx      context.Context
	in       proof.Input
	f        finding.Finding
	from, to score.Tick
	written  played // some score that will be proved

	mu     sync.Mutex
	known  map[*score.Score]verdict
	beside *proof.Proof // of the passage, the first that was proved
}

func newTrial(ctx context.Context, in proof.Input, written played, f finding.Finding) *trial {
	t := &trial{ctx: ctx, in: in, f: f, written: written, known: map[*score.Score]verdict{}}
	t.from, t.to = around(in, f)
	return t
}

// whole makes the whole piece the passage.
func (t *trial) whole() {
	t.from, t.to = 0, t.in.Score.End
	t.beside = nil
	clear(t.known)
}

// run proves a draft, once: remedies that search have had theirs proved.
func (t *trial) run(s *score.Score) verdict {
	t.mu.Lock()
	v, ok := t.known[s]
	t.mu.Unlock()
	if !ok {
		v = t.prove(s)
		t.mu.Lock()
		t.known[s] = v
		t.mu.Unlock()
	}
	return v
}

func (t *trial) prove(s *score.Score) verdict {
	in := t.in
	in.Score = s
	in, err := excerpt(in, t.written, t.from, t.to)
	if err != nil {
		return verdict{err: err}
	}
	t.mu.Lock()
	if t.beside != nil {
		in.Beside = t.beside
	}
	t.mu.Unlock()
	p, err := proof.Judge(t.ctx, in)
	if err != nil {
		return verdict{err: err}
	}
	t.mu.Lock()
	if t.beside == nil {
		t.beside = p
	}
	t.mu.Unlock()
	v := verdict{findings: p.Document.Findings, all: NewTally(p.Document.Findings)}
	hits := same(v.findings, t.f)
	v.target = NewTally(hits)
	for i := range hits {
		if v.worst == nil || points(hits[i].Severity) > points(v.worst.Severity) {
			v.worst = &hits[i]
		}
	}
	return v
}

// clear reports whether nothing but notes is left of the target.
func (v verdict) clear() bool { return v.err == nil && v.target.serious() == 0 }

// Figure is one measured value before and after; After is nil where the check no longer finds
// anything.
type Figure struct {
	Name   string   `json:"name"`
	Before float64  `json:"before"`
	After  *float64 `json:"after"`
}

// figures compares what the worst places measured.
func figures(before, after *finding.Finding) []Figure {
	if before == nil {
		return nil
	}
	var out []Figure
	for _, k := range slices.Sorted(maps.Keys(before.Measured)) {
		f := Figure{Name: k, Before: before.Measured[k]}
		if after != nil {
			if v, ok := after.Measured[k]; ok {
				f.After = &v
			}
		}
		out = append(out, f)
	}
	return out
}
