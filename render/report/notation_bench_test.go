package report

import (
	"context"
	"io"
	"testing"

	"afterchord/acoustics/room"
	"afterchord/cmd/bench/piece"
	"afterchord/render/engraving"
	"afterchord/sim/proof"
	"afterchord/sim/score/smf"
	"afterchord/voicing"

	"github.com/stretchr/testify/require"
)

// The report of three minutes of music: preparing the sheet, then the page with it and without.
func BenchmarkPage(b *testing.B) {
	s, err := smf.Read(piece.SMF(piece.Options{Seed: 1, Seconds: 180}), "piece.mid")
	require.NoError(b, err)
	hall, _ := room.BuiltIn("cathedral")
	seat, err := hall.Seat("middle")
	require.NoError(b, err)
	organ, _ := voicing.BuiltIn("minster")
	p, err := proof.Run(context.Background(), proof.Input{Score: s, Room: hall, Seat: seat, Organ: organ})
	require.NoError(b, err)
	sheet, err := engraving.NewSheet(p)
	require.NoError(b, err)
	b.Run("sheet", func(b *testing.B) {
		for b.Loop() {
			if _, err := engraving.NewSheet(p); err != nil {
				b.Fatal(err)
			}
		}
	})
	for name, o := range map[string]Options{"with notation": {Sheet: sheet}, "without": {}} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if err := WriteHTML(io.Discard, p.Document, o); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
