package musicxml

import (
	"bytes"
	"fmt"
	"math/rand"
	"strings"
	"testing"

	"afterchord/sim/score"

	"github.com/stretchr/testify/require"
)

// A chord whose notes say different durations moves on by its first (MusicXML 4.0, "chord"); when that goes, the bar keeps
// its length.
func TestChordsOfUnequalNotes(t *testing.T) {
	in := func(duration int, kind string) string {
		return fmt.Sprintf(`<note><chord/><pitch><step>G</step><octave>4</octave></pitch><duration>%d</duration><voice>1</voice><type>%s</type></note>`, duration, kind)
	}
	for _, c := range []struct {
		name, chord string
	}{
		{"longer", noteXML("C4", 1, "<type>quarter</type>") + in(2, "half")},
		{"shorter", noteXML("C4", 2, "<type>half</type>") + in(1, "quarter")},
	} {
		t.Run(c.name, func(t *testing.T) {
			rest := 2
			if c.name == "shorter" {
				rest = 1
			}
			s := mustRead(t, partXML(`<measure number="1">`+attributes(1, 3, 4, "")+c.chord+noteXML("D4", rest, "")+`</measure><measure number="2">`+noteXML("C4", 3, "")+`</measure>`))
			for _, gone := range []int{60, 67} {
				t.Run(fmt.Sprint(gone), func(t *testing.T) {
					c := s.Clone()
					c.Notes = nil
					for _, n := range s.Notes {
						if n.On > 0 || n.Key != gone {
							c.Notes = append(c.Notes, n)
						}
					}
					again := requireWhole(t, written(t, c))
					require.Equal(t, s.Bars, again.Bars)
					require.Equal(t, 62, again.Notes[1].Key)
					require.Equal(t, s.TicksPerCrotchet*score.Tick(3-rest), again.Notes[1].On)
				})
			}
		})
	}
}

// Triplets, quintuplets and a septuplet, changed at random: every bar has its length, and offsets are plain numbers.
func TestBarsKeepTheirLength(t *testing.T) {
	tuplet := func(actual, normal, duration, divisor int) string {
		out := ""
		for i := range actual {
			out += noteXML(string("CDEFGAB"[i%7])+"5", duration/divisor, fmt.Sprintf(`<type>eighth</type><time-modification><actual-notes>%d</actual-notes><normal-notes>%d</normal-notes></time-modification>`, actual, normal))
		}
		return out
	}
	const div = 105 * 2
	bars := ""
	for i := range 12 {
		attr := ""
		if i == 0 {
			attr = attributes(div, 4, 4, "")
		}
		bars += fmt.Sprintf(`<measure number="%d">%s<direction><direction-type><words>a</words></direction-type><offset>7</offset></direction>`, i+1, attr) +
			tuplet(3, 2, div, 3) + tuplet(5, 4, div, 5) + tuplet(7, 8, div, 7) + noteXML("C5", div, "<type>quarter</type>") + `</measure>`
	}
	s := mustRead(t, partXML(bars))
	for seed := range int64(40) {
		r := rand.New(rand.NewSource(seed))
		c := s.Clone()
		c.Notes = c.Notes[:0]
		for _, n := range s.Notes {
			switch r.Intn(8) {
			case 0:
				continue
			case 1:
				n.Off = n.On + (n.Off-n.On)*score.Tick(1+r.Intn(3))/4
			case 2:
				n.On += score.Tick(r.Intn(50))
				n.Off = max(n.Off, n.On+1)
			case 3:
				n.Off += score.Tick(r.Intn(900))
			case 4:
				n.Key -= 12
			}
			n.Off = max(n.Off, n.On+1)
			c.Notes = append(c.Notes, n)
		}
		c.Words = append(c.Words, score.Word{At: score.Tick(r.Intn(int(s.End))), Kind: score.Mark, Text: "p"})
		var b bytes.Buffer
		require.NoError(t, Write(&b, c), "seed %d", seed)
		again := mustRead(t, b.Bytes())
		require.Len(t, again.Bars, len(s.Bars))
		for i := range s.Bars {
			require.Equal(t, float64(s.Bars[i].Length)/float64(s.TicksPerCrotchet), float64(again.Bars[i].Length)/float64(again.TicksPerCrotchet), "seed %d, bar %d", seed, i+1)
		}
		require.NotContains(t, b.String(), ".99999")
	}
}

