package casebook

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/acoustics/room"
	"afterchord/sim/demos"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/score/smf"
	"afterchord/voicing"
)

// Each case has a demo piece in which the parish church shows it.
func TestEachCaseHasADemo(t *testing.T) {
	hall, _ := room.BuiltIn("parish-church")
	seat, err := hall.Seat("middle")
	require.NoError(t, err)
	for name, kinds := range map[string][]string{
		"ferry": {finding.KindSoloNotApart}, "brook": {finding.KindThinFigure}, "carillon": {finding.KindHandOctaves},
		"stride": {finding.KindPedalReach, finding.KindDoubledInVain}, "tide": {finding.KindBoxOutOfReach},
		"dawn": {finding.KindSteppedCrescendo}, "harvest": {finding.KindStopScramble}, "forge": {finding.KindOpenArticulation},
	} {
		t.Run(name, func(t *testing.T) {
			data, ok := demos.Piece(name)
			require.True(t, ok, name)
			s, err := smf.Read(data, demos.File(name))
			require.NoError(t, err)
			organ, _ := voicing.BuiltIn("village")
			p, err := proof.Run(context.Background(), proof.Input{Score: s, Room: hall, Seat: seat, Organ: organ})
			require.NoError(t, err)
			for _, k := range kinds {
				assert.True(t, slices.ContainsFunc(p.Document.Findings, func(f finding.Finding) bool { return f.Kind == k }), "%s: %s", name, k)
			}
		})
	}
}
