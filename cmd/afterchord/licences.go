package main

import (
	_ "embed"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"afterchord/render/engraving"
)

// licences are the notices of the Go modules in the program (`make licences`).
//
//go:embed licences.txt
var licences string

func newLicences() *cobra.Command {
	return &cobra.Command{
		Use:     "licences",
		Aliases: []string{"licenses"},
		Short:   "print the licences of the libraries in this program",
		Long: `licences prints the notices of the libraries that are compiled into this program, and
of the library that engraves the score where it was built with it.`,
		Example: "  afterchord licences > licences.txt",
		Args:    exactly(0, "no arguments"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return writeLicences(cmd.OutOrStdout())
		},
	}
}

func writeLicences(w io.Writer) error {
	text := strings.TrimSpace(licences)
	if e, ok := engraving.Library(); ok {
		text += "\n\n\nIn the pages: the library that engraves the score\n" + strings.Repeat("-", 72) + "\n\n" + strings.TrimSpace(e.Licences)
	}
	_, err := fmt.Fprintln(w, text)
	return err
}
