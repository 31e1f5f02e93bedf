package main

import (
	"errors"
	"fmt"
	"strconv"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// flagMistake is err, of a flag, as one line that names the flag that may be meant and where help is.
func flagMistake(cmd *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	var invalid *pflag.InvalidValueError
	switch {
	case errors.As(err, &unknown) && unknown.GetSpecifiedShortnames() == "":
		return usagef("%s has no flag --%s%s", cmd.CommandPath(), unknown.GetSpecifiedName(), ask(cmd, "--", nearestFlag(cmd, unknown.GetSpecifiedName())))
	case errors.As(err, &invalid):
		return usagef("--%s %q: %s%s", invalid.GetFlag().Name, invalid.GetValue(), unfit(invalid), ask(cmd, "", ""))
	}
	return usagef("%w%s", err, ask(cmd, "", ""))
}

// unfit says why a flag does not take a value.
func unfit(err *pflag.InvalidValueError) string {
	var number *strconv.NumError
	switch kind := err.GetFlag().Value.Type(); {
	case !errors.As(err, &number):
		return err.Unwrap().Error()
	case kind == "bool":
		return "give true or false"
	case errors.Is(number, strconv.ErrRange):
		return "the number is too large"
	case kind == "float64":
		return "give a number"
	}
	return "give a whole number"
}

// ask ends a message: it asks whether name was meant, where there is one, and says where the help of cmd is.
func ask(cmd *cobra.Command, dashes, name string) string {
	if name == "" {
		return fmt.Sprintf("; see '%s --help'", cmd.CommandPath())
	}
	return fmt.Sprintf("; did you mean %s%s? See '%s --help'", dashes, name, cmd.CommandPath())
}

// nearestFlag is the flag of cmd that name is most like; "" where none is like it. Flags are compared as cobra compares commands.
func nearestFlag(cmd *cobra.Command, name string) string {
	var names cobra.Command
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		if !f.Hidden {
			names.AddCommand(&cobra.Command{Use: f.Name, Run: func(*cobra.Command, []string) {}})
		}
	})
	return nearestCommand(&names, name)
}

// nearestCommand is the command under cmd that name is most like; "" where none is like it.
func nearestCommand(cmd *cobra.Command, name string) string {
	cmd.SuggestionsMinimumDistance = 2
	if like := cmd.SuggestionsFor(name); len(like) > 0 {
		return like[0]
	}
	return ""
}
