package stoplist

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/longtest"
	"afterchord/voicing"
)

// A heading with words of its own over one column leaves the other columns standing.
func TestHeadingsOverColumnsThatGoOn(t *testing.T) {
	l := Read(`HAUPTWERK (II), C–d³                POSITIV (I), C–d³
Prestant           16'              Bourdon             8'
Bourdon            16'              Principal           8'

RECITATIV (III), g–d³               PEDAL, C–d¹
Cornet         5 fach               Principalbass      16'
Trompete            8'              Subbass            16'
                                    Octavbass           8'
`)
	var got []string
	for _, d := range l.Divisions {
		got = append(got, fmt.Sprintf("%s %d: %d", d.Name, d.Number, len(d.Stops)))
	}
	require.Equal(t, []string{"Positiv 1: 2", "Hauptwerk 2: 2", "Recitativ 3: 2", "Pedal 0: 3"}, got)
	require.NotPanics(t, func() {
		Read("Great Organ, from Viola G      Pedal\nOboe 8   Bourdon 16\nEcho 30 notes, gone:     Solo 29 notes, later:\nFlute 8   Tuba 8\n")
	})
}

// readAll reads a text and makes an organ of it; what it does wrong is a panic.
func readAll(text string) {
	l := Read(text)
	l.Doubts()
	l.Unread()
	if len(l.Divisions) > 0 && len(l.Divisions) <= voicing.MaxDivisions {
		_, _, err := l.Organ("mangled")
		_ = err // a text without an organ in it
	}
}

// mangled is a list as a bad copy leaves it: cut, joined, shuffled, its columns merged, with lines of another.
func mangled(text, other string, rnd *rand.Rand) string {
	lines := strings.Split(text, "\n")
	others := strings.Split(other, "\n")
	for range 1 + rnd.IntN(4) {
		at := rnd.IntN(len(lines))
		switch rnd.IntN(9) {
		case 0: // a piece is lost
			lines = slices.Delete(lines, at, min(len(lines), at+1+rnd.IntN(4)))
		case 1: // line ends are lost
			to := min(len(lines), at+2+rnd.IntN(30))
			lines = slices.Replace(lines, at, to, strings.Join(lines[at:to], " "))
		case 2: // two halves side by side
			half := (len(lines) + 1) / 2
			joined := make([]string, half)
			for i := range joined {
				joined[i] = fmt.Sprintf("%-36s", lines[i])
				if i+half < len(lines) {
					joined[i] += lines[i+half]
				}
			}
			lines = joined
		case 3: // beside another list
			sep := []string{"\t", " | ", "      "}[rnd.IntN(3)]
			for i := range lines {
				if i < len(others) {
					lines[i] += sep + others[i]
				}
			}
		case 4: // a cell a line
			lines = strings.Split(strings.ReplaceAll(strings.ReplaceAll(strings.Join(lines, "\n"), "\t", "\n"), "  ", "\n"), "\n")
		case 5: // half a line, by bytes
			if n := len(lines[at]); n > 0 {
				cut := rnd.IntN(n)
				lines[at] = []string{lines[at][:cut], lines[at][cut:]}[rnd.IntN(2)]
			}
		case 6: // a line of another list
			lines = slices.Insert(lines, at, others[rnd.IntN(len(others))])
		case 7: // two lines change places
			to := rnd.IntN(len(lines))
			lines[at], lines[to] = lines[to], lines[at]
		case 8: // a sign comes between
			sign := []string{"|", "||", ":", "(", ")", ",", ";", "/", "'", "\t", " – ", "=", "*", "1", "II", "C–", "\u200b", "²"}[rnd.IntN(18)]
			cut := rnd.IntN(len(lines[at]) + 1)
			lines[at] = lines[at][:cut] + sign + lines[at][cut:]
		}
		if len(lines) == 0 {
			return ""
		}
	}
	return strings.Join(lines, "\n")
}

// No text makes the reader panic, however it was copied.
func TestMangledListsAreRead(t *testing.T) {
	all := lists(t)
	names := slices.Sorted(maps.Keys(all))
	rnd := rand.New(rand.NewPCG(7, 1832))
	for range longtest.Of(40, 2000) {
		text := mangled(all[names[rnd.IntN(len(names))]], all[names[rnd.IntN(len(names))]], rnd)
		require.NotPanics(t, func() { readAll(text) }, "%q", text)
	}
}

func FuzzRead(f *testing.F) {
	f.Add("Great\nOpen Diapason 8\n| a | b |\nMixture III-IV 2 2/3'\nII/I, Sw to Gt 16-8-4\nC-g3")
	f.Add("A (III), g–d³    PEDAL, C–d¹\nCornet 5 fach, ab c¹     Subbass 16'")
	f.Fuzz(func(_ *testing.T, text string) { readAll(text) })
}
