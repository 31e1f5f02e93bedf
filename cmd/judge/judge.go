package main

import (
	"context"
	"fmt"
	"io"
	"slices"

	"afterchord/acoustics/parallel"
	"afterchord/acoustics/room"
	"afterchord/cmd/internal/repertoire"
	"afterchord/cmd/internal/works"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/voicing"
)

// rooms are those of the table, with the minster organ.
var rooms = []string{"chapel", "parish-church", "cathedral"}

const organName = "minster"

// heard is what one work got in one room.
type heard struct {
	work    works.Work
	piano   bool
	minutes float64
	found   []finding.Finding
	others  map[string][]finding.Finding // by the norms made without a composer
}

// fold is the norms made without one composer of the organ works.
type fold struct {
	composer string
	norms    *finding.Norms
}

// folds leaves out each composer in turn.
func folds(organ []works.Work, workers int) ([]fold, error) {
	got, err := repertoire.Measure(organ, repertoire.Seconds, workers)
	if err != nil {
		return nil, err
	}
	var out []fold
	for _, c := range repertoire.Composers(got) {
		out = append(out, fold{c, repertoire.Table(got, c)})
	}
	return out, nil
}

// judge writes the tables, and the curves of recall against false alarms to picture where that is not nil.
func judge(w io.Writer, folders []string, each, others bool, picture io.Writer, workers int) error {
	var organ, piano []works.Work
	for _, dir := range folders {
		o, p, err := works.Both(dir)
		if err != nil {
			return err
		}
		organ, piano = append(organ, o...), append(piano, p...)
	}
	all := slices.Concat(organ, piano)
	fmt.Fprintf(w, "%d organ works, %d piano works, %s organ; fails and warnings a minute, median over works\n", len(organ), len(piano), organName)
	var without []fold
	if others {
		var err error
		if without, err = folds(organ, workers); err != nil {
			return err
		}
	}
	var curves [][]point
	for _, name := range rooms {
		got := make([]heard, len(all))
		errs := make([]error, len(all))
		parallel.Do(workers, len(all), func(i int) {
			got[i], errs[i] = listen(all[i], i >= len(organ), name, without)
		})
		for _, err := range errs {
			if err != nil {
				return err
			}
		}
		table(w, name, got, each)
		if others {
			writeOthers(w, got, without)
		}
		curves = append(curves, curve(got))
		writeCurve(w, curves[len(curves)-1])
	}
	if picture != nil {
		return drawCurves(picture, rooms, curves)
	}
	return nil
}

// listen proves a work in a room, without sound: by the program's norms, and by those made without each composer: an organ
// work's own, any for a piano work.
func listen(work works.Work, piano bool, name string, without []fold) (heard, error) {
	r, ok := room.BuiltIn(name)
	if !ok {
		return heard{}, fmt.Errorf("no room %q", name)
	}
	seat, err := r.Seat("middle")
	if err != nil {
		return heard{}, err
	}
	o, ok := voicing.BuiltIn(organName)
	if !ok {
		return heard{}, fmt.Errorf("no organ %q", organName)
	}
	p, err := proof.Run(context.Background(), proof.Input{Score: work.Score, Room: r, Seat: seat, Organ: o})
	if err != nil {
		return heard{}, err
	}
	h := heard{work: work, piano: piano, minutes: p.Document.Score.DurationS / 60, found: p.Document.Findings, others: map[string][]finding.Finding{}}
	c := &finding.Context{Score: p.Score, Organ: o, Performance: p.Performance, Events: p.Events, Field: p.Field, Hearing: proof.Hearing(), Thresholds: finding.Defaults()}
	acoustic := func(k finding.Kind) bool { return k.Acoustic }
	for _, f := range without {
		if piano || f.composer == work.Composer() {
			c.Norms = f.norms
			h.others[f.composer] = slices.Concat(finding.RunKinds(c, kindsThat(acoustic)), consoleOf(h.found))
		}
	}
	return h, nil
}

