package score

import (
	"math"
	"math/rand"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// walked is Seconds by going through the tempo map from the start.
func walked(s *Score, t Tick) float64 {
	sec := 0.0
	for i, x := range s.Tempos {
		to := t
		if i+1 < len(s.Tempos) {
			to = min(t, s.Tempos[i+1].At)
		}
		if to <= x.At && i > 0 {
			break
		}
		sec += float64(to-x.At) / float64(s.TicksPerCrotchet) * 60 / x.Crotchets
	}
	return sec
}

// randomTimes is a score of nothing but tempi, metres and bars.
func randomTimes(r *rand.Rand) *Score {
	s := &Score{TicksPerCrotchet: []Tick{24, 96, 480, 10080}[r.Intn(4)]}
	end := s.TicksPerCrotchet * Tick(20+r.Intn(60))
	s.Tempos = []Tempo{{Crotchets: tempoOf(r)}}
	for at := Tick(r.Intn(500) + 1); at < end && len(s.Tempos) < 60; at += Tick(r.Intn(3000) + 1) {
		s.Tempos = append(s.Tempos, Tempo{At: at, Crotchets: tempoOf(r)})
	}
	for s.End < end {
		m := Metre{At: s.End, Beats: 1 + r.Intn(7), Unit: 1 << r.Intn(4)}
		s.Metres = append(s.Metres, m)
		for range 1 + r.Intn(4) {
			b := Bar{Number: len(s.Bars) + 1, Start: s.End, Length: s.BarTicks(m), Metre: m}
			s.Bars = append(s.Bars, b)
			s.End += b.Length
		}
	}
	return s
}

// tempoOf is a tempo that a MIDI file holds exactly.
func tempoOf(r *rand.Rand) float64 { return 60e6 / float64(60_000+r.Intn(2_000_000)) }

// On random tempo maps: Seconds rises with the tick and is what a walk gives,
// TickAt gives the tick back, every tick lies in one bar.
func TestTimeProperties(t *testing.T) {
	for seed := range int64(40) {
		r := rand.New(rand.NewSource(seed))
		s := randomTimes(r)
		s.Index()
		before, last := -1.0, Tick(-1)
		for tick := Tick(0); tick <= s.End; tick += 1 + Tick(r.Intn(40)) {
			sec := s.Seconds(tick)
			require.Greater(t, sec, before)
			require.InDelta(t, walked(s, tick), sec, 1e-9)
			require.Equal(t, tick, s.TickAt(sec), "seed %d", seed)
			if last >= 0 {
				require.Equal(t, last, s.TickAt((before+s.Seconds(last+1))/2))
			}
			before, last = sec, tick
			in := 0
			for _, b := range s.Bars {
				if tick >= b.Start && tick < b.Start+b.Length {
					in++
					require.Equal(t, b, s.Bars[s.BarAt(tick)])
				}
			}
			if tick < s.End {
				require.Equal(t, 1, in)
			}
			p := s.Position(tick)
			require.GreaterOrEqual(t, p.Beat, 1.0)
		}
	}
}

// Copies and edits do not see each other's times.
func TestIndexFollowsEdits(t *testing.T) {
	s := &Score{TicksPerCrotchet: 100}
	for i := range 50 {
		s.Tempos = append(s.Tempos, Tempo{At: Tick(i * 100), Crotchets: 60})
	}
	s.Index()
	require.Equal(t, 50.0, s.Seconds(5000))
	require.Equal(t, 100.0, s.Scaled(0.5).Seconds(5000))
	c := s.Clone()
	for i := range c.Tempos {
		c.Tempos[i].Crotchets = 120
	}
	require.Equal(t, 25.0, c.Seconds(5000))
	require.Equal(t, 50.0, s.Seconds(5000))
	c.Tempos[49].Crotchets = 60 // seen where it is looked up
	require.Equal(t, 25.5, c.Seconds(5000))
	c.Tempos[3].Crotchets = 60
	c.Index()
	require.Equal(t, 26.0, c.Seconds(5000))
	require.Equal(t, Tick(5000), c.TickAt(26))
	require.Equal(t, Tick(-100), c.TickAt(-0.5))
}

// Several goroutines may ask one score at once (run with -race).
func TestIndexIsShared(t *testing.T) {
	s := randomTimes(rand.New(rand.NewSource(3)))
	for len(s.Tempos) < 20 {
		s.Tempos = append(s.Tempos, Tempo{At: s.Tempos[len(s.Tempos)-1].At + 7, Crotchets: 90})
	}
	s.Index()
	want := walked(s, s.End)
	var done sync.WaitGroup
	for range 4 {
		done.Go(func() {
			for tick := Tick(0); tick < s.End; tick += 97 {
				s.TickAt(s.Seconds(tick))
			}
			if got := s.Seconds(s.End); math.Abs(got-want) > 1e-9 {
				t.Errorf("%g s, a walk gives %g s", got, want)
			}
		})
	}
	done.Wait()
}

func TestExtremeTempi(t *testing.T) {
	s := &Score{TicksPerCrotchet: 480, Tempos: []Tempo{{Crotchets: 1}, {At: 480, Crotchets: 1000}, {At: 960, Crotchets: 1}}}
	require.InDelta(t, 60.06, s.Seconds(960), 1e-12)
	require.Equal(t, Tick(960), s.TickAt(s.Seconds(960)))
	require.Equal(t, 1000.0, s.TempoAt(959))
	require.Equal(t, 1.0, s.TempoAt(960))
}

func BenchmarkSeconds(b *testing.B) {
	s := &Score{TicksPerCrotchet: 480}
	for i := range 10_000 {
		s.Tempos = append(s.Tempos, Tempo{At: Tick(i * 480), Crotchets: 60 + float64(i%30)})
	}
	s.Index()
	b.ReportAllocs()
	for i := range b.N {
		s.Seconds(Tick(i*7919) % 4_800_000)
	}
}
