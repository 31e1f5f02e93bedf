package main

import (
	"fmt"
	"slices"

	"afterchord/acoustics/room"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// stepM is the length of a walked step, m (common practice: a little under 0.8 m for an adult).
const stepM = 0.75

// inWords says whether any question is answered.
func (f *roomMake) inWords(cmd *cobra.Command) bool {
	return slices.ContainsFunc(room.Questions(), cmd.Flags().Changed)
}

// describe puts the surfaces that the words stand for into p, and says how far the time may be off.
func (f *roomMake) describe(p room.Plan) (room.Plan, error) {
	if len(f.surfaces) > 0 {
		return p, usagef("give --surface or a description in words, not both")
	}
	if p.SizeM == ([3]float64{}) {
		return p, usagef("a description in words needs the size: --size 30x12x11, or --size 40x16x14 --steps")
	}
	d := room.Description{SizeM: p.SizeM, People: p.People, Answers: map[string]string{}}
	for q, answer := range f.answers {
		d.Answers[q] = *answer
	}
	described, err := d.Plan()
	if err != nil {
		return p, usageError{fmt.Errorf("--%w", err)}
	}
	p.Surfaces, p.Cautions = described.Surfaces, described.Cautions
	return p, nil
}

// besideCounted are the flags that say more of a church that was counted.
var besideCounted = []string{"counted", "organ", "volume", "title", "out", "force", "terms"}

// checkCounted refuses what does not go with counted seconds.
func (f *roomMake) checkCounted(cmd *cobra.Command) error {
	var other string
	cmd.Flags().Visit(func(x *pflag.Flag) {
		if other == "" && !slices.Contains(besideCounted, x.Name) {
			other = x.Name
		}
	})
	if other != "" {
		return usagef("--counted gives the time by itself; leave out --%s", other)
	}
	return checkTOML(f.out, "a room")
}
