package main

import (
	"github.com/spf13/cobra"

	"afterchord/acoustics"
)

// earsFlag is --ears of the commands that write sound.
type earsFlag bool

func (e *earsFlag) register(cmd *cobra.Command) {
	cmd.Flags().BoolVar((*bool)(e), "ears", false, "sound for headphones, heard-ears.wav: a plain sphere for a head, no pinnae; start softly")
}

// soundFile is the name of the sound.
func (e earsFlag) soundFile() string {
	if e {
		return "heard-ears.wav"
	}
	return "heard.wav"
}

// check refuses --ears where nothing would come of it, before anything is computed.
func (e earsFlag) check(noAudio, dry bool, rooms ...*acoustics.Room) error {
	if !e {
		return nil
	}
	if noAudio {
		return usagef("--ears is about the sound and --no-audio leaves it out; give one of them")
	}
	for _, r := range rooms {
		if err := r.CheckEars(); err != nil && !dry {
			return usagef("--ears with %s: %w; leave --ears out, or give a room by its sizes or times", r.Name, err)
		}
	}
	return nil
}
