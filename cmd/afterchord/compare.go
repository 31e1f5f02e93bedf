package main

import (
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"

	"afterchord/render/report"
	"afterchord/render/table"
	"afterchord/sim/compare"
	"afterchord/sim/finding"
	"afterchord/sim/proof"

	"github.com/spf13/cobra"
)

type compareFlags struct {
	inputFlags
	with      inputFlags // overrides for the second side
	to        outFlags
	audio     soundFlags
	noAudio   bool
	sameScale bool
	json      bool
}

func newCompare() *cobra.Command {
	var f compareFlags
	cmd := &cobra.Command{
		Use:   "compare SCORE [SCORE2]",
		Short: "set two proofs side by side: two rooms, tempi, organs, seats or versions",
		Long: `compare proves SCORE twice, or SCORE and SCORE2 once each, and sets the two side by
side: --room A --with-room B, --tempo 1 --with-tempo 0.8, and so on. It writes
into --out the folders a/ and b/ (report and sound), compare.html and
compare.json. The sounds are brought to one loudness (ITU-R BS.1770), so that
level differences do not bias the comparison; --same-scale leaves the levels as they are.`,
		Example: `  afterchord compare demo:drop --room chapel --with-room cathedral
  afterchord compare demo:dotted --tempo 116 --with-tempo 92
  afterchord compare draft1.mid draft2.mid --room abbey --no-audio`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 && len(args) != 2 {
				return usagef("%s takes one SCORE or two; for example: afterchord compare demo:drop --room chapel --with-room cathedral", cmd.CommandPath())
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return f.run(cmd, args) },
	}
	f.register(cmd)
	fl := cmd.Flags()
	fl.StringVar(&f.with.room, "with-room", "", "room of the second side")
	fl.Float64Var(&f.with.rt, "with-rt", 0, "reverberation time of the second side, s")
	fl.StringVar(&f.with.organ, "with-organ", "", "organ of the second side")
	fl.StringVar(&f.with.tempo, "with-tempo", "", "tempo of the second side")
	fl.StringVar(&f.with.seat, "with-seat", "", "seat of the second side")
	f.to.register(cmd, ".compare")
	fl.BoolVar(&f.noAudio, "no-audio", false, "no sounds")
	fl.BoolVar(&f.sameScale, "same-scale", false, "leave the levels between the two sounds as they are")
	fl.BoolVar(&f.json, "json", false, "print compare.json instead of the tables")
	f.audio.register(cmd)
	return cmd
}

// inputs loads both sides.
func (f *compareFlags) inputs(cmd *cobra.Command, args []string) (a, b proof.Input, err error) {
	changed := cmd.Flags().Changed
	if len(args) == 1 && !changed("with-room") && !changed("with-rt") && !changed("with-organ") && !changed("with-tempo") && !changed("with-seat") {
		return a, b, usagef("the two sides are the same; give a second SCORE, or --with-room, --with-rt, --with-organ, --with-tempo or --with-seat")
	}
	if changed("with-room") && changed("with-rt") {
		return a, b, usagef("give --with-room or --with-rt, not both")
	}
	if changed("with-organ") && f.stops != "" {
		return a, b, usagef("--stops names the stops of one organ; it cannot serve --with-organ too")
	}
	if a, err = f.load(cmd, args[0]); err != nil {
		return a, b, err
	}
	b = a
	if len(args) == 2 {
		if b, err = f.load(cmd, args[1]); err != nil {
			return a, b, err
		}
	}
	switch {
	case changed("with-rt"):
		if b.Room, err = roomOfTime(f.with.rt, 0); err != nil {
			return a, b, err
		}
	case changed("with-room"):
		if b.Room, err = loadRoom(f.with.room); err != nil {
			return a, b, err
		}
	}
	seat := f.seat
	if changed("with-seat") {
		seat = f.with.seat
	}
	if b.Seat, err = b.Room.Seat(seat); err != nil {
		return a, b, usageError{err}
	}
	if changed("with-organ") {
		if b.Organ, err = loadOrgan(f.with.organ); err != nil {
			return a, b, err
		}
	}
	if changed("with-tempo") {
		if b.Tempo, err = tempoFactor(f.with.tempo, b.Score); err != nil {
			return a, b, err
		}
	}
	return a, b, nil
}

// compared is compare.json.
type compared struct {
	Schema int                `json:"schema"`
	Sides  [2]compare.Side    `json:"sides"`
	Bars   []comparedBar      `json:"bars"`
	OnlyA  []*finding.Finding `json:"only_a"`
	OnlyB  []*finding.Finding `json:"only_b"`
	Common int                `json:"in_both"`
	Sounds []comparedSound    `json:"sounds,omitempty"`
}

// comparedBar is compare.Bar with what a side does not have as null.
type comparedBar struct {
	Bar        int         `json:"bar"`
	HeardShare [2]*float64 `json:"heard_share"`
	Clarity    [2]*float64 `json:"clarity"`
	LevelDB    [2]*float64 `json:"level_db"`
	Fails      [2]int      `json:"fails"`
	Warnings   [2]int      `json:"warnings"`
}

type comparedSound struct {
	File         string   `json:"file"`
	LoudnessLKFS *float64 `json:"loudness_lkfs"`
	GainDB       float64  `json:"gain_db"`
}

