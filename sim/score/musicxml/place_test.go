package musicxml

import (
	"fmt"
	"strings"
	"testing"

	"afterchord/sim/score"

	"github.com/stretchr/testify/require"
)

// A direction drawn beside its note belongs to the note; its offset counts where the file says so (MusicXML 4.0,
// "offset", attribute sound) and where it is no matter of looks.
func TestOffsets(t *testing.T) {
	mark := func(offset string) string {
		return `<direction><direction-type><dynamics><pp/></dynamics></direction-type>` + offset + `</direction>`
	}
	four := attributes(12, 4, 4, "")
	bar := func(attr, first, second string) []byte {
		notes := first + noteXML("C4", 12, "") + second + noteXML("D4", 12, "") + noteXML("E4", 6, "") + noteXML("F4", 18, "")
		return partXML(`<measure number="1">` + attr + notes + `</measure>`)
	}
	for _, c := range []struct {
		name string
		data []byte
		want float64 // crotchets
	}{
		{"none", bar(four, "", mark("")), 1},
		{"a little late", bar(four, "", mark("<offset>1</offset>")), 1},
		{"a little early", bar(four, "", mark("<offset>-3</offset>")), 1},
		{"a little, and meant", bar(four, "", mark(`<offset sound="yes">1</offset>`)), 1 + 1./12},
		{"to the next beat", bar(four, "", mark("<offset>12</offset>")), 2},
		{"to a beat without a note", bar(four, mark("<offset>36</offset>"), ""), 3},
		{"to a note off the beat", bar(four, mark("<offset>30</offset>"), ""), 2.5},
		{"far, and to nothing", bar(four, mark("<offset>29</offset>"), ""), 2.5},
		{"far, between two notes", bar(four, mark("<offset>20</offset>"), ""), 2},
		{"back to the note before", bar(four, "", mark("<offset>-12</offset>")), 0},
		{"before the bar", bar(four, mark("<offset>-60</offset>"), ""), 0},
		{"in six-eight: to the second beat", partXML(`<measure number="1">` + attributes(12, 6, 8, "") + mark("<offset>18</offset>") + noteXML("C4", 36, "") + `</measure>`), 1.5},
		{"in six-eight: a crotchet is no beat", partXML(`<measure number="1">` + attributes(12, 6, 8, "") + mark("<offset>12</offset>") + noteXML("C4", 36, "") + `</measure>`), 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := mustRead(t, c.data)
			var at []float64
			for _, w := range s.Words {
				if w.Kind == score.Mark {
					at = append(at, float64(w.At)/float64(s.TicksPerCrotchet))
				}
			}
			require.Len(t, at, 1)
			require.InDelta(t, c.want, at[0], 1e-9)
		})
	}
}

// What is put into a file stands where it was put when the file is read again, beat or not.
func TestAddedWordsStayInPlace(t *testing.T) {
	s := mustRead(t, partXML(`<measure number="1">`+attributes(12, 4, 4, "")+noteXML("C4", 48, "")+`</measure>`))
	for _, at := range []score.Tick{s.TicksPerCrotchet / 12, s.TicksPerCrotchet * 5 / 4, 2 * s.TicksPerCrotchet} {
		s.Words = append(s.Words, score.Word{At: at, Kind: score.Mark, Text: "pp"})
	}
	require.Equal(t, s.Words, requireWhole(t, written(t, s)).Words)
}

// A key that one hand hands over to the other is held (the tie is one; MusicXML 4.0, "tie").
func TestTiesAcrossStaves(t *testing.T) {
	on := func(staff int, kind string) string {
		return fmt.Sprintf(`<tie type="%s"/><staff>%d</staff>`, kind, staff)
	}
	s := mustRead(t, partXML(`<measure number="1">`+attributes(1, 4, 4, "<staves>2</staves>")+noteXML("C4", 2, on(1, "start"))+noteXML("C4", 2, on(2, "stop"))+`</measure>`))
	require.Equal(t, []string{"0 C4 0.000-4.000"}, sounds(s))
	c := s.Clone()
	c.Notes[0].Off = 3 * s.TicksPerCrotchet
	require.Equal(t, []string{"0 C4 0.000-3.000"}, sounds(requireWhole(t, written(t, c))))
	// Each staff has its own: a tie is not carried over where the staff itself goes on.
	s = mustRead(t, partXML(`<measure number="1">`+attributes(1, 4, 4, "<staves>2</staves>")+noteXML("C4", 2, on(1, "start"))+noteXML("C4", 2, on(1, "stop"))+
		`<backup><duration>2</duration></backup>`+strings.Replace(noteXML("C4", 2, "<staff>2</staff>"), "<voice>1", "<voice>5", 1)+`</measure>`))
	require.Equal(t, []string{"0 C4 0.000-4.000", "1 C4 2.000-4.000"}, sounds(s))
}

func TestGraceNotesFromTheNoteBefore(t *testing.T) {
	s := mustRead(t, partXML(`<measure number="1">`+attributes(4, 4, 4, "")+noteXML("C4", 8, "")+grace("D4", `steal-time-previous="25"`, "eighth")+noteXML("E4", 8, "")+`</measure>`))
	require.Equal(t, []string{"0 C4 0.000-1.500", "0 D4 1.500-2.000", "0 E4 2.000-4.000"}, sounds(s))
}

// A timewise score is written as a partwise one, and says so.
func TestTimewiseIsWrittenAsPartwise(t *testing.T) {
	doctype := `<!DOCTYPE score-timewise PUBLIC "-//Recordare//DTD MusicXML 4.0 Timewise//EN" "http://www.musicxml.org/dtds/timewise.dtd">`
	s := mustRead(t, []byte(doctype+timewise))
	xml := written(t, s)
	require.Contains(t, xml, `<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd">`)
	require.NotContains(t, xml, "imewise")
	require.Equal(t, sounds(s), sounds(mustRead(t, []byte(xml))))
}

func TestNamesAreOfOneLine(t *testing.T) {
	s := mustRead(t, []byte(strings.Replace(string(partXML(bar4(1, "C"))), "<part-name>Organ", "<part-name>Organ&#13;&#10;(manual)", 1)))
	require.Equal(t, "Organ (manual)", s.Parts[0].Name)
}

func TestDaysOfMusicAreRefused(t *testing.T) {
	bars := strings.Repeat(bar4(2, "C"), 3000)
	_, err := Read(partXML(bar4(1, "C", `<sound tempo="1"/>`)+bars), "long.musicxml")
	require.ErrorContains(t, err, "long.musicxml: the piece lasts 200.0 hours (at most 24 are read)")
}
