package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"afterchord/acoustics/plural"
	"afterchord/render/table"
	"afterchord/voicing"
)

func newOrgan() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "organ",
		Short: "list, show, make and check organs, and see how soon their pipes speak",
		Args:  noSuch,
		RunE:  func(cmd *cobra.Command, args []string) error { return cmd.Help() },
	}
	cmd.AddCommand(newOrganList(), newOrganShow(), newOrganCheck(), newOrganMake(), newOrganSpeech())
	return cmd
}

func newOrganList() *cobra.Command {
	return &cobra.Command{
		Use:     "list",
		Short:   "list the built-in organs",
		Example: "  afterchord organ list",
		Args:    exactly(0, ""),
		RunE: func(cmd *cobra.Command, args []string) error {
			var rows [][]string
			for _, name := range voicing.BuiltIns() {
				o, _ := voicing.BuiltIn(name)
				stops, ranks, pipes := o.Count()
				manuals := 0
				for d := range o.Divisions {
					if !o.Divisions[d].Pedal {
						manuals++
					}
				}
				rows = append(rows, []string{o.Name, o.Title, fmt.Sprint(manuals), fmt.Sprint(stops), fmt.Sprint(ranks), fmt.Sprint(pipes), lowest(o),
					o.Divisions[0].Action.Kind, o.Temperament.Name})
			}
			return table.Grid(cmd.OutOrStdout(), screen(), []string{"name", "title", ">manuals", ">stops", ">ranks", ">pipes", ">lowest stop, ft", "action", "temperament"}, rows)
		},
	}
}

// lowest is the length of the lowest stop, feet.
func lowest(o *voicing.Organ) string {
	feet := 0.0
	for _, d := range o.Divisions {
		for _, s := range d.Stops {
			feet = max(feet, s.Feet)
		}
	}
	return voicing.FeetText(feet)
}

type organShow struct {
	levels bool
	toml   bool
	room   string
	rt     float64
	seat   string
}

func newOrganShow() *cobra.Command {
	var f organShow
	cmd := &cobra.Command{
		Use:   "show ORGAN",
		Short: "print the stop list of an organ, or its levels at a seat",
		Long: `show prints the specification of ORGAN (a built-in organ or an organ file).

--levels prints instead how loud it is to the ear, in phon, at a seat of a room while its
pipes sound steadily, boxes open: each dynamic mark of the plan on each division and on
the whole organ, played as eight keys in the hands (C3 to G5) and one pedal (C2), the step
from mark to mark, and the softest stop. A step of 4 to 10 phon, a third louder to twice as
loud, is what players expect (common practice); others are marked "?".
--toml prints the description itself, to start one's own from.`,
		Example: `  afterchord organ show minster
  afterchord organ show village --levels --room parish-church --seat back
  afterchord organ show village --toml > our-organ.toml`,
		Args: exactly(1, "one ORGAN"),
		RunE: func(cmd *cobra.Command, args []string) error { return f.run(cmd, args[0]) },
	}
	fl := cmd.Flags()
	fl.BoolVar(&f.levels, "levels", false, "levels at a seat instead of the stop list")
	fl.BoolVar(&f.toml, "toml", false, "the description instead of the stop list")
	fl.StringVar(&f.room, "room", "parish-church", "with --levels: built-in room, room file (.toml) or measured response (.wav)")
	fl.Float64Var(&f.rt, "rt", 0, "with --levels: reverberation time in seconds, mean of 500 Hz and 1 kHz (replaces --room)")
	fl.StringVar(&f.seat, "seat", "middle", "with --levels: front, middle, back, console, or metres from the organ")
	return cmd
}

func (f *organShow) run(cmd *cobra.Command, name string) error {
	if f.levels && f.toml {
		return usagef("give --levels or --toml, not both")
	}
	for _, flag := range []string{"room", "rt", "seat"} {
		if cmd.Flags().Changed(flag) && !f.levels {
			return usagef("--%s goes with --levels", flag)
		}
	}
	o, err := loadOrgan(name)
	if err != nil {
		return err
	}
	w := cmd.OutOrStdout()
	switch {
	case f.toml:
		src, ok := voicing.BuiltInSource(name)
		if !ok {
			if src, err = readFile(name, 4<<20); err != nil {
				return err
			}
		}
		_, err := w.Write(src)
		return err
	case f.levels:
		return f.printLevels(cmd, o)
	}
	return writeLines(w, screen(), voicing.Specification(o))
}

// writeLines prints text line by line, fit for the terminal.
func writeLines(w io.Writer, o table.Options, text string) error {
	for _, l := range strings.Split(strings.TrimSuffix(text, "\n"), "\n") {
		if _, err := fmt.Fprintln(w, o.Text(l)); err != nil {
			return err
		}
	}
	return nil
}

func newOrganCheck() *cobra.Command {
	return &cobra.Command{
		Use:   "check FILE",
		Short: "name every mistake in an organ description by its line",
		Long: `check reads an organ description and prints every mistake, "file:line: what is wrong; what
to do", and warns if the dynamic plan is not an even crescendo. Warnings are not
errors; the exit code is 1 if there is an error.`,
		Example: "  afterchord organ check our-organ.toml",
		Args:    exactly(1, "one FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			w, screen := cmd.OutOrStdout(), screen()
			o, err := loadOrgan(args[0])
			var mistakes voicing.Problems
			if errors.As(err, &mistakes) {
				for _, p := range mistakes {
					if _, err := fmt.Fprintln(w, screen.Text(p.Error())); err != nil {
						return err
					}
				}
				return fmt.Errorf("%s: %s", filepath.Base(args[0]), plural.Count(len(mistakes), "mistake"))
			}
			if err != nil {
				return err
			}
			remarks := voicing.PlanRemarks(o)
			for _, r := range remarks {
				if _, err := fmt.Fprintln(w, screen.Text(fmt.Sprintf("%s: remark: %s", filepath.Base(args[0]), r))); err != nil {
					return err
				}
			}
			stops, ranks, pipes := o.Count()
			text := fmt.Sprintf("%s: no mistakes; %s, %s, %s, %s", filepath.Base(args[0]), plural.Count(len(o.Divisions), "division"),
				plural.Count(stops, "stop"), plural.Count(ranks, "rank"), plural.Count(pipes, "pipe"))
			_, err = fmt.Fprintln(w, screen.Text(text))
			return err
		},
	}
}