// What was proved is what is written: the piece lasts as long when it is read again, fermatas and all.
func TestShortenedFermata(t *testing.T) {
	held := `<notations><fermata/></notations>`
	s := mustRead(t, partXML(`<measure number="1">`+attributes(4, 4, 4, "")+`<sound tempo="60"/>`+noteXML("C4", 8, "<type>half</type>")+noteXML("D4", 8, "<type>half</type>"+held)+`</measure>`+
		`<measure number="2">`+noteXML("C4", 4, "<type>quarter</type>"+held)+`<note><chord/><pitch><step>G</step><octave>4</octave></pitch><duration>4</duration><voice>1</voice><type>quarter</type></note>`+noteXML("C4", 12, "<type>half</type><dot/>")+`</measure>`))
	require.Equal(t, 8.0+2+1, s.Seconds(s.End))
	for name, edit := range map[string]func(c *score.Score){
		"shortened":               func(c *score.Score) { c.Notes[1].Off -= s.TicksPerCrotchet / 2 },
		"shortened to two pieces": func(c *score.Score) { c.Notes[1].Off -= 3 * s.TicksPerCrotchet / 8 },
		"gone":                    func(c *score.Score) { c.Notes = append(c.Notes[:1], c.Notes[2:]...) },
		"gone from its chord":     func(c *score.Score) { c.Notes = append(c.Notes[:2], c.Notes[3:]...) },
		"gone and shortened": func(c *score.Score) {
			c.Notes = append(c.Notes[:2], c.Notes[3:]...)
			c.Notes[2].Off -= s.TicksPerCrotchet / 2
		},
	} {
		t.Run(name, func(t *testing.T) {
			c := s.Clone()
			edit(c)
			again := requireWhole(t, written(t, c))
			require.Equal(t, len(c.Notes), len(again.Notes))
			for i := range c.Notes {
				require.InDelta(t, c.Seconds(c.Notes[i].On), again.Seconds(again.Notes[i].On), 1e-9)
				require.InDelta(t, c.Seconds(c.Notes[i].Off), again.Seconds(again.Notes[i].Off), 1e-9)
			}
			require.InDelta(t, c.Seconds(c.End), again.Seconds(again.End), 1e-9)
		})
	}
}

// A change that the file cannot hold without another length of a bar is refused, and says where.
func TestLengthIsChecked(t *testing.T) {
	s := mustRead(t, partXML(`<measure number="1">`+attributes(1, 4, 4, "")+noteXML("C4", 4, "")+`</measure>`))
	w, err := newWriter(s)
	require.NoError(t, err)
	m := w.src.parts[0].measures[0]
	w.edited[m] = true
	require.NoError(t, w.checkBars())
	for _, e := range elements(w.copied[m.el], "note") {
		child(e, "duration").SetText("5")
	}
	err = w.checkBars()
	var fault *FormatError
	require.ErrorAs(t, err, &fault)
	require.Equal(t, "1", fault.Bar)
	require.True(t, strings.HasSuffix(fault.What, "nothing is written"))
}

// A part that gives no divisions has one to the crotchet; where a change needs more, they are said.
func TestDivisionsThatWereNotGiven(t *testing.T) {
	s := mustRead(t, partXML(`<measure number="1"><attributes><time><beats>4</beats><beat-type>4</beat-type></time></attributes>`+noteXML("C4", 2, "")+noteXML("D4", 2, "")+`</measure>`+
		measureXML("2", noteXML("E4", 4, ""))))
	c := s.Clone()
	c.Notes[1].Off -= s.TicksPerCrotchet / 2
	again := requireWhole(t, written(t, c))
	require.Equal(t, []string{"0 C4 0.000-2.000", "0 D4 2.000-3.500", "0 E4 4.000-8.000"}, sounds(again))
}
