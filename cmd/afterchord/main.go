// Command afterchord proves a score for organ in a room: what reaches the listener, and by
// bar and beat what the building and the pipes will do to it.
package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"github.com/spf13/cobra"

	"afterchord/sim/performance"
	"afterchord/sim/proof"
)

// Exit codes.
const (
	exitFailure = 1
	exitUsage   = 2
)

// usageError is a mistake in how the command was called.
type usageError struct{ error }

func usagef(format string, a ...any) error { return usageError{fmt.Errorf(format, a...)} }

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	root := newRoot()
	err := root.ExecuteContext(ctx)
	if err == nil {
		return
	}
	if errors.Is(err, context.Canceled) {
		err = errors.New("interrupted before it was done")
	}
	fmt.Fprintln(os.Stderr, "afterchord:", err)
	var usage usageError
	var assign performance.AssignError
	if errors.As(err, &usage) || errors.As(err, &assign) {
		os.Exit(exitUsage)
	}
	os.Exit(exitFailure)
}

func newRoot() *cobra.Command {
	root := &cobra.Command{
		Use:   "afterchord",
		Short: "hear and prove at the writing desk what a church does to organ music",
		Long: `afterchord takes a score and a room and gives back the sound as it reaches a
listener, and a report that says by bar and beat what the building and the
pipes will do to it, with the numbers behind it.`,
		Example: `  afterchord proof demo:drop --room cathedral
  afterchord proof prelude.mid --rt 3.5 --organ village --seat back`,
		Version:       proof.Version,
		SilenceUsage:  true,
		SilenceErrors: true,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usagef("there is no command %q; see 'afterchord --help'", args[0])
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return cmd.Help() },
	}
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usageError{err} })
	root.CompletionOptions.HiddenDefaultCmd = true
	root.AddCommand(newProof(), newDesk())
	root.AddCommand(newRoom(), newOrgan())
	root.AddCommand(newMend(), newSweep(), newCompare(), newSettings())
	return root
}

// exactly is cobra.ExactArgs as a usage error of one line that says what is wanted.
func exactly(n int, what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) != n {
			example, _, _ := strings.Cut(strings.TrimSpace(cmd.Example), "\n")
			return usagef("%s wants %s; for example: %s", cmd.CommandPath(), what, example)
		}
		return nil
	}
}
