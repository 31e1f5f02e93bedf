package finding

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestClashesInWords(t *testing.T) {
	for tones, want := range map[float64]string{
		0.5: "hardly one of its tones clashes with it", 1.1: "one of its tones clashes with it", 2.5: "two or three of its tones clash with it",
		2.9: "about three of its tones clash with it", 3.2: "about three of its tones clash with it", 10.5: "10 or 11 of its tones clash with it",
	} {
		t.Run(fmt.Sprint(tones), func(t *testing.T) {
			require.Equal(t, want, clashes(tones))
		})
	}
}
