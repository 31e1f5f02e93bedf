package musicxml

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Words for jumps as editions print them (common practice), and words that are none.
func TestJumpWords(t *testing.T) {
	for words, want := range map[string]string{
		"D.C.": "da capo", "D. C.": "da capo", "DC": "da capo", "D.C. al Fine": "da capo to the fine", "DC al Fine": "da capo to the fine", "Da Capo al Fine.": "da capo to the fine",
		"Dacapo": "da capo", "Menuetto D.C.": "da capo", "Men. D. C.": "da capo", "Menuet da capo": "da capo", "Scherzo D. C. e poi la Coda": "da capo to the coda", "D.C. al Coda": "da capo to the coda",
		"Von vorn bis zum Ende": "da capo to the fine", "Vom Anfang bis Fine": "da capo to the fine", "Menuett von vorne": "da capo", "from the beginning to the end": "da capo to the fine",
		"From the top": "da capo", "Reprendre au début": "da capo", "au début jusqu’au mot Fin": "da capo to the fine", "du début": "da capo", "dal principio al fine": "da capo to the fine",
		"D.S.": "dal segno", "D. S. al Fine": "dal segno to the fine", "Dal Segno al Coda": "dal segno to the coda", "from the sign": "dal segno", "vom Zeichen": "dal segno", "au signe": "dal segno",
		"Fine": "fine", "FINE.": "fine", "Fin": "fine", "Ende": "fine", "Schluß": "fine", "(Fine)": "fine",
		"To Coda": "to coda", "al Coda": "to coda", "zur Coda": "to coda", "à la Coda": "to coda", "Coda": "coda", "CODA": "coda",
		"Fine voices": "", "dolce": "", "Codetta": "", "Sw. D.C. closed box for the solo of the choir until the end": "", "Finale": "", "fine e dolce": "", "add D": "", "Sw. box closed from the start": "", "from the beginning softly": "", "Réc. fermé au début": "", "Minuet I D.C.": "da capo", "repeat from the beginning": "da capo", "poi D.S. al Fine": "dal segno to the fine", "Ped. D C": "",
	} {
		t.Run(words, func(t *testing.T) {
			r := &reader{bars: make([]barInfo, 1)}
			r.jumpWords(&measure{}, words)
			b, got := r.bars[0], ""
			switch {
			case b.daCapoWord:
				got = "da capo"
			case b.dalSegnoWord:
				got = "dal segno"
			case b.fineWord:
				got = "fine"
			case b.toCodaWord:
				got = "to coda"
			case b.codaSign:
				got = "coda"
			}
			if b.until != "" {
				got += " to the " + b.until
			}
			require.Equal(t, want, got)
		})
	}
}

// movementsXML is a piece of movements of so many bars each, counted from 1 in each, with extra content by
// "movement.bar".
func movementsXML(extra map[string]string, bars ...int) []byte {
	xml := ""
	for m, n := range bars {
		for b := range n {
			attr := ""
			if b == 0 {
				attr = attributes(1, 4, 4, "")
			}
			xml += fmt.Sprintf(`<measure number="%d">%s%s%s</measure>`, b+1, attr, noteXML("C4", 4, ""), extra[fmt.Sprintf("%d.%d", m+1, b+1)])
		}
	}
	return partXML(xml)
}

// A da capo goes back to its own movement, and the next movement follows its Fine.
func TestDaCapoOfAMovement(t *testing.T) {
	s := mustRead(t, movementsXML(map[string]string{
		"1.2": `<barline location="right"><repeat direction="backward"/></barline>`,
		"2.2": `<direction><direction-type><words>Fine</words></direction-type></direction>`,
		"2.4": `<sound dacapo="yes"/>`,
		"3.2": `<barline location="right"><repeat direction="backward"/></barline>`,
	}, 3, 4, 2))
	require.Equal(t, "1 2 1 2 3 1 2 3 4 1 2 1 2 1 2", order(s))
	require.Empty(t, s.Remarks[1:], "only the tempo is remarked on")
}

