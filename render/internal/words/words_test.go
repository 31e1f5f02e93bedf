package words

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/finding"
)

func TestMeasureNamesAndUnits(t *testing.T) {
	for _, c := range []struct {
		key  string
		v    float64
		want string
	}{
		{"drop_db", 18.04, "fall in level 18.0 dB"},
		{"inaudible_s", 1.049, "inaudible for 1.05 s"},
		{"share_lost", 0.666, "share of the note lost 67 %"},
		{"shift_ms", 41.4, "onset moved by 41 ms"},
		{"heard_share", 0.05, "share of the sound heard 5 %"},
		{"foreign_db", -0.04, "old harmony re the new 0.0 dB"},
		{"lacks_db", -3, "level lacking −3.0 dB"},
		{"never_seen_hz", 32.7, "never seen hz 32.70"},
		{"notes_per_s", 6.5, "notes 6.50 a second"},
		{"lowest_key", 36, "lowest key C2"},
		{"max_tempo", 72.4, "fastest tempo that separates 72 crotchets/min"},
		{"notes_lost", 3, "notes lost 3"},
	} {
		t.Run(c.key, func(t *testing.T) {
			require.Equal(t, c.want, Measure(c.key, c.v).String(), c.key)
		})
	}
}

func TestMeasuredIsInOrderAndFinite(t *testing.T) {
	m := map[string]float64{"zz": 1, "aa": 2, "inaudible_s": 1, "drop_db": 18, "rest_needed_s": math.Inf(1)}
	var keys []string
	for _, f := range Measured(finding.Finding{Kind: finding.KindCoveredEntry, Measured: m}) {
		keys = append(keys, f.Key)
	}
	require.Equal(t, []string{"drop_db", "inaudible_s", "aa", "zz"}, keys)
}

func TestPlaces(t *testing.T) {
	require.Equal(t, "bar 9, beat 2½", Place(finding.Finding{Bar: 9, Beat: 2.5}))
	require.Equal(t, "bars 9–12", Place(finding.Finding{Bar: 9, ToBar: 12, Beat: 1}))
	require.Equal(t, "bars 9-12, every crotchet", Place(finding.Finding{Bar: 9, Where: "bars 9-12, every crotchet"}))
	require.Equal(t, "bar 3", Place(finding.Finding{Bar: 3}))
	require.Equal(t, "1:07.5", Clock(67.46))
	require.Equal(t, "1 min 0 s", Length(59.9))
}

func TestBarStep(t *testing.T) {
	for n, want := range map[int]int{1: 1, 20: 1, 48: 5, 100: 5, 300: 20, 1000: 50} {
		t.Run(fmt.Sprint(want), func(t *testing.T) {
			require.Equal(t, want, BarStep(n, 20), n)
		})
	}
}
