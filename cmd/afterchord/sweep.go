package main

import (
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"afterchord/acoustics/room"
	"afterchord/render/figures"
	"afterchord/render/report"
	"afterchord/render/table"
	"afterchord/sim/sweep"
	"afterchord/voicing"

	"github.com/spf13/cobra"
)

type sweepFlags struct {
	inputFlags
	to     outFlags
	rooms  []string
	tempi  string
	organs []string
	json   bool
}

func newSweep() *cobra.Command {
	var f sweepFlags
	cmd := &cobra.Command{
		Use:   "sweep SCORE",
		Short: "prove a score in many rooms at many tempi and see where it stays clear",
		Long: `sweep proves SCORE in every room at every tempo, on one organ or several, and says
the fastest clean tempo of each room and, passage by passage, the most
reverberant room in which it still works. It writes into --out
  sweep.html  table and heat map
  sweep.json, sweep.csv  the same for programs
  heat.svg    the heat map (heat-ORGAN.svg where there are several)`,
		Example: `  afterchord sweep demo:dotted
  afterchord sweep demo:drop --rooms chapel,cathedral --tempi 0.7..1.2
  afterchord sweep fugue.mid --tempi 60..96/6 --organs village,minster`,
		Args: exactly(1, "one SCORE"),
		RunE: func(cmd *cobra.Command, args []string) error { return f.run(cmd, args[0]) },
	}
	f.register(cmd)
	fl := cmd.Flags()
	for _, name := range []string{"room", "rt", "organ", "tempo"} {
		_ = fl.MarkHidden(name) // the plural ones stand for them
	}
	fl.StringSliceVar(&f.rooms, "rooms", room.BuiltIns(), "rooms: built-in names, room files, measured responses")
	fl.StringVar(&f.tempi, "tempi", "0.7..1.2", `factors of the written tempo: "0.7..1.2", "0.7..1.2/0.05", "0.8,1"; above 10 crotchets a minute`)
	fl.StringSliceVar(&f.organs, "organs", []string{"minster"}, "organs: built-in names or organ files")
	f.to.register(cmd, ".sweep")
	fl.BoolVar(&f.json, "json", false, "print sweep.json instead of the table")
	return cmd
}

func (f *sweepFlags) run(cmd *cobra.Command, path string) error {
	for _, name := range []string{"room", "rt", "organ", "tempo"} {
		if cmd.Flags().Changed(name) {
			return usagef("--%s: sweep takes --rooms, --tempi and --organs", name)
		}
	}
	if len(f.rooms) == 0 || len(f.organs) == 0 {
		return usagef("give at least one room and one organ")
	}
	if f.stops != "" && len(f.organs) > 1 {
		return usagef("--stops names the stops of one organ; give one in --organs")
	}
	f.room, f.organ = f.rooms[0], f.organs[0]
	in, err := f.load(cmd, path)
	if err != nil {
		return err
	}
	o := sweep.Options{Input: in, Seat: f.seat}
	if o.Tempi, err = sweep.ParseTempi(f.tempi, in.Score.TempoAt(0)); err != nil {
		return usageError{err}
	}
	for _, name := range f.rooms {
		r, err := loadRoom(strings.TrimSpace(name))
		if err != nil {
			return err
		}
		o.Rooms = append(o.Rooms, r)
	}
	for _, name := range f.organs {
		g, err := loadOrgan(strings.TrimSpace(name))
		if err != nil {
			return err
		}
		o.Organs = append(o.Organs, g)
	}
	out, err := f.to.open(cmd, []string{path}, slices.Concat(f.files(path), f.rooms, f.organs), sweepNames(o.Organs))
	if err != nil {
		return err
	}
	defer out.Discard()
	bar := newProgress("sweeping")
	r, err := sweep.Run(cmd.Context(), o, bar.set)
	bar.done()
	if err != nil {
		return err
	}
	if err := writeSweep(r, out.Dir()); err != nil {
		return err
	}
	if err := out.Place(); err != nil {
		return err
	}
	if f.json {
		return indented(cmd.OutOrStdout(), r)
	}
	if err := printSweep(cmd.OutOrStdout(), r); err != nil {
		return err
	}
	fmt.Fprintf(cmd.OutOrStdout(), "\n%s\n", filepath.Join(f.to.out, "sweep.html"))
	return nil
}

