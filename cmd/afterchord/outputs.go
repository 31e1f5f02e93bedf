package main

import (
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"afterchord/acoustics/atomicfile"
	"afterchord/acoustics/room"
	"afterchord/render/results"
)

// outFlags say where the results of a command go.
type outFlags struct {
	out   string
	force bool
}

// register adds the flags; ending is that of the folder when none is named.
func (f *outFlags) register(cmd *cobra.Command, ending string) {
	cmd.Flags().StringVarP(&f.out, "out", "o", "", "folder for the results (default: the score's name + "+ending+")")
	registerForce(cmd, &f.force)
}

// registerForce adds --force.
func registerForce(cmd *cobra.Command, force *bool) {
	cmd.Flags().BoolVar(force, "force", false, "replace files that this program did not write, or that were changed since")
}

// open begins the results of a command on scores, in --out or a folder named after the first score. names are
// the files that it may write.
func (f *outFlags) open(cmd *cobra.Command, scores, inputs, names []string) (*results.Folder, error) {
	dir := f.out
	if dir == "" {
		dir = baseName(scores[0]) + "." + cmd.Name()
	}
	f.out = dir
	for _, in := range slices.Clone(inputs) {
		if strings.EqualFold(filepath.Ext(in), ".toml") {
			inputs = append(inputs, room.Recording(in))
		}
	}
	var source []string
	for _, s := range scores {
		source = append(source, identity(s))
	}
	return results.Open(results.Run{Dir: dir, Command: cmd.Name(), Source: strings.Join(source, "\n"), Default: !cmd.Flags().Changed("out"),
		Names: names, Inputs: inputs, Force: f.force})
}

// identity is what a score is known by whatever folder the program runs in.
func identity(path string) string {
	if strings.HasPrefix(path, "demo:") || path == stdin {
		return path
	}
	if p, err := filepath.Abs(path); err == nil {
		path = p
	}
	if p, err := filepath.EvalSymlinks(path); err == nil {
		path = p
	}
	return path
}

// baseName is a score's name without folder and ending.
func baseName(path string) string {
	if path == stdin {
		return "stdin"
	}
	name := strings.TrimPrefix(path, "demo:")
	return strings.TrimSuffix(filepath.Base(name), filepath.Ext(name))
}

// checkTOML refuses an --out, where there is one, that would not be known again as what it describes: "a room", "an organ".
func checkTOML(out, what string) error {
	if out != "" && !strings.EqualFold(filepath.Ext(out), ".toml") {
		return usagef("--out %s: %s file ends in .toml", out, what)
	}
	return nil
}

// within are names in a folder below the results.
func within(folder string, names ...string) []string {
	out := make([]string, len(names))
	for i, n := range names {
		out[i] = folder + "/" + n
	}
	return out
}

// writeResult writes what was computed from the user's files, beside its place and renamed, so that it is there whole or not at all.
func writeResult(path string, fill func(io.Writer) error) error {
	return writeWhole(path, fill, atomicfile.Recomputable)
}

// writeOwn writes a room or an organ that the user described, as writeResult does, and waits until the disk has it.
func writeOwn(path string, fill func(io.Writer) error) error { return writeWhole(path, fill) }

func writeWhole(path string, fill func(io.Writer) error, options ...atomicfile.Option) error {
	if err := atomicfile.Write(path, inTerms(path, fill), options...); err != nil {
		return plainError(path, err)
	}
	return nil
}

// filled is what writes data.
func filled(data []byte) func(io.Writer) error {
	return func(w io.Writer) error { _, err := w.Write(data); return err }
}
