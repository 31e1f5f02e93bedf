package smf

import (
	"fmt"
	"math"

	"afterchord/acoustics/plural"
	"afterchord/sim/score"
)

// NoUpbeat as Options.Upbeat says that the first bar is a full one.
const NoUpbeat = -1

// Bounds on guessing an upbeat (assumptions of ours, set so that no piece of a corpus of organ and piano music whose
// bars are right is moved).
const (
	upbeatBars  = 8   // a piece of fewer bars tells nothing
	upbeatRatio = 1.6 // weight of the downbeat to that of any other place but half a bar on
	fileRatio   = 2   // and to that of the place that the file has for the downbeat
)

// guessUpbeat is the length of the first bar, in ticks, where the music says that the file counts its bars from an upbeat as
// if it were a full bar; 0 where it does not say so. Long notes, basses and chords begin on downbeats (Lerdahl & Jackendoff
// 1983, A Generative Theory of Tonal Music, metrical preference rules 5 and 6; Temperley 2001, The Cognition of Basic
// Musical Structures, ch. 2): the beat of the bar on which most of them begin, by far, is taken for the first.
func (r *reader) guessUpbeat() score.Tick {
	s := r.s
	if len(s.Metres) != 1 || len(s.Bars) < upbeatBars || s.Bars[0].Number == 0 {
		return 0
	}
	bar, beat := s.BarTicks(s.Metres[0]), s.BeatTicks(s.Metres[0])
	n := int(bar / beat)
	if n < 2 || n > 24 {
		return 0
	}
	weight := make([]float64, n)
	lowest := map[score.Tick]int{}
	for _, o := range r.notes {
		if k, ok := lowest[o.note.On]; !ok || o.note.Key < k {
			lowest[o.note.On] = o.note.Key
		}
	}
	first := score.Tick(math.MaxInt64)
	for _, o := range r.notes {
		first = min(first, o.note.On)
		at := o.note.On % bar
		k := int((at + beat/8) / beat)
		if off := at - score.Tick(k)*beat; off > beat/8 || off < -beat/8 {
			continue
		}
		length := float64(min(o.note.Off-o.note.On, bar)) / float64(beat)
		if length < 0.75 {
			continue
		}
		w := length * length
		if lowest[o.note.On] == o.note.Key {
			w *= 2
		}
		weight[k%n] += w
	}
	best, second := 0, 0.0
	for k := range weight {
		if weight[k] > weight[best] {
			best = k
		}
	}
	for k := range weight {
		if k != best && !(n%2 == 0 && k == (best+n/2)%n) { // half a bar on is the next strongest place
			second = max(second, weight[k])
		}
	}
	if best == 0 || weight[best] < upbeatRatio*second || weight[best] < fileRatio*weight[0] || first >= score.Tick(best)*beat || r.louderOn(0, bar, beat) > r.louderOn(best, bar, beat) {
		return 0
	}
	return score.Tick(best) * beat
}

// markStep is how far velocities move from one dynamic mark to the next but for touch.
const markStep = 12

// louderOn is how many changes of loudness begin on beat k of the bars that the file has: dynamics and accents fall on downbeats.
func (r *reader) louderOn(k int, bar, beat score.Tick) int {
	n := 0
	for i := 1; i < len(r.notes); i++ {
		a, b := r.notes[i-1].note, r.notes[i].note
		if d := b.Velocity - a.Velocity; b.On > a.On && max(d, -d) >= markStep && b.On%bar == score.Tick(k)*beat {
			n++
		}
	}
	return n
}

// setUpbeat makes the first bar a pickup of so many ticks.
func (r *reader) setUpbeat(length score.Tick) error {
	s := r.s
	m := s.Metres[0]
	metres := append([]score.Metre{m, {At: length, Beats: m.Beats, Unit: m.Unit}}, s.Metres[1:]...)
	_, err := layBars(s, metres, s.End)
	return err
}

// upbeat settles the pickup that the options ask for or the music tells.
func (r *reader) upbeat(crotchets float64) error {
	s := r.s
	switch {
	case crotchets < 0 || len(s.Metres) == 0:
		return nil
	case crotchets > 0:
		length := score.Tick(math.Round(crotchets * float64(s.TicksPerCrotchet)))
		if full := s.BarTicks(s.Metres[0]); length >= full || length < 1 {
			return fmt.Errorf("an upbeat of %s does not fit a bar of %d/%d (%s)", plural.Number(crotchets, "crotchet"), s.Metres[0].Beats, s.Metres[0].Unit, plural.Number(float64(full)/float64(s.TicksPerCrotchet), "crotchet"))
		}
		return r.setUpbeat(length)
	}
	length := r.guessUpbeat()
	if length == 0 {
		return nil
	}
	r.remark(0, -1, fmt.Sprintf("the music begins with an upbeat of %s (a guess: long notes and basses begin there; the file has a full bar); say how long it is, or that there is none, if that is wrong",
		plural.Number(float64(length)/float64(s.TicksPerCrotchet), "crotchet")))
	return r.setUpbeat(length)
}
