package score

import (
	"math"
	"sort"
	"sync/atomic"
)

// shortMap is how many tempos are walked through without an index; up to there
// walking is as fast.
const shortMap = 12

// timeIndex holds the time of every tempo change, so that long tempo maps are
// searched in halves. It may be built by several goroutines at once.
type timeIndex struct{ built atomic.Pointer[builtIndex] }

type builtIndex struct {
	resolution Tick
	tempos     []Tempo   // the score's own slice, to see that it is still the same
	copied     []Tempo   // its values when the index was built
	seconds    []float64 // time of each change
}

// Index makes Seconds, TickAt and TempoAt fast on long tempo maps. Readers and
// Clone call it; call it again after changing values inside Tempos of a score
// that has already been asked for times.
func (s *Score) Index() { s.times = new(timeIndex) }

func (s *Score) index() *builtIndex {
	if s.times == nil || len(s.Tempos) <= shortMap {
		return nil
	}
	x := s.times.built.Load()
	if x == nil || x.resolution != s.TicksPerCrotchet || len(x.tempos) != len(s.Tempos) || &x.tempos[0] != &s.Tempos[0] {
		x = s.buildIndex()
	}
	return x
}

func (s *Score) buildIndex() *builtIndex {
	x := &builtIndex{resolution: s.TicksPerCrotchet, tempos: s.Tempos}
	x.copied = append(x.copied, s.Tempos...)
	x.seconds = make([]float64, len(s.Tempos))
	sec, at, tempo := 0.0, Tick(0), s.Tempos[0].Crotchets
	for i, t := range s.Tempos {
		sec += s.span(t.At-at, tempo)
		at, tempo = t.At, t.Crotchets
		x.seconds[i] = sec
	}
	s.times.built.Store(x)
	return x
}

// changed tells whether the tempo at i was edited after the index was built.
func (x *builtIndex) changed(i int) bool { return x.copied[i] != x.tempos[i] }

// Seconds is the time of a tick from the start of the piece, by the tempo map. A
// tick before 0 counts at the first tempo.
func (s *Score) Seconds(t Tick) float64 {
	sec, at, tempo := 0.0, Tick(0), 120.0
	if len(s.Tempos) > 0 {
		tempo = s.Tempos[0].Crotchets
	}
	if x := s.index(); x != nil {
		i := sort.Search(len(x.copied), func(i int) bool { return x.copied[i].At >= t }) - 1
		if i >= 0 && x.changed(i) {
			x = s.buildIndex()
			i = sort.Search(len(x.copied), func(i int) bool { return x.copied[i].At >= t }) - 1
		}
		if i >= 0 {
			sec, at, tempo = x.seconds[i], x.copied[i].At, x.copied[i].Crotchets
		}
		return sec + s.span(t-at, tempo)
	}
	for _, x := range s.Tempos {
		if x.At >= t {
			break
		}
		sec += s.span(x.At-at, tempo)
		at, tempo = x.At, x.Crotchets
	}
	return sec + s.span(t-at, tempo)
}

// TickAt is the last tick that has begun at sec: the greatest t with Seconds(t)
// <= sec, so that TickAt(Seconds(t)) is t.
func (s *Score) TickAt(sec float64) Tick {
	if math.IsNaN(sec) {
		return 0
	}
	now, at, tempo := 0.0, Tick(0), 120.0
	if len(s.Tempos) > 0 {
		tempo = s.Tempos[0].Crotchets
	}
	if x := s.index(); x != nil {
		i := sort.Search(len(x.seconds), func(i int) bool { return x.seconds[i] > sec }) - 1
		if i >= 0 && x.changed(i) {
			x = s.buildIndex()
			i = sort.Search(len(x.seconds), func(i int) bool { return x.seconds[i] > sec }) - 1
		}
		if i >= 0 {
			now, at, tempo = x.seconds[i], x.copied[i].At, x.copied[i].Crotchets
		}
	} else {
		for _, x := range s.Tempos {
			next := now + s.span(x.At-at, tempo)
			if next > sec {
				break
			}
			now, at, tempo = next, x.At, x.Crotchets
		}
	}
	ticks := math.Floor((sec - now) * tempo / 60 * float64(s.TicksPerCrotchet))
	if math.Abs(ticks) > 1<<52 {
		return Tick(math.Copysign(1<<52, ticks))
	}
	t := at + Tick(ticks)
	// The quotient can miss a tick by rounding; the time of the tick decides.
	for range 4 {
		if s.Seconds(t+1) > sec {
			break
		}
		t++
	}
	for range 4 {
		if s.Seconds(t) <= sec {
			break
		}
		t--
	}
	return t
}

func (s *Score) span(t Tick, crotchets float64) float64 {
	return float64(t) / float64(s.TicksPerCrotchet) * 60 / crotchets
}

// TempoAt is the speed in crotchets a minute that holds at t.
func (s *Score) TempoAt(t Tick) float64 {
	if len(s.Tempos) == 0 {
		return 120
	}
	i := sort.Search(len(s.Tempos), func(i int) bool { return s.Tempos[i].At > t }) - 1
	return s.Tempos[max(i, 0)].Crotchets
}
