package voicing

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

// speakMS is how long low C (or key) of a stop of that family, construction and length takes at 75 mm of wind, ms.
func speakMS(f Family, c Construction, feet float64, key int) float64 {
	o := &Organ{PitchHz: 440, Divisions: []Division{{LowKey: 36, HighKey: 96, Stops: []Stop{{Family: f, Construction: c,
		Feet: feet, Ranks: []Rank{{Breaks: []Break{{36, feet}}}}, WindPa: 735, LowKey: 36, HighKey: 96}}}}}
	return 1000 * SpeakS(o.Pipe(PipeID{Key: uint8(key)}), SpokenShare)
}

// Orders and sizes of the time to speak (common practice).
func TestTimeToSpeak(t *testing.T) {
	for _, f := range []Family{Flute, Principal} {
		low := speakMS(f, Open, 16, 36)
		require.True(t, low > 250 && low < 700, "16 ft low C of a %s takes several tenths of a second, got %.0f ms", f, low)
		require.Greater(t, speakMS(f, Open, 32, 36), 1.3*low, "32 ft is slower still")
	}
	treble := speakMS(Flute, Open, 8, 84)
	require.True(t, treble > 10 && treble < 60, "a treble flute takes some tens of ms, got %.0f", treble)
	for key := 36; key <= 96; key += 12 {
		for _, feet := range []float64{16, 8, 4} {
			t.Run(fmt.Sprint(feet), func(t *testing.T) {
				reed, flute, stopped := speakMS(Reed, Open, feet, key), speakMS(Flute, Open, feet, key), speakMS(Flute, Stopped, feet, key)
				principal, str := speakMS(Principal, Open, feet, key), speakMS(String, Open, feet, key)
				for _, flue := range []float64{flute, stopped, principal, str} {
					t.Run(fmt.Sprint(flue), func(t *testing.T) {
						require.Less(t, reed, flue, "reeds sooner than flues, %g ft key %d", feet, key)
					})
				}
				require.Less(t, stopped, str, "stopped flutes sooner than strings, %g ft key %d", feet, key)
				require.Less(t, stopped, flute*1.05, "%g ft key %d", feet, key)
				require.Less(t, principal, str*1.1, "%g ft key %d", feet, key)
			})
		}
	}
}

func TestThirtyTwoFootIsSlowest(t *testing.T) {
	o, _ := BuiltIn("minster")
	slowest, name := 0.0, ""
	for d := range o.Divisions {
		for _, c := range SpeechCurve(o, d) {
			if c.SpeakS[0] > slowest {
				slowest, name = c.SpeakS[0], c.Stop.Name
			}
		}
	}
	require.Equal(t, "Double Open Wood 32", name)
	require.Less(t, slowest, 1.0)
}

func TestSpeakSIsMonotone(t *testing.T) {
	o, _ := BuiltIn("minster")
	p := o.Pipe(PipeID{Division: 3, Key: 36})
	last := p.Speech.DeadS
	for share := 0.05; share < 1; share += 0.05 {
		s := SpeakS(p, share)
		require.Greater(t, s, last)
		last = s
	}
	require.Equal(t, p.Speech.DeadS, SpeakS(p, 0))
}

func TestMoreWindSpeaksSooner(t *testing.T) {
	at := func(pa float64) float64 {
		o := &Organ{PitchHz: 440, Divisions: []Division{{LowKey: 36, HighKey: 96, Stops: []Stop{{Family: Principal, Construction: Open,
			Feet: 8, Ranks: []Rank{{Breaks: []Break{{36, 8}}}}, WindPa: pa, LowKey: 36, HighKey: 96}}}}}
		return SpeakS(o.Pipe(PipeID{Key: 36}), SpokenShare)
	}
	require.Less(t, at(1000), at(600))
}

// The edge tone of a flue lies above the harmonic that it is near, by no more than the ninth resonance of a diapason lies above the ninth harmonic:
// half way to the tenth (Angster, Rucz & Miklós, Acoustics Today 13(1), 2017, p. 15); the stretching grows with the order and with the width, so a
// wide flute's is larger than a principal's and a narrow string's smaller.
func TestEdgeTonesLieAboveTheHarmonics(t *testing.T) {
	stretch := func(f Family) float64 {
		law := buildOf(f, Open).speech
		require.True(t, law.chiffHarmonic <= 9 && law.edgeStretch > 0 && law.edgeStretch < 0.5/9, "%s", f)
		return law.edgeStretch
	}
	require.Greater(t, stretch(Flute), stretch(Principal))
	require.Greater(t, stretch(Principal), stretch(String))
}
