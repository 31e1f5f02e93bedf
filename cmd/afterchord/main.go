// Command afterchord proves a score for organ in a room: what reaches the listener, and by
// bar and beat what the building and the pipes will do to it.
package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"

	"github.com/inconshreveable/mousetrap"
	"github.com/spf13/cobra"

	"afterchord/render/results"
	"afterchord/sim/performance"
	"afterchord/sim/proof"
)

// Exit codes.
const (
	exitFailure     = 1
	exitUsage       = 2
	codeInterrupted = 130 // as shells say of a command that SIGINT ended
)

// usageError is a mistake in how the command was called.
type usageError struct{ error }

func usagef(format string, a ...any) error { return usageError{fmt.Errorf(format, a...)} }

func main() {
	ctx, stopped := stopOnSignals(context.Background())
	err := newRoot().ExecuteContext(ctx)
	if err == nil {
		return
	}
	if stopped() {
		exitInterrupted()
	}
	fmt.Fprintln(os.Stderr, "afterchord:", printable(results.Public(err.Error())))
	if mousetrap.StartedByExplorer() { // the window closes with the program
		fmt.Fprintln(os.Stderr, "Press Enter to close this window.")
		_, _ = fmt.Scanln()
	}
	var usage usageError
	var assign performance.AssignError
	if errors.As(err, &usage) || errors.As(err, &assign) {
		os.Exit(exitUsage)
	}
	os.Exit(exitFailure)
}

func newRoot() *cobra.Command {
	cobra.MousetrapHelpText = "" // a double click on Windows is welcome
	root := &cobra.Command{
		Use:   "afterchord",
		Short: "hear, at the writing desk, what a church does to organ music",
		Long: `afterchord takes a score and a room and gives back the sound as it reaches a
listener, and a report that says by bar and beat what the building and the
pipes will do to it, with the numbers behind it.

Without a command, or by a double click, it opens the desk: a page in the browser
on which to drop a score, turn the knobs and listen.`,
		Example: `  afterchord
  afterchord desk prelude.musicxml
  afterchord proof demo:drop --room cathedral
  afterchord proof prelude.mid --rt 3.5 --organ village --seat back`,
		Version:       proof.Version,
		SilenceUsage:  true,
		SilenceErrors: true,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 || len(args) == 1 && !isFile(args[0]) {
				return usagef("there is no command %q%s", args[0], ask(cmd, "", nearestCommand(cmd, args[0])))
			}
			return nil
		},
		// A score that is dropped on the program's icon comes as the one argument.
		RunE: func(cmd *cobra.Command, args []string) error {
			f := deskFlags{port: deskPort, open: true}
			return f.run(cmd, strings.Join(args, ""), false)
		},
	}
	root.SetFlagErrorFunc(flagMistake)
	root.CompletionOptions.HiddenDefaultCmd = true
	termsFlag(root)
	root.AddCommand(newProof(), newDesk())
	root.AddCommand(newRoom(), newOrgan())
	root.AddCommand(newMend(), newSweep(), newCompare(), newSettings(), newLicences())
	return root
}

// exactly is cobra.ExactArgs as a usage error of one line that says what is wanted.
func exactly(n int, what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) != n {
			example, _, _ := strings.Cut(strings.TrimSpace(cmd.Example), "\n")
			if n == 0 {
				return usagef("%s takes no arguments", cmd.CommandPath())
			}
			return usagef("%s takes %s; for example: %s", cmd.CommandPath(), what, example)
		}
		return nil
	}
}

func isFile(path string) bool {
	st, err := os.Stat(path)
	return err == nil && st.Mode().IsRegular()
}
