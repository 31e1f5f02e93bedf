package main

import (
	"github.com/spf13/cobra"

	"afterchord/render/figures"
	"afterchord/render/results"
)

// picture are the files that a command draws its figure into.
type picture struct {
	svg, png string
	force    bool
}

func (f *picture) register(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.svg, "svg", "", "draw the figure into this SVG file")
	cmd.Flags().StringVar(&f.png, "png", "", "draw the figure into this PNG file")
	registerForce(cmd, &f.force)
}

// check refuses files that may not be written, before anything is computed. inputs are the files that the run reads.
func (f *picture) check(inputs ...string) error {
	for _, path := range []string{f.svg, f.png} {
		if err := results.CheckFile(path, f.force, inputs...); err != nil {
			return err
		}
	}
	return nil
}

// draw makes the figure where a file is wanted.
func (f *picture) draw(figure func() (figures.Figure, error)) error {
	if f.svg == "" && f.png == "" {
		return nil
	}
	fig, err := figure()
	if err != nil {
		return err
	}
	for _, out := range []struct {
		path   string
		format func() ([]byte, error)
	}{{f.svg, fig.SVG}, {f.png, fig.PNG}} {
		if out.path == "" {
			continue
		}
		data, err := out.format()
		if err != nil {
			return err
		}
		if err := writeResult(out.path, filled(data)); err != nil {
			return err
		}
	}
	return nil
}
