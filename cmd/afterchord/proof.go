package main

import (
	"strings"

	"context"
	"fmt"
	"io"
	"path/filepath"
	"sync"

	"github.com/spf13/cobra"

	"afterchord/render/engraving"
	"afterchord/render/report"
	"afterchord/render/table"
	"afterchord/sim/demos"
	"afterchord/sim/proof"
	"afterchord/sim/remedy"
	"afterchord/sim/score"
	"afterchord/sim/sound"
)

type proofFlags struct {
	inputFlags
	to      outFlags
	audio   soundFlags
	noAudio bool
	json    bool
	dry     bool
	rf64    bool

	remedies int
	sheet    bool
	annotate bool
}

func newProof() *cobra.Command {
	var f proofFlags
	cmd := &cobra.Command{
		Use:   "proof SCORE",
		Short: "prove a score in a room: sound, report, findings by bar and beat",
		Long: `proof takes SCORE (a MIDI or MusicXML file, or one of the demo pieces below) through
organ and room to a listener's seat, and writes into --out
  heard.wav    what reaches the listener
  proof.html   the report: open it in a browser, click a finding to hear it
  proof.json   the same for programs
The findings are printed as a table.

With --ears the sound is for headphones, heard-ears.wav in place of heard.wav: the
listener faces the organ with a plain sphere for a head. It tells left from right
but, having no pinnae, neither above from below nor front from back. Levels and
findings stay as they are.

Start playback softly, above all on headphones: an organ in a church is loud, and
loud sound harms hearing.

Demo pieces: demo:` + strings.Join(demos.Names, ", demo:") + ".",
		Example: `  afterchord proof demo:drop --room cathedral
  afterchord proof demo:solo --room abbey --seat front --ears
  afterchord proof prelude.mid --rt 3.5 --organ village --seat back
  afterchord proof fugue.mid --room chapel --tempo 0.9 --assign "Track 3=Pedal"`,
		Args: exactly(1, "one SCORE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return f.run(cmd, args[0])
		},
	}
	f.register(cmd)
	fl := cmd.Flags()
	f.to.register(cmd, ".proof")
	fl.BoolVar(&f.noAudio, "no-audio", false, "findings only, no sound")
	fl.BoolVar(&f.json, "json", false, "print the findings as JSON instead of the table")
	fl.BoolVar(&f.dry, "dry", false, "leave the room out of the sound (not out of the findings)")
	f.audio.register(cmd)
	fl.BoolVar(&f.rf64, "rf64", false, "allow sound files beyond 4 GiB, as RF64")
	fl.IntVar(&f.remedies, "remedies", 3, "try rewrites for the N worst findings and include them in the report; 0 disables (0 with --no-audio unless given)")
	fl.BoolVar(&f.annotate, "annotate", false, "also the score with the findings in it: annotated.musicxml, or annotated.mid with markers")
	fl.BoolVar(&f.sheet, "sheet", false, "also a lesson sheet on the worst finding: sheet.html, and sheet.pdf where a browser is installed")
	return cmd
}

