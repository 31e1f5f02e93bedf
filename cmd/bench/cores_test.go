package main

import (
	"bytes"
	"context"
	"fmt"
	"runtime"
	"testing"

	"afterchord/cmd/bench/piece"
	"afterchord/render/report"
	"afterchord/sim/proof"

	"github.com/stretchr/testify/require"
)

// The same input gives the same bytes on one core and on several, run by run.
func TestSameBytesOnAnyNumberOfCores(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, voices := range []int{1, 4, 9} {
		t.Run(fmt.Sprint(voices), func(t *testing.T) {
			var want []byte
			for _, cores := range []int{1, 2, 2, 5} {
				t.Run(fmt.Sprint(cores), func(t *testing.T) {
					runtime.GOMAXPROCS(cores)
					in, err := analysis(piece.Options{Seed: 5, Seconds: 45, Voices: voices}, hall)
					require.NoError(t, err)
					p, err := proof.Run(context.Background(), in)
					require.NoError(t, err)
					var out bytes.Buffer
					require.NoError(t, report.WriteJSON(&out, p.Document))
					require.NoError(t, report.WriteHTML(&out, p.Document, report.Options{}))
					if want == nil {
						want = out.Bytes()
					}
					require.True(t, bytes.Equal(want, out.Bytes()), "%d voices, %d cores", voices, cores)
				})
			}
		})
	}
}