// Whatever the signs say, bars that are never played or very often are named.
func TestOrderIsRemarkedOn(t *testing.T) {
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"never", partXML(bar4(1, "C") + bar4(2, "C", `<sound tocoda="c"/>`) + bar4(3, "C", `<sound dacapo="yes"/>`) + bar4(4, "C") + bar4(5, "C", `<sound coda="c"/>`)), ""},
		{"after a coda that is left out", partXML(bar4(1, "C", `<sound fine="yes"/>`) + bar4(2, "C", `<direction><direction-type><words>D.C. al Fine</words></direction-type></direction>`) + bar4(3, "C", `<sound coda="c"/>`) + bar4(4, "C")), "bars 3 to 4 are never played"},
		{"often", partXML(bar4(1, "C", `<barline location="right"><repeat direction="backward" times="5"/></barline>`) + bar4(2, "C")), "bar 1 is played 5 times"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := mustRead(t, c.data)
			found := ""
			for _, r := range s.Remarks {
				if strings.Contains(r.Text, " played") {
					found = r.Text
				}
			}
			if c.want == "" {
				require.Equal(t, "1 2 3 1 2 5", order(s))
				require.Contains(t, found, "bar 4 is never played")
				return
			}
			require.Contains(t, found, c.want)
		})
	}
}

// As printed: every bar once, whatever the signs say.
func TestAsPrinted(t *testing.T) {
	data := partXML(bar4(1, "C") + bar4(2, "D", `<barline location="left"><ending number="1" type="start"/></barline>`, `<barline location="right"><ending number="1" type="stop"/><repeat direction="backward"/></barline>`) + bar4(3, "E", `<barline location="left"><ending number="2" type="start"/></barline>`, `<sound dacapo="yes"/>`))
	require.Equal(t, "1 2 1 3 1 3", order(mustRead(t, data)))
	s, err := ReadWith(data, "x.musicxml", Options{AsPrinted: true})
	require.NoError(t, err)
	require.Equal(t, "1 2 3", order(s))
	require.Zero(t, s.Notes[0].Pass)
	require.Equal(t, squeeze(string(data)), squeeze(written(t, s)))
}

// The signs of three files of the unofficial MusicXML test suite (R. Kainhofer, LilyPond project: 45d and 45e, nested repeats with
// alternatives, and 45f, invalid endings); the suite states no playing order: that is what a player makes of them. Nothing is
// lost in any.
func TestSignsOfTheTestSuite(t *testing.T) {
	left, right := map[string]string{}, map[string]string{}
	for _, n := range []string{"1", "2", "3", "5", "1-3"} {
		left[n] = `<barline location="left"><ending number="` + n + `" type="start"/></barline>`
		right[n] = `<barline location="right"><ending number="` + n + `" type="stop"/></barline>`
		right[n+":"] = `<barline location="right"><ending number="` + n + `" type="stop"/><repeat direction="backward"/></barline>`
	}
	forward, backward := `<barline location="left"><repeat direction="forward"/></barline>`, `<barline location="right"><repeat direction="backward"/></barline>`
	for _, c := range []struct {
		file string
		bars [][]string
		want string
	}{
		{"45d", [][]string{{}, {left["1"], right["1:"]}, {left["2"]}, {}, {right["2"]}, {left["3"], right["3"]}, {}, {}, {}, {left["1"], right["1"]}, {left["5"], right["5:"]}, {}},
			"1 2 1 3 4 5 1 6 7 8 9 10 7 8 9 11 7 8 9 11 7 8 9 11 7 8 9 11 12"},
		{"45e", [][]string{{}, {left["1"], right["1:"]}, {left["2"], right["2"]}, {}, {forward, backward}, {}, {left["1"], right["1:"]}, {forward}, {backward}, {}},
			"1 2 1 3 4 5 5 6 7 6 8 9 8 9 10"},
		{"45f", [][]string{{}, {left["1-3"], right["1-3"]}, {left["2"], right["2"]}, {backward}, {}}, "1 2 3 4 1 2 3 4 5"},
	} {
		t.Run(c.file, func(t *testing.T) {
			xml := ""
			for i, b := range c.bars {
				xml += bar4(i+1, "C", b...)
			}
			require.Equal(t, c.want, order(mustRead(t, partXML(xml))))
		})
	}
}
