package stoplist

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/lazyregexp"
)

// What is not understood is asked about in words that can be written into the text: read again, each of them is understood.
func TestQuestionsCanBeAnswered(t *testing.T) {
	const text = "Great\nOpen Diapason 8\nBlargle\nWobbly Pipe 4\nPrincipal 4\nSwell\nGedackt 8\nOboe 8\nCouplers\nFoo to Bar\nXY/Z\nPedal\nBourdon 16\nGrumbler 16'\n"
	suggested := lazyregexp.New(`"([^"]+)"[^"]*; else leave it$`)
	lines := strings.Split(text, "\n")
	unread := Read(text).Unread()
	require.Len(t, unread, 5)
	for _, l := range unread {
		m := suggested.FindStringSubmatch(l.Readings[0].Ask)
		require.NotNil(t, m, l.Readings[0].Ask)
		lines[l.Number-1] = m[1]
	}
	again := Read(strings.Join(lines, "\n"))
	require.Empty(t, again.Unread())
	stops := 0
	for _, d := range again.Divisions {
		stops += len(d.Stops)
	}
	require.Equal(t, 8, stops)
	require.Contains(t, unread[2].Readings[0].Ask, `no division here is called "Foo" or "Bar" (they are Great, Swell, Pedal)`)
}
