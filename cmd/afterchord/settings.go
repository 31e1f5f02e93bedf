package main

import (
	"fmt"
	"strconv"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"afterchord/sim/finding"
)

func newSettings() *cobra.Command {
	return &cobra.Command{
		Use:   "settings",
		Short: "print the limits that make a number a finding, with their reasons",
		Long: `settings prints every threshold with its default, its unit and its reason, as a file that
--settings reads: keep the lines that you want to change.`,
		Example: `  afterchord settings > mine.toml
  afterchord proof demo:drop --settings mine.toml`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			w := tabwriter.NewWriter(cmd.OutOrStdout(), 0, 0, 1, ' ', 0)
			fmt.Fprintln(w, "[thresholds]")
			for _, t := range finding.Table {
				unit := t.Unit
				if unit == "1" {
					unit = "share"
				}
				fmt.Fprintf(w, "%s\t= %s\t# %s:\t%s\n", t.Name, strconv.FormatFloat(t.Default, 'g', -1, 64), unit, t.Reason)
			}
			return w.Flush()
		},
	}
}
