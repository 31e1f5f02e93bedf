package main

import (
	"afterchord/acoustics/response"
	"afterchord/acoustics/room"
	"afterchord/acoustics/wav"

	"github.com/spf13/cobra"
)

// soundFlags are the choices of the commands that write sound.
type soundFlags struct {
	rate   int
	bits   string
	ears   bool
	format wav.Format // what bits says, after check
}

func (f *soundFlags) register(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.BoolVar(&f.ears, "ears", false, "sound for headphones, heard-ears.wav: a plain sphere for a head, no pinnae; start softly")
	fl.IntVar(&f.rate, "rate", 48000, "sample rate, Hz: 44100, 48000 or 96000")
	fl.StringVar(&f.bits, "bits", "24", "sample format: 16, 24 or 32f (float)")
}

// check refuses rates and formats that there are not.
func (f *soundFlags) check() error {
	if f.rate != 44100 && f.rate != 48000 && f.rate != 96000 {
		return usagef("--rate %d: use 44100, 48000 or 96000", f.rate)
	}
	var err error
	if f.format, err = wav.ParseFormat(f.bits); err != nil {
		return usagef("--bits %s: use 16, 24 or 32f", f.bits)
	}
	return nil
}

// noAudioFlag is --no-audio where it is given, else "".
func noAudioFlag(given bool) string {
	if given {
		return "--no-audio"
	}
	return ""
}

// file is the name of the sound.
func (f *soundFlags) file() string {
	if f.ears {
		return "heard-ears.wav"
	}
	return "heard.wav"
}

// checkEars refuses --ears where nothing would come of it, before anything is computed. silent is the flag that
// leaves the sound out, "" for none.
func (f *soundFlags) checkEars(silent string, dry bool, rooms ...*room.Room) error {
	if !f.ears {
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
