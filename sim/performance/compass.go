package performance

import (
	"fmt"

	"afterchord/voicing"
)

// A pedal part is taken for one written at the pitch of a 16 ft stop where so many of its notes lie below the lowest key,
// at least one in lowShare of those that do not, and all have a key an octave higher.
const (
	lowLeast = 5
	lowShare = 10
)

// octaves plays what lies below the pedals' lowest key an octave higher, as organists do: the whole of a part that looks as
// if it were written at the pitch of a 16 ft stop, else single notes. It says so in the part's reason.
func octaves(notes []Note, o *voicing.Organ, as []Assignment) {
	below, inside, outside := make([]int, len(as)), make([]int, len(as)), make([]int, len(as))
	for _, n := range notes {
		switch d := &o.Divisions[n.Division]; {
		case !d.Pedal || n.Key+12 > d.HighKey || n.Key+12 < d.LowKey:
			outside[n.Part]++
		case n.Key < d.LowKey:
			below[n.Part]++
		default:
			inside[n.Part]++
		}
	}
	for p := range as {
		if below[p] >= lowLeast && outside[p] == 0 && lowShare*below[p] >= inside[p] {
			as[p].OctaveHigher = true
			as[p].Why += fmt.Sprintf("; an octave higher than written: %d notes lie below the lowest key", below[p])
		}
	}
	for i := range notes {
		n := &notes[i]
		d := &o.Divisions[n.Division]
		if as[n.Part].OctaveHigher || d.Pedal && n.Key < d.LowKey && n.Key+12 >= d.LowKey && n.Key+12 <= d.HighKey {
			n.Key += 12
		}
	}
}
