package musicxml

import (
	"fmt"
	"strings"
	"testing"

	"afterchord/sim/score"

	"github.com/stretchr/testify/require"
)

// partXML makes a whole score of one part from its measures.
func partXML(measures string) []byte {
	return []byte(`<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd">
<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Organ</part-name></score-part></part-list>
<part id="P1">` + measures + `</part></score-partwise>`)
}

// bar4 is a bar of 4/4 with a semibreve of the given pitch.
func bar4(number int, step string, more ...string) string {
	attr := ""
	if number == 1 {
		attr = `<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>`
	}
	left, right := "", ""
	for _, m := range more {
		if strings.HasPrefix(m, "<") && strings.Contains(m, `location="left"`) || strings.Contains(m, "segno=") || strings.Contains(m, " coda=") {
			left += m
		} else {
			right += m
		}
	}
	return fmt.Sprintf(`<measure number="%d">%s%s<note><pitch><step>%s</step><octave>4</octave></pitch><duration>4</duration><voice>1</voice><type>whole</type></note>%s</measure>`, number, attr, left, step, right)
}

func mustRead(t *testing.T, data []byte) *score.Score {
	t.Helper()
	s, err := Read(data, "piece.musicxml")
	require.NoError(t, err)
	return s
}

// order is the bars in playing order with their passes.
func order(s *score.Score) string {
	var out []string
	for _, b := range s.Bars {
		out = append(out, fmt.Sprint(b.Number))
	}
	return strings.Join(out, " ")
}

