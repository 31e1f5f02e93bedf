package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"afterchord/render/table"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/remedy"
	"afterchord/sim/score"
)

type mendFlags struct {
	inputFlags
	to      outFlags
	audio   soundFlags
	finding int
	all     bool
	list    bool
	remedy  string
	noAudio bool
	json    bool
	sheet   bool
}

func newMend() *cobra.Command {
	var f mendFlags
	cmd := &cobra.Command{
		Use:   "mend SCORE",
		Short: "rewrite what a proof found, and prove the rewriting",
		Long: `mend rewrites passages of SCORE and proves each rewriting in the same room:
  --list       the findings with their numbers, and the remedies for each
  --finding 3  every remedy for finding 3; the best is written
  --all        a small set of changes that clears the most of the piece
It writes into --out
  mended.mid   the rewritten score (mended.musicxml where SCORE is MusicXML)
  before/ after/  the two proofs, with sound at one scale
  mend.html    both side by side
  mend.json    the same for programs
A remedy that does not help is reported as such. Notes, words and tempi that no
change touches stay as they are in the file.`,
		Example: `  afterchord mend demo:drop --room cathedral --list
  afterchord mend demo:drop --room cathedral --finding 1
  afterchord mend toccata.mid --room abbey --all --no-audio`,
		Args: exactly(1, "one SCORE"),
		RunE: func(cmd *cobra.Command, args []string) error { return f.run(cmd, args[0]) },
	}
	f.register(cmd)
	fl := cmd.Flags()
	f.to.register(cmd, ".mend")
	fl.IntVar(&f.finding, "finding", 0, "number of the finding to mend (see --list)")
	fl.BoolVar(&f.all, "all", false, "mend the whole piece")
	fl.BoolVar(&f.list, "list", false, "list findings and remedies, write nothing")
	fl.StringVar(&f.remedy, "remedy", "", "with --finding: this remedy alone, written even where it does not help")
	fl.BoolVar(&f.noAudio, "no-audio", false, "no sounds")
	fl.BoolVar(&f.json, "json", false, "print mend.json instead of the tables")
	fl.BoolVar(&f.sheet, "sheet", false, "also a lesson sheet: sheet.html, and sheet.pdf where a browser is installed")
	f.audio.register(cmd)
	return cmd
}

// mended is mend.json.
type mended struct {
	Schema   int               `json:"schema"`
	Score    string            `json:"score"`
	Room     string            `json:"room"`
	Organ    string            `json:"organ"`
	Finding  *finding.Finding  `json:"finding,omitempty"`
	Tried    []remedy.Result   `json:"tried,omitempty"`
	Changes  []remedy.Change   `json:"changes"`
	Left     []remedy.Left     `json:"left,omitempty"`
	Why      string            `json:"why"`
	Before   remedy.Tally      `json:"before"`
	After    remedy.Tally      `json:"after"`
	Findings []finding.Finding `json:"findings_after"`
	File     string            `json:"file,omitempty"` // the rewritten score

	old, new *proof.Proof
	score    *score.Score // nil where nothing was changed
}

func (f *mendFlags) check() error {
	chosen := 0
	for _, x := range []bool{f.finding != 0, f.all, f.list} {
		if x {
			chosen++
		}
	}
	if chosen != 1 {
		return usagef("give one of --list, --finding N or --all")
	}
	if f.remedy != "" && f.finding == 0 {
		return usagef("--remedy %s: give the --finding it is for", f.remedy)
	}
	return f.audio.check()
}

func (f *mendFlags) run(cmd *cobra.Command, path string) error {
	if err := f.check(); err != nil {
		return err
	}
	in, err := f.load(cmd, path)
	if err != nil {
		return err
	}
	silent := noAudioFlag(f.noAudio)
	if f.list {
		silent = "--list"
	}
	if err := f.audio.checkEars(silent, false, in.Room); err != nil {
		return err
	}
	if f.list {
		return listRemedies(cmd, in)
	}
	out, err := f.to.open(cmd, []string{path}, f.files(path), f.names(in.Score))
	if err != nil {
		return err
	}
	defer out.Discard()
	var m *mended
	var interrupted error
	if f.all {
		m, err = mendAll(cmd, in)
		if interrupted = cmd.Context().Err(); interrupted != nil { // a plan that there is is written all the same
			cmd.SetContext(context.WithoutCancel(cmd.Context()))
		}
	} else {
		m, err = f.mendOne(cmd.Context(), in)
	}
	if err != nil {
		return err
	}
	if err := f.write(cmd, out.Dir(), m); err != nil {
		return err
	}
	if err := out.Place(); err != nil {
		return err
	}
	show := m.print
	if f.json {
		show = func(w io.Writer) error { return indented(w, m) }
	}
	return cmp.Or(show(cmd.OutOrStdout()), interrupted)
}

