package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"afterchord/render/engraving"
	"afterchord/render/report"
	"afterchord/render/table"
	"afterchord/sim/compare"
	"afterchord/sim/proof"
	"afterchord/sim/remedy"
	"afterchord/sim/score"
	"afterchord/sim/score/file"
	"afterchord/sim/sound"
)

// names are the files that may be written.
func (f *mendFlags) names(s *score.Score) []string {
	side := []string{"proof.html", "proof.json"}
	if !f.noAudio {
		side = append(side, f.audio.file())
	}
	names := append([]string{mendedName(s), "mend.html", "mend.json"}, within("before", side...)...)
	names = append(names, within("after", side...)...)
	if f.sheet {
		names = append(names, sheetFiles...)
	}
	return names
}

// write puts the rewritten score, both proofs, the page and the JSON into the folder out.
func (f *mendFlags) write(cmd *cobra.Command, out string, m *mended) error {
	sides := [2]string{filepath.Join(out, "before"), filepath.Join(out, "after")}
	for _, d := range sides {
		if err := os.MkdirAll(d, 0o755); err != nil {
			return plainError(d, err)
		}
	}
	if m.score != nil {
		var err error
		if m.File, err = writeScore(m.score, out); err != nil {
			return err
		}
	}
	notation := [2]engraved{engrave(m.old.Score, m.old.Organ), engrave(m.new.Score, m.new.Organ)}
	page := report.Mended{Why: m.Why, Folders: [2]string{"before", "after"}, Before: m.old.Document, After: m.new.Document,
		Scores: [2]*engraving.Sheet{notation[0].bars(m.old), notation[1].bars(m.new)}}
	if !f.noAudio && m.score != nil {
		if _, err := twoSounds(cmd, [2]*proof.Proof{m.old, m.new}, sides, compare.ScaleAlone, f.audio); err != nil {
			return err
		}
		page.Sounds = [2]string{"before/" + f.audio.file(), "after/" + f.audio.file()}
	}
	for i, p := range [2]*proof.Proof{m.old, m.new} {
		if err := writeReports(p, notation[i], sides[i]); err != nil {
			return err
		}
	}
	for _, c := range m.Changes {
		page.Changes = append(page.Changes, report.MendedChange{Where: c.Where, Remedy: c.Remedy, What: c.What, Verdict: c.Verdict, Finding: c.Finding})
	}
	for _, l := range m.Left {
		page.Left = append(page.Left, report.MendedChange{Where: l.Where, Remedy: l.Kind, What: l.Why})
	}
	if err := writeResult(filepath.Join(out, "mend.html"), func(w io.Writer) error { return report.WriteMended(w, page) }); err != nil {
		return err
	}
	if f.sheet {
		if err := m.sheet(cmd, notation, out); err != nil {
			return err
		}
	}
	return writeResult(filepath.Join(out, "mend.json"), func(w io.Writer) error { return indented(w, m) })
}

// writeScore writes the score in the format that it came in.
func writeScore(s *score.Score, out string) (string, error) {
	name := mendedName(s)
	return name, writeResult(filepath.Join(out, name), func(w io.Writer) error { return file.Write(w, s) })
}

func mendedName(s *score.Score) string { return "mended" + file.Extension(s) }

// twoSounds renders two proofs into their folders and describes them in the documents.
func twoSounds(cmd *cobra.Command, ps [2]*proof.Proof, dirs [2]string, m compare.Match, audio soundFlags) ([]compare.Level, error) {
	bar := newProgress("rendering")
	jobs := []sound.Job{ps[0].Job(audio.rate, false), ps[1].Job(audio.rate, false)}
	jobs[0].Ears, jobs[1].Ears = audio.ears, audio.ears
	name := audio.file()
	levels, err := compare.Sounds(cmd.Context(), jobs, []string{filepath.Join(dirs[0], name), filepath.Join(dirs[1], name)}, audio.format, m, bar.set)
	bar.done()
	if err != nil {
		return nil, err
	}
	for i, r := range levels {
		ps[i].Document.Sound = &proof.SoundInfo{File: name, Ears: audio.ears, RateHz: r.Rate, Bits: audio.format.Bytes() * 8, DurationS: r.DurationS,
			FullScaleDB: r.FullScaleDB - r.GainDB, PeakDBFS: r.PeakDBFS, LoudestDB: r.LoudestDB}
	}
	return levels, nil
}

// print shows what was tried, what was changed, and the piece before and after.
func (m *mended) print(w io.Writer) error {
	o := screen()
	var rows [][]string
	if len(m.Tried) > 0 {
		for _, r := range m.Tried {
			rows = append(rows, []string{r.Remedy, yes(r.Helps), r.What, r.Verdict})
		}
		if err := table.Rows(w, []string{"remedy", "helps", "change", "what it is worth"}, rows, []int{2, 3}, o); err != nil {
			return err
		}
	} else if len(m.Changes) > 0 {
		for _, c := range m.Changes {
			rows = append(rows, []string{c.Where, c.Remedy, c.What, c.Verdict})
		}
		if err := table.Rows(w, []string{"where", "remedy", "change", "what it is worth"}, rows, []int{0, 2, 3}, o); err != nil {
			return err
		}
	}
	fmt.Fprintf(w, "\n%s\n\n", spoken.Say(m.Why))
	rows = [][]string{tallyRow("as written", m.Before)}
	if m.score != nil {
		rows = append(rows, tallyRow("as rewritten", m.After))
	}
	if err := table.Rows(w, []string{"", "lost", "weakened", "worth knowing", "places", "seconds lost"}, rows, nil, o); err != nil {
		return err
	}
	if len(m.Left) > 0 {
		rows = nil
		for _, l := range m.Left {
			rows = append(rows, []string{l.Where, l.Kind, l.Severity.Word(), l.Why})
		}
		fmt.Fprintln(w)
		return table.Rows(w, []string{"what stays", "kind", "severity", "why"}, rows, []int{0, 3}, o)
	}
	return nil
}

func tallyRow(name string, t remedy.Tally) []string {
	return []string{name, fmt.Sprint(t.Fails), fmt.Sprint(t.Warnings), fmt.Sprint(t.Notes), fmt.Sprint(t.Places), fmt.Sprintf("%.1f", t.LostS)}
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// mostOnSheet is how many changes the lesson sheet spells out.
const mostOnSheet = 3

// sheet writes the lesson sheet of the finding that was mended, or the first that a plan changed.
func (m *mended) sheet(cmd *cobra.Command, notation [2]engraved, out string) error {
	found := m.old.Document.Findings
	if len(found) == 0 {
		return nil
	}
	s := report.Sheet{Before: m.old.Document, Finding: found[0], Scores: [2]*engraving.Sheet{notation[0].bars(m.old)}}
	id := found[0].ID
	switch {
	case m.Finding != nil:
		id = m.Finding.ID
	case len(m.Changes) > 0:
		id = m.Changes[0].Finding
	}
	for _, f := range found {
		if f.ID == id {
			s.Finding = f
		}
	}
	if len(m.Changes) > 0 {
		s.After, s.Scores[1] = m.new.Document, notation[1].bars(m.new)
		for i, c := range m.Changes {
			if i == mostOnSheet {
				s.Remedy += fmt.Sprintf(" And %d more changes.", len(m.Changes)-i)
				break
			}
			s.Remedy = strings.TrimSpace(s.Remedy + " " + c.What)
		}
	}
	return writeSheet(cmd.Context(), s, out, cmd.ErrOrStderr())
}
