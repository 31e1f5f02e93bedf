package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"

	"afterchord/render/table"
	"afterchord/render/terms"

	"github.com/spf13/cobra"
)

// spoken are the terms of this run: one program, one reader.
var spoken = terms.British

// termsFlag adds --terms to every command.
func termsFlag(root *cobra.Command) {
	name := root.PersistentFlags().String("terms", string(terms.British), "british (crotchet, bar) or american (quarter note, measure)")
	root.PersistentPreRunE = func(*cobra.Command, []string) (err error) {
		if spoken, err = terms.Parse(*name); err != nil {
			return usagef("--%w", err)
		}
		return nil
	}
}

// screen is what the terminal can show, and in which terms.
func screen() table.Options {
	o := table.For(os.Stdout)
	o.Terms = spoken
	return o
}

// texts are the endings of files that people read.
var texts = map[string]bool{".html": true, ".json": true, ".csv": true, ".svg": true}

// inTerms lets fill write what goes into path in the terms of this run.
func inTerms(path string, fill func(io.Writer) error) func(io.Writer) error {
	if spoken != terms.American || !texts[filepath.Ext(path)] {
		return fill
	}
	return func(w io.Writer) error {
		var b bytes.Buffer
		if err := fill(&b); err != nil {
			return err
		}
		_, err := io.WriteString(w, spoken.Say(b.String()))
		return err
	}
}