func listRemedies(cmd *cobra.Command, in proof.Input) error {
	p, err := proof.Run(cmd.Context(), in)
	if err != nil {
		return err
	}
	var rows [][]string
	for _, x := range p.Document.Findings {
		var names []string
		for _, r := range remedy.For(x.Kind) {
			names = append(names, r.Name)
		}
		if names == nil {
			names = []string{"none; see the report"}
		}
		rows = append(rows, []string{fmt.Sprint(x.ID), x.Where, x.Kind, x.Severity.Word(), strings.Join(names, ", ")})
	}
	o, w := screen(), cmd.OutOrStdout()
	if len(rows) == 0 {
		fmt.Fprintln(w, "No findings: there is nothing to mend.")
	} else if err := table.Rows(w, []string{"finding", "where", "kind", "severity", "remedies"}, rows, []int{1, 4}, o); err != nil {
		return err
	}
	fmt.Fprintln(w)
	rows = nil
	for _, r := range remedy.Table {
		rows = append(rows, []string{r.Name, r.Does, strings.Join(r.Cures, ", ")})
	}
	return table.Rows(w, []string{"remedy", "what it does", "for"}, rows, []int{1, 2}, o)
}

func newMended(in proof.Input, old, after *proof.Proof) *mended {
	findings := []finding.Finding{}
	for _, x := range after.Document.Findings {
		findings = append(findings, *withoutTrace(x))
	}
	return &mended{Schema: proof.Schema, Score: in.Score.File, Room: in.Room.Name, Organ: in.Organ.Name, Changes: []remedy.Change{},
		old: old, new: after, Before: remedy.NewTally(old.Document.Findings), After: remedy.NewTally(after.Document.Findings),
		Findings: findings}
}

func mendAll(cmd *cobra.Command, in proof.Input) (*mended, error) {
	bar := newProgress("mending")
	done := settling(cmd.Context())
	plan, err := remedy.All(cmd.Context(), in, bar.set)
	if cmd.Context().Err() == nil {
		done()
	}
	bar.done()
	if err != nil {
		return nil, err
	}
	m := newMended(in, plan.Old, plan.New)
	m.Left, m.Why = plan.Left, plan.Why
	if len(plan.Changes) > 0 {
		m.Changes, m.score = plan.Changes, plan.Score
	}
	return m, nil
}

func (f *mendFlags) mendOne(ctx context.Context, in proof.Input) (*mended, error) {
	old, err := proof.Run(ctx, in)
	if err != nil {
		return nil, err
	}
	found := old.Document.Findings
	if f.finding < 1 || f.finding > len(found) {
		return nil, usagef("--finding %d: the proof has %d findings (see --list)", f.finding, len(found))
	}
	x := found[f.finding-1]
	remedies := remedy.For(x.Kind)
	if f.remedy != "" {
		r, ok := remedy.Find(f.remedy)
		if !ok {
			return nil, usagef("there is no remedy %q (see --list)", f.remedy)
		}
		remedies = []remedy.Remedy{r}
	}
	tried, err := remedy.Mend(ctx, in, x, remedies)
	if err != nil {
		return nil, err
	}
	m := newMended(in, old, old)
	m.Finding, m.Tried = withoutTrace(x), tried
	if len(remedies) == 0 {
		m.Why = fmt.Sprintf("No remedy rewrites this (%s); the report says what to try instead.", strings.ReplaceAll(x.Kind, "-", " "))
		return m, nil
	}
	best, after, err := remedy.Best(ctx, in, tried)
	if err != nil {
		return nil, err
	}
	if best == nil && f.remedy != "" && tried[0].Score != nil { // asked for by name
		best, in.Score = &tried[0], tried[0].Score
		if after, err = proof.Run(ctx, in); err != nil {
			return nil, err
		}
	}
	if best == nil {
		m.Why = fmt.Sprintf("No remedy tried helps finding %d (%s, %s); the score stays as it is.", x.ID, strings.ReplaceAll(x.Kind, "-", " "), x.Where)
		return m, nil
	}
	n := newMended(in, old, after)
	n.Finding, n.Tried, n.score = m.Finding, tried, best.Score
	n.Changes = []remedy.Change{{Result: *best, Reason: "of the remedies that help here it leaves the whole piece the best"}}
	n.Why = best.What + " " + best.Verdict
	return n, nil
}

// withoutTrace is the finding without its curves, which are in the proof's own document.
func withoutTrace(f finding.Finding) *finding.Finding {
	f.Trace = nil
	return &f
}
