package main

import (
	"afterchord/acoustics/response"
	"afterchord/acoustics/room"

	"github.com/spf13/cobra"
)

// earsFlag is --ears of the commands that write sound.
type earsFlag bool

func (e *earsFlag) register(cmd *cobra.Command) {
	cmd.Flags().BoolVar((*bool)(e), "ears", false, "sound for headphones, heard-ears.wav: a plain sphere for a head, no pinnae; start softly")
}

// noAudioFlag is --no-audio where it is given, else "".
func noAudioFlag(given bool) string {
	if given {
		return "--no-audio"
	}
	return ""
}

// soundFile is the name of the sound.
func (e earsFlag) soundFile() string {
	if e {
		return "heard-ears.wav"
	}
	return "heard.wav"
}

// check refuses --ears where nothing would come of it, before anything is computed. silent is the flag that
// leaves the sound out, "" for none.
func (e earsFlag) check(silent string, dry bool, rooms ...*room.Room) error {
	if !e {
		return nil
	}
	if silent != "" {
		return usagef("--ears is about the sound and %s leaves it out; give one of them", silent)
	}
	for _, r := range rooms {
		if err := response.CheckEars(r); err != nil && !dry {
			return usagef("--ears with %s: %w; leave --ears out, or give a room by its sizes or times", r.Name, err)
		}
	}
	return nil
}
