package splitmix_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/splitmix"
)

// The first draws of seed 1234567 of SplitMix64 as Vigna's reference program prints them (from memory; they are the
// test vector that ports of the generator commonly use).
func TestDraws(t *testing.T) {
	x := uint64(1234567)
	for i, want := range []uint64{6457827717110365317, 3203168211198807973, 9817491932198370423} {
		t.Run(fmt.Sprint(want), func(t *testing.T) {
			x += splitmix.Step
			require.Equal(t, want, splitmix.Mix(x), "draw %d", i+1)
		})
	}
}