func (f *compareFlags) run(cmd *cobra.Command, args []string) error {
	if err := f.audio.check(); err != nil {
		return err
	}
	a, b, err := f.inputs(cmd, args)
	if err != nil {
		return err
	}
	if err := f.audio.checkEars(noAudioFlag(f.noAudio), false, a.Room, b.Room); err != nil {
		return err
	}
	res, err := f.to.open(cmd, args, append(f.files(args...), f.with.files()...), f.names())
	if err != nil {
		return err
	}
	defer res.Discard()
	var ps [2]*proof.Proof
	for i, in := range [2]proof.Input{a, b} {
		if ps[i], err = proof.Run(cmd.Context(), in); err != nil {
			return err
		}
	}
	d := compare.Documents(ps[0].Document, ps[1].Document)
	c := newCompared(d)
	out := res.Dir()
	dirs := [2]string{filepath.Join(out, "a"), filepath.Join(out, "b")}
	for _, x := range dirs {
		if err := os.MkdirAll(x, 0o755); err != nil {
			return plainError(x, err)
		}
	}
	page := report.NewCompared(ps[0].Document, ps[1].Document, d)
	page.Folders = [2]string{"a", "b"}
	var notation [2]engraved
	for i, p := range ps {
		notation[i] = engrave(p.Score, p.Organ)
		page.Scores[i] = notation[i].bars(p)
	}
	if !f.noAudio {
		match := compare.SameLoudness
		if f.sameScale {
			match = compare.SameScale
		}
		levels, err := twoSounds(cmd, ps, dirs, match, f.audio)
		if err != nil {
			return err
		}
		page.Sounds = [2]string{"a/" + f.audio.file(), "b/" + f.audio.file()}
		for i, l := range levels {
			c.Sounds = append(c.Sounds, comparedSound{page.Sounds[i], finite(l.LoudnessLKFS), math.Round(l.GainDB*100) / 100})
		}
	}
	for i, p := range ps {
		if err := writeReports(p, notation[i], dirs[i]); err != nil {
			return err
		}
	}
	if err := writeResult(filepath.Join(out, "compare.html"), func(w io.Writer) error { return report.WriteMended(w, page) }); err != nil {
		return err
	}
	if err := writeResult(filepath.Join(out, "compare.json"), func(w io.Writer) error { return indented(w, c) }); err != nil {
		return err
	}
	if err := res.Place(); err != nil {
		return err
	}
	if f.json {
		return indented(cmd.OutOrStdout(), c)
	}
	if err := printCompared(cmd.OutOrStdout(), d); err != nil {
		return err
	}
	fmt.Fprintf(cmd.OutOrStdout(), "\n%s\n", filepath.Join(f.to.out, "compare.html"))
	return nil
}

// names are the files that may be written.
func (f *compareFlags) names() []string {
	side := []string{"proof.html", "proof.json"}
	if !f.noAudio {
		side = append(side, f.audio.file())
	}
	return append(append([]string{"compare.html", "compare.json"}, within("a", side...)...), within("b", side...)...)
}

// finite is nil for what JSON cannot say.
func finite(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	v = math.Round(v*1000) / 1000
	return &v
}

func newCompared(d compare.Difference) compared {
	c := compared{Schema: proof.Schema, Sides: [2]compare.Side{d.A, d.B}, Common: len(d.Common), OnlyA: []*finding.Finding{}, OnlyB: []*finding.Finding{}}
	both := func(v [2]float64) [2]*float64 { return [2]*float64{finite(v[0]), finite(v[1])} }
	for _, b := range d.Bars {
		c.Bars = append(c.Bars, comparedBar{b.Number, both(b.HeardShare), both(b.Clarity), both(b.LevelDB), b.Fails, b.Warnings})
	}
	for _, x := range d.OnlyA {
		c.OnlyA = append(c.OnlyA, withoutTrace(x))
	}
	for _, x := range d.OnlyB {
		c.OnlyB = append(c.OnlyB, withoutTrace(x))
	}
	return c
}

func printCompared(w io.Writer, d compare.Difference) error {
	o := screen()
	var rows [][]string
	for i, s := range []compare.Side{d.A, d.B} {
		rows = append(rows, []string{string(rune('A' + i)), s.Score, s.Room, fmt.Sprintf("%.1f", s.RTS), s.Organ, fmt.Sprintf("%.0f", s.Crotchets),
			fmt.Sprint(s.Tally.Fails), fmt.Sprint(s.Tally.Warnings), fmt.Sprintf("%.1f", s.Tally.LostS)})
	}
	if err := table.Rows(w, []string{"", "score", "room", "RT s", "organ", "tempo", "lost", "weakened", "seconds lost"}, rows, []int{1}, o); err != nil {
		return err
	}
	fmt.Fprintf(w, "\n%s\n", spoken.Say(d.Summary()))
	rows = nil
	for _, b := range d.Differing(12) {
		t := b.Words()
		rows = append(rows, []string{fmt.Sprint(b.Number), t[0], t[1], b.Which()})
	}
	if len(rows) > 0 {
		fmt.Fprintln(w)
		if err := table.Rows(w, []string{"bar", "A", "B", "better in"}, rows, []int{1, 2}, o); err != nil {
			return err
		}
	}
	rows = nil
	for i, fs := range [2][]finding.Finding{d.OnlyA, d.OnlyB} {
		for _, f := range slices.Clone(fs)[:min(8, len(fs))] {
			rows = append(rows, []string{string(rune('A' + i)), f.Where, f.Kind, f.Severity.Word()})
		}
	}
	if len(rows) == 0 {
		return nil
	}
	fmt.Fprintln(w)
	return table.Rows(w, []string{"only in", "where", "kind", "severity"}, rows, []int{1}, o)
}
