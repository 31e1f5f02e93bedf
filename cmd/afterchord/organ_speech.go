package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"afterchord/render/figures"
	"afterchord/render/table"
	"afterchord/voicing"
)

type organSpeech struct {
	organ    string
	division string
	picture
}

func newOrganSpeech() *cobra.Command {
	var f organSpeech
	cmd := &cobra.Command{
		Use:   "speech [ORGAN]",
		Short: "print and draw how soon each stop speaks along the keyboard",
		Long: `speech prints the time from the pallet's opening until the pipe has come within 1 dB of its
steady level, in ms, for each stop at each C of its compass and at its lowest and highest
key. A mixture counts by its slowest rank. The action's delay, named above each table,
comes before. --svg and --png draw the same key by key.`,
		Example: `  afterchord organ speech village --division Pedal
  afterchord organ speech our-organ.toml --png speech.png`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 || len(args) == 1 && cmd.Flags().Changed("organ") {
				return usagef("afterchord organ speech takes one ORGAN; for example: afterchord organ speech village")
			}
			if len(args) == 1 {
				f.organ = args[0]
			}
			return f.run(cmd)
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&f.organ, "organ", "minster", "built-in organ or organ file (.toml), where no ORGAN is given")
	fl.StringVar(&f.division, "division", "", "one division only: Great, Pedal, II, ...")
	f.register(cmd)
	return cmd
}

func (f *organSpeech) run(cmd *cobra.Command) error {
	if err := f.check(f.organ); err != nil {
		return err
	}
	o, err := loadOrgan(f.organ)
	if err != nil {
		return err
	}
	divisions, err := f.divisions(o)
	if err != nil {
		return err
	}
	w, screen := cmd.OutOrStdout(), screen()
	for i, d := range divisions {
		if i > 0 {
			if _, err := fmt.Fprintln(w); err != nil {
				return err
			}
		}
		div := &o.Divisions[d]
		if err := writeLines(w, screen, fmt.Sprintf("%s, %s: time to speak, ms (the %s action's %.0f ms come before)", o.Title, div.Name, div.Action.Kind, 1000*div.Action.DelayS)); err != nil {
			return err
		}
		head, rows := speechRows(o, d)
		if err := table.Grid(w, screen, head, rows); err != nil {
			return err
		}
	}
	return f.draw(func() (figures.Figure, error) {
		var all figures.Figure
		for _, d := range divisions {
			one, err := figures.Speech(o, d)
			if err != nil {
				return all, err
			}
			all.Panels = append(all.Panels, one.Panels...)
			all.Shares = append(all.Shares, one.Shares...)
			all.Width = one.Width
			all.Height += one.Height
		}
		return all, nil
	})
}

// divisions are the divisions asked for that have pipes.
func (f *organSpeech) divisions(o *voicing.Organ) ([]int, error) {
	if f.division != "" {
		d, ok := o.DivisionByName(f.division)
		if !ok {
			names := ""
			for i := range o.Divisions {
				names += ", " + o.Divisions[i].Name
			}
			return nil, usagef("--division %q: %s has %s", f.division, o.Name, names[2:])
		}
		if len(o.Divisions[d].Stops) == 0 {
			return nil, usagef("--division %s: it has no pipes of its own", o.Divisions[d].Name)
		}
		return []int{d}, nil
	}
	var out []int
	for d := range o.Divisions {
		if len(o.Divisions[d].Stops) > 0 {
			out = append(out, d)
		}
	}
	return out, nil
}

// speechRows is a row for each stop: its time to speak at every C of the keyboard, and the slowest of all.
func speechRows(o *voicing.Organ, division int) (head []string, rows [][]string) {
	div := &o.Divisions[division]
	keys := []int{div.LowKey}
	for k := div.LowKey/12*12 + 12; k < div.HighKey; k += 12 {
		keys = append(keys, k)
	}
	keys = append(keys, div.HighKey)
	head = []string{"stop", "kind"}
	for _, k := range keys {
		head = append(head, ">"+voicing.KeyText(k))
	}
	head = append(head, ">slowest", "at")
	for _, c := range voicing.SpeechCurve(o, division) {
		row := []string{c.Stop.Name, c.Stop.Build()}
		at := map[int]float64{}
		slow := -1
		for i, k := range c.Keys {
			at[k] = c.SpeakS[i]
			if slow < 0 || c.SpeakS[i] > c.SpeakS[slow] {
				slow = i
			}
		}
		for _, k := range keys {
			if s, ok := at[k]; ok {
				row = append(row, fixed(1000*s, 0))
			} else {
				row = append(row, "-")
			}
		}
		if slow >= 0 {
			row = append(row, fixed(1000*c.SpeakS[slow], 0), voicing.KeyText(c.Keys[slow]))
		}
		rows = append(rows, row)
	}
	return head, rows
}
