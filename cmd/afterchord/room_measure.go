package main

import (
	"fmt"
	"io"
	"math"
	"path/filepath"

	"afterchord/acoustics/impulse"
	"afterchord/acoustics/measure"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/plural"
	"afterchord/acoustics/room"
	"afterchord/render/figures"
	"afterchord/render/results"
	"afterchord/render/table"

	"github.com/spf13/cobra"
)

type roomMeasure struct {
	kind string
	out  string
	json bool
	picture
}

func newRoomMeasure() *cobra.Command {
	var f roomMeasure
	cmd := &cobra.Command{
		Use:   "measure RECORDING.wav...",
		Short: "measure a room from an impulse response, a burst, or a chord cut off",
		Long: `measure reads a WAV recording and prints, per octave band, RT60 as T20 and T30, EDT, C80,
D50 and Ts as ISO 3382-1 defines them, with the noise taken off. A figure of which the
recording is not sure is marked "?", one that it cannot give is "-";
the reasons stand below the table. Two more figures say how straight the decay is (ISO 3382-2, Annex B):
  C    curvature, 100 (T30/T20 - 1) %: above 0 the late decay is the slower one
  xi   degree of non-linearity, 1000 (1 - r2) per mille of the fit of T30 (else T20)
Bands beyond 10 % or 10 per mille are marked "~", with the likely reason and what to do. --kind says what excited the room:
  impulse      an impulse response, a balloon burst, a hand clap
  interrupted  a chord or a noise that was held and cut off: T20 and T30 only
Claps and bursts may stand in one recording or in several: each is found, measured and judged
by itself, and the good ones are joined, with their spread. Where noise leaves none of them
enough of the decay, the good ones are averaged before the fit, the noise is taken off, and T20
or else T15 (the decay from -5 to -20 dB) is read if it is sure to 10 %. A noise gate, an automatic gain,
clipping, noise or a clap too near is reported, here, in the room file and in every report from it.
--out writes a room file for 'proof --room' and the desk. After an impulse the room sounds
as it was recorded: the best clap is inside the file.

A balloon burst close to the ear harms hearing: hold it at arm's length and wear ear
protection.`,
		Example: `  afterchord room measure balloon.wav --out our-church.toml
  afterchord room measure claps.wav more-claps.wav --out our-church.toml
  afterchord room measure chord.wav --kind interrupted`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return usagef("give one RECORDING.wav or more; for example: afterchord room measure claps.wav")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return f.run(cmd, args) },
	}
	fl := cmd.Flags()
	fl.StringVar(&f.kind, "kind", "impulse", "impulse (also balloon, clap) or interrupted (also chord, noise)")
	fl.StringVarP(&f.out, "out", "o", "", "room file to write (.toml)")
	fl.BoolVar(&f.json, "json", false, "print the figures as JSON instead of the table")
	f.register(cmd)
	return cmd
}

func (f *roomMeasure) run(cmd *cobra.Command, paths []string) error {
	made, err := f.excitation()
	if err != nil {
		return err
	}
	if err := checkTOML(f.out, "a room"); err != nil {
		return err
	}
	for _, p := range paths {
		if err := f.check(p); err != nil {
			return err
		}
	}
	if err := results.CheckFile(f.out, f.force, paths...); err != nil {
		return err
	}
	var recordings []*impulse.Response
	for _, p := range paths {
		r, err := impulse.Read(p)
		if err != nil {
			return err
		}
		recordings = append(recordings, r)
	}
	if made == measure.CutOff && len(paths) > 1 {
		return usagef("a chord cut off is measured one recording at a time")
	}
	path, resp := paths[0], recordings[0]
	m, takes, err := measured(recordings, made)
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	if !f.json {
		if err := printTakes(cmd.OutOrStdout(), screen(), paths, takes); err != nil {
			return err
		}
	}
	if err := f.print(cmd.OutOrStdout(), path, resp, m, made); err != nil {
		return err
	}
	return f.write(cmd, path, recordings, takes, m)
}

