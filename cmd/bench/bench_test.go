package main

import (
	"context"
	"fmt"
	"testing"

	"afterchord/cmd/bench/piece"
	"afterchord/sim/proof"

	"github.com/stretchr/testify/require"
)

func BenchmarkFindings(b *testing.B) {
	for _, minutes := range []float64{3, 10} {
		b.Run(fmt.Sprintf("%gmin", minutes), func(b *testing.B) {
			in, err := analysis(piece.Options{Seed: 1, Seconds: 60 * minutes}, "cathedral")
			require.NoError(b, err)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := proof.Run(context.Background(), in); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(60*minutes*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
		})
	}
}

func BenchmarkManyVoices(b *testing.B) {
	in, err := analysis(piece.Options{Seed: 1, Seconds: 300, Voices: 32}, hall)
	require.NoError(b, err)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := proof.Run(context.Background(), in); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(300*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
}