func TestPlayingOrder(t *testing.T) {
	const (
		forward  = `<barline location="left"><repeat direction="forward"/></barline>`
		backward = `<barline location="right"><repeat direction="backward"/></barline>`
		thrice   = `<barline location="right"><repeat direction="backward" times="3"/></barline>`
		volta1   = `<barline location="left"><ending number="1" type="start"/></barline>`
		volta1x  = `<barline location="right"><ending number="1" type="stop"/><repeat direction="backward"/></barline>`
		volta12  = `<barline location="left"><ending number="1, 2" type="start"/></barline>`
		volta12x = `<barline location="right"><ending number="1, 2" type="stop"/><repeat direction="backward"/></barline>`
		volta2   = `<barline location="left"><ending number="2" type="start"/></barline>`
		volta2x  = `<barline location="right"><ending number="2" type="discontinue"/></barline>`
		volta3   = `<barline location="left"><ending number="3" type="start"/></barline>`
		dacapo   = `<sound dacapo="yes"/>`
		dalsegno = `<sound dalsegno="s"/>`
		segno    = `<sound segno="s"/>`
		tocoda   = `<sound tocoda="c"/>`
		coda     = `<sound coda="c"/>`
		fine     = `<sound fine="yes"/>`
		final    = `<barline location="right"><bar-style>light-heavy</bar-style></barline>`
	)
	words := func(s string) string {
		return `<direction><direction-type><words>` + s + `</words></direction-type></direction>`
	}
	// The rules are those of the pages "repeat", "ending" and "sound" of MusicXML 4.0;
	// that repeats are left out after a da capo is common practice.
	for _, c := range []struct {
		name string
		bars [][]string
		want string
	}{
		{"plain", [][]string{{}, {}, {}}, "1 2 3"},
		{"repeat from the start", [][]string{{}, {backward}, {}}, "1 2 1 2 3"},
		{"repeat from a sign", [][]string{{}, {forward}, {backward}, {}}, "1 2 3 2 3 4"},
		{"one bar", [][]string{{}, {forward, backward}, {}}, "1 2 2 3"},
		{"three times", [][]string{{thrice}, {}}, "1 1 1 2"},
		{"two repeats", [][]string{{backward}, {forward, backward}}, "1 1 2 2"},
		{"second repeat without its sign", [][]string{{backward}, {backward}}, "1 1 2 2"},
		{"voltas", [][]string{{}, {volta1, volta1x}, {volta2, volta2x}, {}}, "1 2 1 3 4"},
		{"voltas 1, 2 and 3", [][]string{{}, {volta12, volta12x}, {volta3}, {}}, "1 2 1 2 1 3 4"},
		{"da capo al fine", [][]string{{}, {fine}, {}, {dacapo}}, "1 2 3 4 1 2"},
		{"da capo leaves repeats out", [][]string{{backward}, {fine}, {dacapo}}, "1 1 2 3 1 2"},
		{"da capo takes the last volta", [][]string{{}, {volta1, volta1x}, {volta2, volta2x}, {fine}, {dacapo}}, "1 2 1 3 4 5 1 3 4"},
		{"dal segno al coda", [][]string{{}, {segno}, {tocoda}, {dalsegno}, {coda}, {}}, "1 2 3 4 2 3 5 6"},
		{"in words", [][]string{{}, {words("Fine")}, {words("D.C. al Fine")}}, "1 2 3 1 2"},
		{"voltas without the second", [][]string{{}, {volta1, volta1x}, {}, {}}, "1 2 1 3 4"},
		{"voltas 1 and 2 without the third", [][]string{{}, {volta12, volta12x}, {}}, "1 2 1 2 1 3"},
		{"a first volta of two bars without the second", [][]string{{}, {volta1}, {volta1x}, {}}, "1 2 3 1 4"},
		{"a second volta that begins a repeat", [][]string{{forward}, {volta1, volta1x}, {volta2, forward}, {volta2x, backward}, {}}, "1 2 1 3 4 3 4 5"},
		{"a second volta of one bar that is repeated by itself", [][]string{{forward}, {volta1, volta1x}, {volta2, forward, `<barline location="right"><ending number="2" type="stop"/><repeat direction="backward"/></barline>`}, {}}, "1 2 1 3 3 4"},
		{"a bracket closed before the repeat", [][]string{{forward}, {volta1, `<barline location="right"><ending number="1" type="stop"/></barline>`}, {backward}, {volta2, volta2x}, {}}, "1 2 3 1 4 5"},
		{"the same without the second volta", [][]string{{forward}, {volta1, `<barline location="right"><ending number="1" type="stop"/></barline>`}, {backward}, {}}, "1 2 3 1 4"},
		{"a first volta without its beginning", [][]string{{forward}, {}, {volta1x}, {volta2, volta2x}, {}}, "1 2 3 1 2 4 5"},
		{"a second volta without a first", [][]string{{forward}, {backward}, {volta2, volta2x}, {}}, "1 2 1 2 3 4"},
		{"voltas without a repeat sign", [][]string{{}, {volta1, `<barline location="right"><ending number="1" type="stop"/></barline>`}, {volta2, volta2x}, {}}, "1 2 1 3 4"},
		{"both voltas repeated", [][]string{{}, {volta1, volta1x}, {volta2, `<barline location="right"><ending number="2" type="stop"/><repeat direction="backward"/></barline>`}, {}}, "1 2 1 3 4"},
		{"volta 1-3 by its text", [][]string{{}, {`<barline location="left"><ending number="" type="start">1.-3.</ending></barline>`, `<barline location="right"><ending number="" type="stop"/><repeat direction="backward"/></barline>`}, {`<barline location="left"><ending number="4" type="start"/></barline>`}, {}}, "1 2 1 2 1 2 1 3 4"},
		{"brackets without ends", [][]string{{}, {volta1, backward}, {volta2}, {}}, "1 2 1 3 4"},
		{"a beginning on the right bar line", [][]string{{`<barline location="right"><repeat direction="forward"/></barline>`}, {}, {backward}, {}}, "1 2 3 2 3 4"},
		{"a beginning on a bar line without a place", [][]string{{`<barline><repeat direction="forward"/></barline>`}, {}, {backward}, {}}, "1 2 3 2 3 4"},
		{"an end on the left bar line", [][]string{{forward}, {}, {`<barline location="left"><repeat direction="backward"/></barline>`}, {}}, "1 2 1 2 3 4"},
		{"repeats within each other", [][]string{{forward}, {forward, backward}, {backward}, {}}, "1 2 2 3 1 2 2 3 4"},
		{"a repeat in each part of a dance, and da capo", [][]string{{forward, backward}, {forward, backward, fine}, {forward, backward}, {dacapo}}, "1 1 2 2 3 3 4 1 2"},
		{"da capo al fine, and more music", [][]string{{}, {fine}, {}, {dacapo}, {}, {}}, "1 2 3 4 1 2 5 6"},
		{"menuet da capo without a fine", [][]string{{words("Menuetto")}, {final}, {words("Trio")}, {words("Menuetto D.C."), final}}, "1 2 3 4 1 2"},
		{"the same without headings", [][]string{{}, {final}, {}, {words("Men. D. C."), final}}, "1 2 3 4 1 2"},
		{"of one movement among others", [][]string{{}, {final}, {words("Menuet")}, {words("Fine"), final}, {words("Trio")}, {words("D.C. al Fine"), final}, {}, {}}, "1 2 3 4 5 6 3 4 7 8"},
		{"to the fine though there is a coda", [][]string{{}, {tocoda}, {fine}, {words("D.C. al Fine")}, {coda}}, "1 2 3 4 1 2 3"},
		{"to the coda though there is a fine", [][]string{{}, {fine}, {tocoda}, {words("D.C. al Coda")}, {coda}}, "1 2 3 4 1 2 3 5"},
		{"in words, dal segno", [][]string{{}, {`<direction><direction-type><segno/></direction-type></direction>`}, {words("To Coda")}, {words("D.S. al Coda")}, {words("Coda")}}, "1 2 3 4 2 3 5"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var xml string
			for i, b := range c.bars {
				xml += bar4(i+1, "C", b...)
			}
			s := mustRead(t, partXML(xml))
			require.Equal(t, c.want, order(s))
			require.Len(t, s.Notes, len(s.Bars))
			seen := map[int]int{}
			for i, b := range s.Bars { // bars lie end to end and passes count up
				require.Equal(t, score.Tick(i)*4*s.TicksPerCrotchet, b.Start)
				seen[b.Number]++
				if c.want != "1 2 3" || c.name != "plain" {
					require.Equal(t, seen[b.Number], s.Notes[i].Pass)
				} else {
					require.Zero(t, s.Notes[i].Pass)
				}
			}
		})
	}
}
