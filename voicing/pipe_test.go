package voicing

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// everyPipe calls f with each pipe of every built-in organ.
func everyPipe(t *testing.T, f func(o *Organ, s *Stop, id PipeID, p Pipe)) {
	t.Helper()
	for _, name := range BuiltIns() {
		o, _ := BuiltIn(name)
		for d := range o.Divisions {
			for i := range o.Divisions[d].Stops {
				s := &o.Divisions[d].Stops[i]
				for r := range s.Ranks {
					for k := s.LowKey; k <= s.HighKey; k++ {
						id := PipeID{uint8(d), uint8(i), uint8(r), uint8(k)}
						if s.Ranks[r].FeetAt(k) > 0 {
							f(o, s, id, o.Pipe(id))
						}
					}
				}
			}
		}
	}
}

func TestEveryPipeIsWithinItsBounds(t *testing.T) {
	everyPipe(t, func(o *Organ, s *Stop, id PipeID, p Pipe) {
		want := o.KeyHz(int(id.Key)) * 8 / s.Ranks[id.Rank].FeetAt(int(id.Key)) * math.Exp2(s.DetuneCents/1200)
		require.InDelta(t, 0, 1200*math.Log2(p.Hz/want), 2, "%s key %d: tuned to within 2 cents", s.Name, id.Key)
		require.NotEmpty(t, p.Partials)
		require.LessOrEqual(t, len(p.Partials), MaxPartials)
		top, last := 0.0, 0
		for _, x := range p.Partials {
			top = max(top, x.Power)
			require.Greater(t, x.N, last, "ascending")
			last = x.N
			require.Less(t, x.Hz, 18001.0)
			require.InDelta(t, float64(x.N)*p.Hz, x.Hz, 1e-6)
			require.Greater(t, x.RiseS, 0.0)
		}
		for _, x := range p.Partials {
			require.Greater(t, 10*math.Log10(x.Power/top), -70.01)
		}
		require.Greater(t, p.Speech.DeadS, 0.0)
		require.Greater(t, p.Speech.ReleaseS, 0.0)
		require.Equal(t, p, o.Pipe(id), "the same each time")
	})
}

// Harmonics that mutations sound (common practice): 2 2/3 the third, 1 3/5 the fifth, 1 1/3 the sixth; 5 1/3 the third of
// 16 ft and 10 2/3 the third of 32 ft.
func TestMutationsSoundTheirHarmonic(t *testing.T) {
	for name, times := range map[string]float64{"Nazard 2 2/3": 3, "Tierce 1 3/5": 5, "Larigot 1 1/3": 6, "Quint 5 1/3": 1.5, "Quint 10 2/3": 0.75, "Septime 1 1/7": 7, "Fifteenth 2": 4} {
		t.Run(name, func(t *testing.T) {
			src := `[[division]]
name = "Great"
stops = [{ name = "` + name + `", family = "flute" }]`
			o, err := Parse([]byte(src), "t.toml")
			require.NoError(t, err, name)
			p := o.Pipe(PipeID{Key: 60})
			require.InDelta(t, 0, 1200*math.Log2(p.Hz/(times*o.KeyHz(60))), 1.51, name)
		})
	}
}

// A closed pipe has resonances at odd multiples only, so its even harmonics are weak (Fletcher & Rossing, ch. 16-17).
func TestStoppedPipesHaveWeakEvenHarmonics(t *testing.T) {
	everyPipe(t, func(_ *Organ, s *Stop, id PipeID, p Pipe) {
		if s.Construction != Stopped || len(p.Partials) < 3 || p.Partials[1].N != 2 || p.Partials[2].N != 3 {
			return
		}
		require.Less(t, p.Partials[1].Power, p.Partials[0].Power/100, "%s key %d: the second harmonic", s.Name, id.Key)
		require.Less(t, p.Partials[1].Power, p.Partials[2].Power, "%s key %d: the second below the third", s.Name, id.Key)
	})
}

// Equal incoherent sources add by power: ten times as many are 10 dB louder.
func TestLevelGrowsByTenLogN(t *testing.T) {
	src := "[[division]]\nname = \"Great\"\nstops = [\n"
	for i := range 10 {
		src += "{ name = \"Flute " + string(rune('A'+i)) + " 8\", family = \"flute\" },\n"
	}
	o, err := Parse([]byte(src+"]"), "t.toml")
	require.NoError(t, err)
	one := 0.0
	for n := 1; n <= 10; n++ {
		var r Registration
		r.Stops[0] = 1<<n - 1
		var sum float64
		for k := 48; k <= 72; k++ { // the mean over two octaves evens out the scatter from pipe to pipe
			b := o.Power(r, 0, []int{k})
			for _, x := range b {
				sum += x
			}
		}
		if n == 1 {
			one = sum
		}
		require.InDelta(t, 10*math.Log10(float64(n)), 10*math.Log10(sum/one), 0.35, "%d ranks", n)
	}
}

// Two ranks d cents apart beat at f·(2^(d/1200)-1) a second.
func TestCelesteBeatsAtTheRateWritten(t *testing.T) {
	o, _ := BuiltIn("minster")
	d, _ := o.DivisionByName("Swell")
	sal, cel := -1, -1
	for i, s := range o.Divisions[d].Stops {
		switch s.Name {
		case "Salicional 8":
			sal = i
		case "Voix Celeste 8":
			cel = i
		}
	}
	for k := 48; k <= 84; k++ {
		a := o.Pipe(PipeID{uint8(d), uint8(sal), 0, uint8(k)})
		b := o.Pipe(PipeID{uint8(d), uint8(cel), 0, uint8(k)})
		want := o.KeyHz(k) * (math.Exp2(9.0/1200) - 1)
		require.InDelta(t, want, b.Hz-a.Hz, o.KeyHz(k)*(math.Exp2(3.01/1200)-1), "key %d, within the scatter of both", k)
	}
}

// What the partials of a family do relative to one another (common practice).
func TestFamiliesDifferAsTheyShould(t *testing.T) {
	centroid := func(f Family) float64 {
		o := &Organ{PitchHz: 440, Divisions: []Division{{LowKey: 36, HighKey: 96, Stops: []Stop{{Family: f, Construction: Open,
			Feet: 8, Ranks: []Rank{{Breaks: []Break{{36, 8}}}}, WindPa: 700, LowKey: 36, HighKey: 96}}}}}
		sum, weight := 0.0, 0.0
		for _, x := range o.Pipe(PipeID{Key: 60}).Partials {
			sum += x.Power * float64(x.N)
			weight += x.Power
		}
		return sum / weight
	}
	require.Less(t, centroid(Flute), centroid(Principal))
	require.Less(t, centroid(Principal), centroid(String))
	require.Less(t, centroid(Principal), centroid(Reed))
}

func TestMixtureBreaksBack(t *testing.T) {
	o, _ := BuiltIn("minster")
	d, _ := o.DivisionByName("Great")
	for i := range o.Divisions[d].Stops {
		s := &o.Divisions[d].Stops[i]
		if !s.Mixture() {
			continue
		}
		for r := range s.Ranks {
			for k := s.LowKey + 1; k <= s.HighKey; k++ {
				require.GreaterOrEqual(t, s.Ranks[r].FeetAt(k), s.Ranks[r].FeetAt(k-1), "never up: rank %d key %d", r, k)
			}
			require.Greater(t, s.Ranks[r].FeetAt(96), s.Ranks[r].FeetAt(36))
		}
	}
}
