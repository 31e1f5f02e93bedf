package main

import (
	"fmt"
	"strings"

	"afterchord/acoustics/room"

	"github.com/spf13/cobra"
)

// stepM is the length of a walked step, m (common practice: a little under 0.8 m for an adult).
const stepM = 0.75

// questions are what a description of a church in words answers, each by a flag.
var questions = []struct {
	name   string
	answer func(*room.Description) *string
}{
	{"walls", func(d *room.Description) *string { return &d.Walls }},
	{"ceiling", func(d *room.Description) *string { return &d.Ceiling }},
	{"floor", func(d *room.Description) *string { return &d.Floor }},
	{"windows", func(d *room.Description) *string { return &d.Windows }},
	{"seats", func(d *room.Description) *string { return &d.Seats }},
	{"carpet", func(d *room.Description) *string { return &d.Carpet }},
}

// inWords says whether any question is answered.
func (f *roomMake) inWords(cmd *cobra.Command) bool {
	for _, q := range questions {
		if cmd.Flags().Changed(q.name) {
			return true
		}
	}
	return false
}

// describe puts the surfaces that the words stand for into p, and says how far the time may be off.
func (f *roomMake) describe(p room.Plan) (room.Plan, error) {
	if len(f.surfaces) > 0 {
		return p, usagef("give --surface or a description in words, not both")
	}
	if p.SizeM == ([3]float64{}) {
		return p, usagef("a description in words needs the size: --size 30x12x11, or --size 40x16x14 --steps")
	}
	d := f.described
	d.SizeM, d.People = p.SizeM, p.People
	described, err := d.Plan()
	if err != nil {
		return p, usageError{fmt.Errorf("--%w", err)}
	}
	p.Surfaces, p.Cautions = described.Surfaces, described.Cautions
	return p, nil
}

// checkCounted refuses what does not go with counted seconds.
func (f *roomMake) checkCounted(cmd *cobra.Command) error {
	for _, other := range []string{"surface", "size", "people", "occupied", "formula", "walls", "ceiling", "floor", "windows", "seats", "carpet", "steps", "temp", "humidity"} {
		if cmd.Flags().Changed(other) {
			return usagef("--counted gives the time by itself; leave out --%s", other)
		}
	}
	if f.out != "" && !strings.HasSuffix(strings.ToLower(f.out), ".toml") {
		return usagef("--out %s: a room file ends in .toml", f.out)
	}
	return nil
}
