package finding

import (
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/performance"
	"afterchord/sim/score"
	"afterchord/voicing"
)

// registration draws named stops and couplers.
func registration(t *testing.T, o *voicing.Organ, names ...string) voicing.Registration {
	t.Helper()
	var r voicing.Registration
	for _, want := range names {
		hit := false
		for d := range o.Divisions {
			for s := range o.Divisions[d].Stops {
				if o.Divisions[d].Name+": "+o.Divisions[d].Stops[s].Name == want {
					r.Stops[d] |= 1 << s
					hit = true
				}
			}
		}
		for i := range o.Couplers {
			if o.Couplers[i].Name == want {
				r.Couplers |= 1 << i
				hit = true
			}
		}
		require.True(t, hit, want)
	}
	return r
}

// A note played on one keyboard adds nothing where that pipe already sounds through a coupler (common practice).
func TestDoubledThroughCoupler(t *testing.T) {
	bass := tune(0, 1, 48, 50, 52, 53)
	s := page(60, line{"Great", bass}, line{"Pedal", bass})
	with := func(names ...string) []Finding {
		c := play(t, "village", s)
		c.Performance.Changes = []performance.Change{{Registration: registration(t, c.Organ, names...)}}
		return DoubledInVain(c)
	}
	got := with("Great: Open Diapason 8", "Pedal: Bourdon 16", "Great to Pedal")
	wellFormed(t, KindDoubledInVain, got)
	require.Len(t, got, 1)
	require.Equal(t, 4, got[0].Count)
	require.Contains(t, got[0].Message, "4 keys of the Great add nothing")
	// without the coupler they are other pipes
	require.Empty(t, words(with("Great: Open Diapason 8", "Pedal: Bourdon 16")))

	// two notes that meet by chance are no doubling
	s = page(60, line{"Great", tune(0, 1, 48, 55, 57, 53)}, line{"Pedal", bass})
	require.Empty(t, words(with("Great: Open Diapason 8", "Pedal: Bourdon 16", "Great to Pedal")))
}

// Two lines on the keys of one manual are one line; where nothing says that the manual is the same, they may be meant for two.
func TestSameKeysOnOneManual(t *testing.T) {
	keys := tune(0, 1, 60, 62, 64, 65, 67, 69, 71, 72, 71, 69)
	find := func(a, b string) Finding {
		c := play(t, "village", page(60, line{a, keys}, line{b, keys}))
		for _, n := range c.Performance.Notes {
			require.Equal(t, c.Performance.Notes[0].Division, n.Division)
		}
		got := DoubledInVain(c)
		require.Len(t, got, 1, words(got))
		require.Contains(t, got[0].Message, "10 keys of "+b+" add nothing")
		return got[0]
	}
	require.Equal(t, Warning, find("Great upper", "Great lower").Severity)
	require.Equal(t, Notice, find("Right hand", "Left hand").Severity)
	require.Equal(t, Notice, find("Track 1", "Track 2").Severity)
}

// Lower octaves in the hand add little where a 16 ft is drawn, upper ones where 4 and 2 ft are (common practice).
func TestOctaveInVain(t *testing.T) {
	pianist := []score.Note{}
	for i, low := range []int{48, 50, 52, 53, 55} {
		pianist = append(pianist, chordOf(float64(i), 0.9, low, low+12, low+16, low+19)...)
	}
	free := []score.Note{}
	for i, ks := range [][]int{{48, 60, 64, 67}, {50, 59, 65, 67}, {52, 60, 64, 67}, {53, 57, 60, 69}} {
		free = append(free, chordOf(float64(i), 0.9, ks...)...)
	}
	find := func(notes []score.Note, names ...string) []Finding {
		c := play(t, "minster", page(60, line{"Great", notes}))
		c.Performance.Changes = []performance.Change{{Registration: registration(t, c.Organ, names...)}}
		return DoubledInVain(hear(t, c, "parish-church"))
	}
	full := []string{"Great: Double Diapason 16", "Great: First Open Diapason 8", "Great: Second Open Diapason 8", "Great: Octave 4", "Great: Fifteenth 2", "Great: Mixture IV"}
	got := find(pianist, full...)
	wellFormed(t, KindDoubledInVain, got)
	require.Len(t, got, 1, words(got))
	require.Less(t, got[0].Measured["loudness_added"], 0.072)
	require.Less(t, got[0].Measured["heard_share"], got[0].Measured["heard_share_others"])
	// one 8 ft stop alone sounds no octave
	require.Empty(t, words(find(pianist, "Great: Stopped Diapason 8")))
	// voices that move on their own are not octaves
	require.Empty(t, words(find(free, full...)))
}

func TestPartWrittenOutAsSixteenFoot(t *testing.T) {
	low, eight := tune(0, 1, 28, 30, 31, 33, 35, 36, 38, 40, 41), tune(0, 1, 40, 42, 43, 45, 47, 48, 50, 52, 53)
	c := play(t, "village", page(60, line{"Great", tune(0, 9, 72)}, line{"Track 2", eight}, line{"Pedal", low}))
	got := DoubledInVain(c)
	require.Len(t, got, 1)
	require.Contains(t, got[0].Message, "a 16 ft stop does that by itself")
	// the part named Pedal is played all the same, and what lies below its keys is said
	require.Len(t, OffCompass(c), 1)
	require.Contains(t, OffCompass(c)[0].Message, "an octave higher the whole part fits")
}
