package main

import (
	"fmt"

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
	r, e, err := counted.Room(f.counted, f.volume, organ)
	if err != nil {
		return usageError{fmt.Errorf("--counted: %w", err)}
	}
	if f.out != "" {
		r.Name = baseName(f.out)
	}
	if f.title != "" {
		r.Title = f.title
	}
	w, o := cmd.OutOrStdout(), screen()
	text := fmt.Sprintf("%s s counted after a full chord of %s: reverberation time %s s, between %s and %s s\n(by half a second of counting, the chord's dynamic, the noise in the church and the ear)",
		plain(f.counted), organ.Title, fixed(e.RT60, 1), fixed(e.Least, 1), fixed(e.Most, 1))
	if err := writeLines(w, o, text); err != nil || f.out == "" {
		return err
	}
	if err := writeOwn(f.out, r.WriteTOML); err != nil {
		return err
	}
	_, err = fmt.Fprintf(w, "\n%s\n", f.out)
	return err
}
