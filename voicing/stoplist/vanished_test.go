package stoplist

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// What English lists say behind a stop of its bass, its front and its compass (common practice).
func TestEnglishRemarksOnStops(t *testing.T) {
	for _, c := range []struct{ line, want string }{
		{"Wald Flute 8    stopped bass", "Great: Wald Flute 8 (open flute)"},
		{"Dulciana 8, grooved bass", "Great: Dulciana 8 (open string)"},
		{"Claribel Flute 8 (stopped bass)", "Great: Claribel Flute 8 (open flute)"},
		{"Harmonic Flute     4    from tenor C", "Great: Harmonic Flute 4 (open flute), from C3"},
		{"Prestant 8' (70% tin, in façade from low D)", "Great: Prestant 8 (open principal)"},
		{"Vox Angelica, ten. C      8", "from C3"},
		{"Salicional 8 (tenor C)", "from C3"},
		{"Bass Flute 8 (from Bourdon)", "borrowed"},
	} {
		l := Read("Great\nOpen Diapason 8\nPrincipal 4\n" + c.line + "\nFifteenth 2\n\nPedal\nBourdon 16\n")
		said := ""
		for _, x := range l.Lines[3].Readings {
			said += x.Text + "|"
		}
		assert.Contains(t, said, c.want, c.line)
		assert.False(t, strings.HasPrefix(c.want, "Great") && !strings.HasPrefix(said, c.want+"|"), "%s: %s", c.line, said)
		assert.Empty(t, l.Unread(), c.line)
	}
}
