package main

import (
	"io"

	"github.com/spf13/cobra"

	"afterchord/render/figures"
)

// picture are the files that a command draws its figure into.
type picture struct{ svg, png string }

func (f *picture) register(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.svg, "svg", "", "draw the figure into this SVG file")
	cmd.Flags().StringVar(&f.png, "png", "", "draw the figure into this PNG file")
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
		if err := writeWhole(out.path, func(w io.Writer) error { _, err := w.Write(data); return err }); err != nil {
			return err
		}
	}
	return nil
}
