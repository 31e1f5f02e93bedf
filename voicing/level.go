package voicing

import (
	"math"
	"sync"

	"afterchord/acoustics/hearing"
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
	o.eachPipe(r, division, keys, func(p Pipe) {
		for _, x := range p.Partials {
			b[octave.Index(x.Hz)] += x.Power
		}
	})
	return b
}

// eachPipe calls f for every pipe that keys of division sound through r, once.
func (o *Organ) eachPipe(r Registration, division int, keys []int, f func(Pipe)) {
	seen := map[PipeID]bool{}
	var ids []PipeID
	for _, k := range keys {
		ids = o.Reach(ids[:0], r, division, k)
		for _, id := range ids {
			if seen[id] {
				continue
			}
			seen[id] = true
			f(o.Pipe(id))
		}
	}
}

// churchDB is how far the sound pressure level of a pipe lies below its power level in the field in which stops are regulated and
// marks compared: the diffuse field of a large church.
const churchDB = 24

// churchEar hears it.
var churchEar = sync.OnceValue(func() *hearing.Model { return hearing.New(hearing.Options{}) })

var churchWork sync.Pool // of its *hearing.Work

// Sound is what pipes give in the diffuse field of a large church without noise, (20 µPa)² per auditory band. Sounds of different pipes add up.
type Sound []float64

// add adds partials of a pipe.
func (s Sound) add(partials []Partial) {
	gain := math.Pow(10, -churchDB/10.)
	for _, p := range partials {
		churchEar().Add(s, p.Hz, p.Power*gain)
	}
}

// Phon is its loudness level; 0 where nothing is heard.
func (s Sound) Phon() float64 {
	work, _ := churchWork.Get().(*hearing.Work)
	if work == nil {
		work = churchEar().NewWork()
	}
	defer churchWork.Put(work)
	return hearing.Phon(churchEar().Loudness(s, work))
}

// Sound is everything that keys of division sound through r with the swell boxes open. How loud it is at a seat, sim/levels says.
func (o *Organ) Sound(r Registration, division int, keys []int) Sound {
	s := make(Sound, churchEar().N())
	o.eachPipe(r, division, keys, func(p Pipe) { s.add(p.Partials) })
	return s
}

// phon is the loudness level of the stop's pipes in the middle of its compass: which of two stops is softer.
func (s *Stop) phon() float64 {
	kind := buildOf(s.Family, s.Construction)
	if kind == nil {
		return 0
	}
	key, sound := (s.LowKey+s.HighKey)/2, make(Sound, churchEar().N())
	for _, rank := range s.Ranks {
		feet := rank.FeetAt(key)
		if feet <= 0 {
			continue
		}
		hz := 440 * math.Exp2(float64(key-69)/12) * 8 / feet
		power := math.Pow(10, (kind.levelDB+s.LevelDB+kind.compass.at(hz))/10) / float64(len(s.Ranks))
		sound.add(kind.tone.partials(hz, s.Brightness, power, 0))
	}
	return sound.Phon()
}

// FullChordKeys is the part of FullChord that division plays.
func (o *Organ) FullChordKeys(division int) []int {
	if o.Divisions[division].Pedal {
		return []int{FullChord.Feet}
	}
	return FullChord.Hands
}
