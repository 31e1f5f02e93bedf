package main

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics"
	"afterchord/cmd/bench/piece"
	"afterchord/sim/proof"
	"afterchord/sim/score"
	"afterchord/voicing"
)

// analysis is the input of a run without sound: a dense piece on the full minster organ.
func analysis(o piece.Options, room string) (proof.Input, error) {
	s, err := score.ReadSMF(piece.SMF(o), "piece.mid")
	if err != nil {
		return proof.Input{}, err
	}
	r, ok := acoustics.BuiltIn(room)
	if !ok {
		return proof.Input{}, fmt.Errorf("no room %s", room)
	}
	organ, _ := voicing.BuiltIn("minster")
	seat, err := r.Seat("middle")
	return proof.Input{Score: s, Room: r, Seat: seat, Organ: organ}, err
}

func BenchmarkFindings(b *testing.B) {
	for _, minutes := range []float64{3, 10} {
		b.Run(fmt.Sprintf("%gmin", minutes), func(b *testing.B) {
			in, err := analysis(piece.Options{Seed: 1, Seconds: 60 * minutes}, "cathedral")
			require.NoError(b, err)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := proof.Run(in); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(60*minutes*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
		})
	}
}
