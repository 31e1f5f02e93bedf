package voicing

import (
	"math"

	"afterchord/acoustics/octave"
)

// FullChord is the chord by which an organ's levels are stated: eight keys in the hands, C3 to G5, and one pedal.
var FullChord = struct {
	Hands []int
	Feet  int
}{[]int{48, 55, 60, 64, 67, 72, 76, 79}, 36}

// Power is the sound power of everything that keys of division sound through r with the swell boxes open, pW in each octave
// band; every pipe counts once.
func (o *Organ) Power(r Registration, division int, keys []int) octave.Bands {
	var b octave.Bands
	seen := map[PipeID]bool{}
	var ids []PipeID
	for _, k := range keys {
		ids = o.Reach(ids[:0], r, division, k)
		for _, id := range ids {
			if seen[id] {
				continue
			}
			seen[id] = true
			for _, x := range o.Pipe(id).Partials {
				b[octave.Index(x.Hz)] += x.Power
			}
		}
	}
	return b
}

// PowerDB is the sum of b in dB re 1 pW.
func PowerDB(b octave.Bands) float64 {
	sum := 0.0
	for _, x := range b {
		sum += x
	}
	return 10 * math.Log10(sum)
}

// FullChordKeys is the part of FullChord that division plays.
func (o *Organ) FullChordKeys(division int) []int {
	if o.Divisions[division].Pedal {
		return []int{FullChord.Feet}
	}
	return FullChord.Hands
}