func (f *roomMeasure) excitation() (measure.Excitation, error) {
	switch f.kind {
	case "impulse", "balloon", "clap":
		return measure.Impulse, nil
	case "interrupted", "chord", "noise":
		return measure.CutOff, nil
	}
	return "", usagef("--kind %q: use impulse or interrupted", f.kind)
}

// measured measures what the recordings hold: the takes found in them joined, or a chord cut off.
func measured(recordings []*impulse.Response, made measure.Excitation) (m measure.Result, takes measure.Joined, err error) {
	if made == measure.CutOff {
		m, err = measure.Recording(recordings[0], made)
		return m, takes, err
	}
	takes, err = measure.Takes(recordings)
	return takes.Result, takes, err
}

// write draws the picture and writes the room file, where they are asked for. The sound of the best take is inside the file.
func (f *roomMeasure) write(cmd *cobra.Command, path string, recordings []*impulse.Response, takes measure.Joined, m measure.Result) error {
	if f.out == "" && f.svg == "" && f.png == "" {
		return nil
	}
	name := baseName(path)
	if f.out != "" {
		name = baseName(f.out)
	}
	var r *room.Room
	var err error
	if len(takes.Takes) > 0 {
		r, err = room.FromTakes(takes, recordings, name)
	} else if r, err = room.FromMeasures(m, name); err == nil { // a chord cut off
		r.Cautions = recordings[0].Cautions
	}
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	if err := f.draw(func() (figures.Figure, error) { return figures.MeasuredRoom(r, m) }); err != nil || f.out == "" {
		return err
	}
	if err := writeOwn(f.out, r.WriteTOML); err != nil || f.json {
		return err
	}
	_, err = fmt.Fprintf(cmd.OutOrStdout(), "\n%s\n", f.out)
	return err
}

// print writes the figures to w, as a table or as JSON.
func (f *roomMeasure) print(w io.Writer, path string, resp *impulse.Response, m measure.Result, made measure.Excitation) error {
	seconds := float64(len(resp.L)) / float64(resp.Rate)
	if f.json {
		return indented(w, measuresJSON(filepath.Base(path), resp.Rate, seconds, m))
	}
	o, event := screen(), "the sound begins"
	if made == measure.CutOff {
		event = "it is cut off"
	}
	if _, err := fmt.Fprintln(w, o.Text(fmt.Sprintf("%s: %d Hz, %s s; %s at %s s", filepath.Base(path), resp.Rate, fixed(seconds, 2), event, fixed(m.OnsetS, 3)))); err != nil {
		return err
	}
	if err := writeMeasures(w, o, m); err != nil {
		return err
	}
	return writeFillings(w, o, m)
}

// writeFillings prints the times as they were measured and with people, whom the program computes: the volume is a guess from the times. Nothing where
// the recording gives no sure time.
func writeFillings(w io.Writer, o table.Options, m measure.Result) error {
	if _, ok := m.MidTime(); !ok {
		return nil
	}
	r, err := room.FromMeasures(m, "room")
	if err != nil {
		return err
	}
	head := []string{"T, s, at"}
	for _, hz := range octave.Centres {
		head = append(head, ">"+plain(hz)+" Hz")
	}
	var rows [][]string
	for _, f := range r.Fillings() {
		row := []string{"empty, measured"}
		if f.Computed {
			row[0] = plural.Count(f.People, "person", "people") + ", computed"
		}
		for b, t := range f.RT60 {
			if math.IsNaN(m.Bands[b].RT().Value) {
				row = append(row, "-")
				continue
			}
			row = append(row, fixed(t, 2))
		}
		rows = append(rows, row)
	}
	if _, err := fmt.Fprintln(w); err != nil {
		return err
	}
	if err := table.Grid(w, o, head, rows); err != nil {
		return err
	}
	_, err = fmt.Fprintln(w, o.Text(fmt.Sprintf("The recording is taken to be of the empty room, of about %s m³ (a guess from its time).", plain(r.VolumeM3))))
	return err
}
