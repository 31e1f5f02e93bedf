package main

import (
	"fmt"
	"math"
	"path/filepath"
	"strings"

	"afterchord/acoustics/room"
	"afterchord/render/results"
	"afterchord/sim/counted"

	"github.com/spf13/cobra"
)

// count makes the room in which a full chord is heard for the counted seconds.
func (f *roomMake) count(cmd *cobra.Command) error {
	if err := f.checkCounted(cmd); err != nil {
		return err
	}
	if err := results.CheckFile(f.out, f.force); err != nil {
		return err
	}
	organ, err := loadOrgan(f.organ)
	if err != nil {
		return err
	}
	e, err := counted.RT60(f.counted, organ)
	if err != nil {
		return usageError{fmt.Errorf("--counted: %w", err)}
	}
	rt := math.Round(10*e.RT60) / 10
	r, err := room.FromRTAndVolume(rt, f.volume)
	if err != nil {
		return usageError{err}
	}
	r.Name, r.Title = "counted", fmt.Sprintf("Church of %s s (counted)", plain(rt))
	if f.out != "" {
		r.Name = strings.TrimSuffix(filepath.Base(f.out), filepath.Ext(f.out))
	}
	if f.title != "" {
		r.Title = f.title
	}
	r.Cautions = []string{fmt.Sprintf("counted by ear, not measured: %s s, but anything from %s to %s s is possible; a few hand claps tell more (room measure)",
		plain(rt), fixed(e.Least, 1), fixed(e.Most, 1))}
	w, o := cmd.OutOrStdout(), screen()
	text := fmt.Sprintf("%s s counted after a full chord of %s: reverberation time %s s, between %s and %s s\n(by half a second of counting, the chord's dynamic, the noise in the church and the ear)",
		plain(f.counted), organ.Title, plain(rt), fixed(e.Least, 1), fixed(e.Most, 1))
	if err := writeLines(w, o, text); err != nil || f.out == "" {
		return err
	}
	if err := writeWhole(f.out, r.WriteTOML); err != nil {
		return err
	}
	_, err = fmt.Fprintf(w, "\n%s\n", f.out)
	return err
}
