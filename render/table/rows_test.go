package table

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
)

func TestRowsFitTheTerminal(t *testing.T) {
	long := strings.Repeat("the last chord is let go early ", 6)
	for _, width := range []int{60, 80, 120} {
		t.Run(fmt.Sprint(width), func(t *testing.T) {
			var b bytes.Buffer
			require.NoError(t, Rows(&b, []string{"where", "remedy", "change", "what it is worth"},
				[][]string{{"bars 9–12", "release-early", long, long}, {"bar 1", "slow", "short", "short"}}, []int{2, 3}, Options{Width: width, Plain: true}))
			for _, l := range strings.Split(b.String(), "\n") {
				require.LessOrEqual(t, utf8.RuneCountInString(l), width, l)
			}
			require.Equal(t, 12, strings.Count(strings.Join(strings.Fields(b.String()), " "), "chord")) // nothing is cut
			require.NotRegexp(t, `[^\x20-\x7e\n]`, b.String())
		})
	}
}

func TestRowsDropEscapeSequences(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Rows(&b, []string{"part"}, [][]string{{"Great\x1b[2J\u202e"}}, nil, Options{}))
	require.NotContains(t, b.String(), "\x1b[2J")
	require.NotContains(t, b.String(), "\u202e")
}