func (f *proofFlags) run(cmd *cobra.Command, path string) error {
	if err := f.audio.check(); err != nil {
		return err
	}
	if f.remedies < 0 {
		return usagef("--remedies %d: give 0 or more", f.remedies)
	}
	limitHeap()
	in, err := f.load(cmd, path)
	if err != nil {
		return err
	}
	if err := f.audio.checkEars(noAudioFlag(f.noAudio), f.dry, in.Room); err != nil {
		return err
	}
	out, err := f.to.open(cmd, []string{path}, f.files(path), f.names(in.Score))
	if err != nil {
		return err
	}
	defer out.Discard()
	go report.Prepare()
	played, _ := in.AsPlayed()
	notation := engrave(played, in.Organ)
	notation.begin()
	p, err := proof.Run(cmd.Context(), in)
	if err != nil {
		return err
	}
	if f.noAudio && !cmd.Flags().Changed("remedies") {
		f.remedies = 0 // whoever wants findings alone wants them at once
	}
	if p.Document.Remedies, err = remedy.Offer(cmd.Context(), in, p, f.remedies); err != nil {
		return err
	}
	if !f.noAudio {
		p.Field = nil // the findings are there, and what it holds is as much as the sound takes
		tidyHeap()
		if err := f.sound(cmd.Context(), p, out.Dir()); err != nil {
			return err
		}
	}
	if err := writeReports(p, notation, out.Dir()); err != nil {
		return err
	}
	if f.annotate {
		if err := writeAnnotated(in.Score, p, out.Dir()); err != nil {
			return err
		}
	}
	if f.sheet && len(p.Document.Findings) > 0 {
		s := report.Sheet{Before: p.Document, Finding: p.Document.Findings[0], Scores: [2]*engraving.Sheet{notation.bars(p)}}
		if err := writeSheet(cmd.Context(), s, out.Dir(), cmd.ErrOrStderr()); err != nil {
			return err
		}
	}
	if err := out.Place(); err != nil {
		return err
	}
	if f.json {
		return report.WriteJSON(cmd.OutOrStdout(), p.Document)
	}
	o := screen()
	if err := table.Settings(cmd.OutOrStdout(), p.Document, o); err != nil {
		return err
	}
	for _, c := range p.Document.Room.Cautions {
		if _, err := fmt.Fprintln(cmd.OutOrStdout(), o.Text("this room: "+c)); err != nil {
			return err
		}
	}
	if err := table.Findings(cmd.OutOrStdout(), p.Document, o); err != nil {
		return err
	}
	fmt.Fprintf(cmd.OutOrStdout(), "\n%s\n", filepath.Join(f.to.out, "proof.html"))
	return nil
}

// names are the files that may be written.
func (f *proofFlags) names(s *score.Score) []string {
	names := []string{"proof.html", "proof.json"}
	if !f.noAudio {
		names = append(names, f.audio.file())
	}
	if f.annotate {
		names = append(names, engraving.FileName(s))
	}
	if f.sheet {
		names = append(names, sheetFiles...)
	}
	return names
}

// tidyAfterS is when most of the pipes of a long piece have been heard, s.
const tidyAfterS = 120

// sound renders the sound and describes it in the document.
func (f *proofFlags) sound(ctx context.Context, p *proof.Proof, out string) error {
	bar := newProgress("rendering")
	job, name := p.Job(f.audio.rate, f.dry), f.audio.file()
	job.Ears = f.audio.ears
	// Once some of it is there, what responses and pipes took in the making is given back.
	tidy := sync.OnceFunc(tidyHeap)
	r, err := sound.RenderFile(ctx, job, filepath.Join(out, name), f.audio.format, func(done, total float64) {
		if done > tidyAfterS {
			tidy()
		}
		bar.set(done, total)
	})
	bar.done()
	if err != nil {
		return err
	}
	bits := f.audio.format.Bytes() * 8
	p.Document.Sound = &proof.SoundInfo{File: name, Ears: f.audio.ears, RateHz: r.Rate, Bits: bits, DurationS: r.DurationS,
		FullScaleDB: r.FullScaleDB, PeakDBFS: r.PeakDBFS, LoudestDB: r.LoudestDB}
	return nil
}

// writeReports writes the two files that describe the run, at the same time.
func writeReports(p *proof.Proof, notation engraved, out string) error {
	d, o := p.Document, notation.pageOptions(p)
	page := make(chan error, 1)
	go func() {
		page <- writeResult(filepath.Join(out, "proof.html"), func(w io.Writer) error { return report.WriteHTML(w, d, o) })
	}()
	err := writeResult(filepath.Join(out, "proof.json"), func(w io.Writer) error { return report.WriteJSON(w, d) })
	if err2 := <-page; err == nil {
		err = err2
	}
	return err
}
