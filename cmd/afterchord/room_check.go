package main

import (
	"fmt"
	"path/filepath"

	"afterchord/acoustics/plural"
	"afterchord/acoustics/room"

	"github.com/spf13/cobra"
)

func newRoomCheck() *cobra.Command {
	return &cobra.Command{
		Use:   "check FILE",
		Short: "name every mistake in a room file by its line",
		Long: `check reads a room file and prints every mistake, "file:line: what is wrong"; the exit code
is 1 if there is one. A recording that the file names is read too. What the room's figures have to
be read with (bands that are not given, a single clap) is printed after a "!".`,
		Example: "  afterchord room check our-church.toml",
		Args:    exactly(1, "one FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			w, screen := cmd.OutOrStdout(), screen()
			data, err := readFile(args[0], room.MaxFile)
			if err != nil {
				return err
			}
			faults := room.Check(data, filepath.Base(args[0]))
			for _, f := range faults {
				if _, err := fmt.Fprintln(w, screen.Text(f.Error())); err != nil {
					return err
				}
			}
			if len(faults) > 0 {
				return fmt.Errorf("%s: %s", filepath.Base(args[0]), plural.Count(len(faults), "mistake"))
			}
			r, err := room.Load(args[0])
			if err != nil {
				return err
			}
			_, err = fmt.Fprintln(w, screen.Text(fmt.Sprintf("%s: no mistakes; %s s, %s m³, %s", filepath.Base(args[0]),
				fixed(r.MidRT(), 1), plain(r.VolumeM3), plural.Count(len(r.Seats), "seat"))))
			if err != nil {
				return err
			}
			for _, c := range r.Cautions {
				if _, err := fmt.Fprintln(w, screen.Text("! "+c)); err != nil {
					return err
				}
			}
			return nil
		},
	}
}