// heatNames are the files of the heat maps, one for each organ.
func heatNames(organs []string) []string {
	if len(organs) == 1 {
		return []string{"heat.svg"}
	}
	names := make([]string, len(organs))
	for i, organ := range organs {
		names[i] = fmt.Sprintf("heat-%s.svg", filepath.Base(organ))
	}
	return names
}

// sweepNames are the files that a sweep over organs writes.
func sweepNames(organs []*voicing.Organ) []string {
	names := make([]string, len(organs))
	for i, o := range organs {
		names[i] = o.Name
	}
	return append(heatNames(names), "sweep.json", "sweep.csv", "sweep.html")
}

func writeSweep(r *sweep.Result, out string) error {
	heat := heatNames(r.Organs)
	for i := range r.Organs {
		fig, err := figures.Swept(r, i)
		if err != nil {
			return err
		}
		svg, err := fig.SVG()
		if err != nil {
			return err
		}
		if err := writeResult(filepath.Join(out, heat[i]), filled(svg)); err != nil {
			return err
		}
	}
	for _, x := range []struct {
		name string
		fill func(io.Writer) error
	}{
		{"sweep.json", func(w io.Writer) error { return indented(w, r) }},
		{"sweep.csv", r.WriteCSV},
		{"sweep.html", func(w io.Writer) error { return report.WriteSweep(w, r) }},
	} {
		if err := writeResult(filepath.Join(out, x.name), x.fill); err != nil {
			return err
		}
	}
	return nil
}

// indented writes any value as JSON for people and programs.
func indented(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

// stop says what keeps the next tempo from being clean.
func stop(s *sweep.Stop) string {
	if s == nil {
		return "nothing"
	}
	return strings.ReplaceAll(s.Kind, "-", " ") + ", " + s.Where
}

func printSweep(w io.Writer, r *sweep.Result) error {
	o := screen()
	tempo := func(v float64) string {
		if v == 0 {
			return "none"
		}
		return fmt.Sprintf("%.0f", v)
	}
	for organ, name := range r.Organs {
		fmt.Fprintf(w, "%s on %s: places lost/weakened by room and tempo (%s)\n\n", r.Score, name, spoken.Say("crotchets a minute"))
		head := []string{"room", "RT s"}
		var rows [][]string
		for i, hall := range r.Rooms {
			row := []string{hall.Name, fmt.Sprintf("%.1f", hall.RTS)}
			for t := range r.Tempi {
				c := &r.Cells[(organ*len(r.Rooms)+i)*len(r.Tempi)+t]
				if i == 0 {
					head = append(head, tempo(c.Crotchets))
				}
				text := fmt.Sprintf("%d/%d", c.Findings.Fails, c.Findings.Warnings)
				if c.Clean {
					text = "clean"
				}
				row = append(row, text)
			}
			f := r.Fastest[organ*len(r.Rooms)+i]
			rows = append(rows, append(row, tempo(f.Survives), tempo(f.Clean), stop(f.Next)))
		}
		if err := table.Rows(w, append(head, "nothing lost to", "clean to", "then stopped by"), rows, []int{len(head) + 2}, o); err != nil {
			return err
		}
		fmt.Fprintln(w)
		head, rows = []string{"bars"}, nil
		for _, hall := range r.Rooms {
			head = append(head, hall.Name)
		}
		for _, l := range r.Passages {
			if l.Organ != name {
				continue
			}
			bars := fmt.Sprintf("%d-%d", l.FromBar, l.ToBar)
			if l.FromBar == l.ToBar {
				bars = fmt.Sprint(l.FromBar)
			}
			row := []string{bars}
			for _, v := range l.Fastest {
				row = append(row, tempo(v))
			}
			most := "none"
			if l.MostReverberant != "" {
				most = l.MostReverberant
			}
			rows = append(rows, append(row, most))
		}
		fmt.Fprintln(w, "passage by passage: the fastest tempo at which nothing is lost")
		if err := table.Rows(w, append(head, "stands"), rows, nil, o); err != nil {
			return err
		}
	}
	return nil
}