func kindsThat(are func(finding.Kind) bool) []finding.Kind {
	return slices.DeleteFunc(slices.Clone(finding.Kinds), func(k finding.Kind) bool { return !are(k) })
}

// consoleOf are the findings that no norms are asked for.
func consoleOf(found []finding.Finding) []finding.Finding {
	return slices.DeleteFunc(slices.Clone(found), func(f finding.Finding) bool { k, _ := finding.KindOf(f.Kind); return k.Acoustic })
}

// row is one line of a table: which findings it counts.
type row struct {
	name   string
	counts func(finding.Finding) bool
}

func rows() []row {
	suffers := func(f finding.Finding) bool { return f.Severity != finding.Notice }
	acoustic := func(f finding.Finding) bool { k, _ := finding.KindOf(f.Kind); return k.Acoustic }
	out := []row{
		{"acoustic kinds", func(f finding.Finding) bool { return suffers(f) && acoustic(f) }},
		{"acoustic, fails alone", func(f finding.Finding) bool { return f.Severity == finding.Fail && acoustic(f) }},
		{"console kinds", func(f finding.Finding) bool { return suffers(f) && !acoustic(f) }},
		{"all kinds", suffers},
	}
	for _, k := range finding.Kinds {
		out = append(out, row{"  " + k.Name, func(f finding.Finding) bool { return suffers(f) && f.Kind == k.Name }})
	}
	return out
}

// rate is how many places of the row's kind a minute has.
func (r row) rate(h heard) float64 {
	n := 0
	for _, f := range h.found {
		if r.counts(f) {
			n += f.Count
		}
	}
	return float64(n) / h.minutes
}

// findings is how many findings of the row's kind a minute has: neighbouring places are one.
func (r row) findings(h heard) float64 {
	n := 0
	for _, f := range h.found {
		if r.counts(f) {
			n++
		}
	}
	return float64(n) / h.minutes
}

func table(w io.Writer, room string, got []heard, each bool) {
	fmt.Fprintf(w, "\n## %s\n\n| | organ works: places | findings | piano works: places | findings | AUC, places | findings |\n|---|---|---|---|---|---|---|\n", room)
	for _, r := range rows() {
		var places, found [2][]float64
		for _, h := range got {
			k := 0
			if h.piano {
				k = 1
			}
			places[k] = append(places[k], r.rate(h))
			found[k] = append(found[k], r.findings(h))
		}
		fmt.Fprintf(w, "| %s | %.2f | %.2f | %.2f | %.2f | %.2f | %.2f |\n", r.name, median(places[0]), median(found[0]), median(places[1]), median(found[1]),
			auc(places[0], places[1]), auc(found[0], found[1]))
	}
	if !each {
		return
	}
	fmt.Fprintf(w, "\n| work | minutes |")
	rs := rows()
	for _, r := range rs {
		fmt.Fprintf(w, " %s |", r.name)
	}
	fmt.Fprintln(w)
	for _, h := range got {
		fmt.Fprintf(w, "| %s | %.1f |", h.work.Name, h.minutes)
		for _, r := range rs {
			fmt.Fprintf(w, " %.2f |", r.findings(h))
		}
		fmt.Fprintln(w)
	}
}

// median is the middle of xs, 0 of none.
func median(xs []float64) float64 {
	s := slices.Sorted(slices.Values(xs))
	switch n := len(s); {
	case n == 0:
		return 0
	case n%2 == 1:
		return s[n/2]
	default:
		return (s[n/2-1] + s[n/2]) / 2
	}
}

// auc is how often a value of b is above one of a, ties counting half: the area under the receiver
// operating characteristic (Hanley & McNeil 1982, from memory: the Mann-Whitney statistic over the pairs).
func auc(a, b []float64) float64 {
	if len(a) == 0 || len(b) == 0 {
		return 0.5
	}
	sum := 0.0
	for _, x := range a {
		for _, y := range b {
			switch {
			case y > x:
				sum++
			case y == x:
				sum += 0.5
			}
		}
	}
	return sum / float64(len(a)*len(b))
}
