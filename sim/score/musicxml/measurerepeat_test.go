package musicxml

import (
	"slices"
	"strings"
	"testing"

	"afterchord/sim/score"

	"github.com/stretchr/testify/require"
)

const repeatStop = `<attributes><measure-style><measure-repeat type="stop"/></measure-style></attributes>`

func repeatStart(bars, staff string) string {
	number := ""
	if staff != "" {
		number = ` number="` + staff + `"`
	}
	return `<attributes><measure-style` + number + `><measure-repeat type="start">` + bars + `</measure-repeat></measure-style></attributes>`
}

// MusicXML 4.0, "measure-repeat": the text is the number of measures that are repeated as one pattern; the stop stands in the first
// measure that is no longer one of them. What is played is worked out by hand.
func TestMeasureRepeats(t *testing.T) {
	whole := `<note><rest measure="yes"/><duration>4</duration></note>`
	first := measureXML("1", attributes(1, 4, 4, "")+noteXML("C4", 2, "")+noteXML("D4", 2, ""))
	for _, x := range []struct {
		name, bars string
		want       []string
	}{
		{"one bar, twice, with a stop", first + measureXML("2", repeatStart("1", "")+whole) + measureXML("3", whole) + measureXML("4", repeatStop+whole),
			[]string{"0 C4 0.000-2.000", "0 D4 2.000-4.000", "0 C4 4.000-6.000", "0 D4 6.000-8.000", "0 C4 8.000-10.000", "0 D4 10.000-12.000"}},
		{"bars with nothing in them, to the end", first + measureXML("2", repeatStart("1", "")) + measureXML("3", ""),
			[]string{"0 C4 0.000-2.000", "0 D4 2.000-4.000", "0 C4 4.000-6.000", "0 D4 6.000-8.000", "0 C4 8.000-10.000", "0 D4 10.000-12.000"}},
		{"two bars at once", first + measureXML("2", noteXML("E4", 4, "")) + measureXML("3", repeatStart("2", "")+whole) + measureXML("4", whole) + measureXML("5", repeatStop+noteXML("G4", 4, "")),
			[]string{"0 C4 0.000-2.000", "0 D4 2.000-4.000", "0 E4 4.000-8.000", "0 C4 8.000-10.000", "0 D4 10.000-12.000", "0 E4 12.000-16.000", "0 G4 16.000-20.000"}},
		{"the notes stand in the file", first + measureXML("2", repeatStart("1", "")+noteXML("C4", 2, "")+noteXML("D4", 2, "")) + measureXML("3", whole),
			[]string{"0 C4 0.000-2.000", "0 D4 2.000-4.000", "0 C4 4.000-6.000", "0 D4 6.000-8.000"}},
		{"no stop, but notes again", first + measureXML("2", repeatStart("1", "")+whole) + measureXML("3", noteXML("G4", 4, "")) + measureXML("4", whole),
			[]string{"0 C4 0.000-2.000", "0 D4 2.000-4.000", "0 C4 4.000-6.000", "0 D4 6.000-8.000", "0 G4 8.000-12.000"}},
		{"other divisions", first + measureXML("2", strings.Replace(repeatStart("1", ""), "<measure-style>", "<divisions>4</divisions><measure-style>", 1)+strings.Replace(whole, ">4<", ">16<", 1)),
			[]string{"0 C4 0.000-2.000", "0 D4 2.000-4.000", "0 C4 4.000-6.000", "0 D4 6.000-8.000"}},
		{"within a repeat", first + measureXML("2", repeatStart("1", "")+whole+`<barline location="right"><repeat direction="backward"/></barline>`),
			[]string{"0 C4 0.000-2.000", "0 D4 2.000-4.000", "0 C4 4.000-6.000", "0 D4 6.000-8.000", "0 C4 8.000-10.000", "0 D4 10.000-12.000", "0 C4 12.000-14.000", "0 D4 14.000-16.000"}},
	} {
		t.Run(x.name, func(t *testing.T) {
			s := mustRead(t, partXML(x.bars))
			require.Equal(t, x.want, sounds(s))
			again := requireWhole(t, written(t, s))
			require.Equal(t, x.want, sounds(again))
			require.Contains(t, written(t, again), "measure-repeat")
		})
	}
}

// A sign on one staff of an organ part: the pedal goes on under new hands.
func TestMeasureRepeatOnOneStaff(t *testing.T) {
	rest := func(staff int) string { return notes(staff, staff, "r:8") }
	list, body := organPart("P1", "Organ", 3, "4/4",
		notes(1, 1, "C5+E5:8")+notes(2, 5, "G4:8")+notes(3, 9, "C2:4 G2:4"),
		repeatStart("1", "3")+notes(1, 1, "D5+F5:8")+notes(2, 5, "A4:8")+rest(3),
		strings.Replace(repeatStop, "<measure-style>", `<measure-style number="3">`, 1)+notes(1, 1, "C5:8")+rest(2)+rest(3))
	s := mustRead(t, organScore([2]string{list, body}))
	const want = "Gr C5@0:4; Gr E5@0:4; Gr G4@0:4; Pe C2@0:2; Pe G2@2:2; Gr D5@4:4; Gr F5@4:4; Gr A4@4:4; Pe C2@4:2; Pe G2@6:2; Gr C5@8:4"
	require.Equal(t, want, played(t, s))
	require.Equal(t, want, played(t, requireWhole(t, written(t, s))))

	c := s.Clone() // the second low G, changed: the sign no longer tells what is played
	i := slices.IndexFunc(c.Notes, func(n score.Note) bool { return n.Key == 43 && n.On > 5*s.TicksPerCrotchet })
	c.Notes = slices.Delete(c.Notes, i, i+1)
	text := written(t, c)
	require.NotContains(t, text, "measure-repeat")
	require.Equal(t, strings.Replace(want, "; Pe G2@6:2", "", 1), played(t, requireWhole(t, text)))
}

// What a sign cannot stand for is said.
func TestMeasureRepeatsOfNothing(t *testing.T) {
	s := mustRead(t, partXML(measureXML("1", attributes(1, 4, 4, "")+noteXML("C4", 4, ""))+measureXML("2", repeatStart("4", ""))))
	require.Contains(t, strings.Join(remarks(s), "\n"), "bar 2, beat 1: a sign repeats 4 bars where there are not so many before it")
	s = mustRead(t, partXML(measureXML("1", attributes(1, 4, 4, "")+noteXML("C4", 4, ""))+
		measureXML("2", `<attributes><time><beats>3</beats><beat-type>4</beat-type></time></attributes>`+repeatStart("1", "")+`<note><rest measure="yes"/><duration>3</duration></note>`)))
	require.Contains(t, strings.Join(remarks(s), "\n"), "a sign repeats a bar of another length")
	require.Equal(t, []string{"0 C4 0.000-4.000"}, sounds(s))
}

// Grace notes on either side of a bar line, MusicXML 4.0, "grace": each takes its per cent from the note it names; without a word those
// at a bar's end are played before the beat (common practice for the close of a trill).
func TestGraceNotesOverTheBarLine(t *testing.T) {
	bars := func(end, begin string) []byte {
		return partXML(measureXML("1", attributes(4, 4, 4, "")+noteXML("C4", 16, "")+end) + measureXML("2", begin+noteXML("E4", 16, "")))
	}
	for _, x := range []struct {
		name string
		data []byte
		want []string
	}{
		{"at the end, without a word", bars(grace("D4", "", "eighth"), ""), []string{"0 C4 0.000-3.500", "0 D4 3.500-4.000", "0 E4 4.000-8.000"}},
		{"at the end, from the next bar", bars(grace("D4", `steal-time-following="25"`, "eighth"), ""), []string{"0 C4 0.000-4.000", "0 D4 4.000-5.000", "0 E4 5.000-8.000"}},
		{"at the end, from the note before", bars(grace("D4", `steal-time-previous="25"`, "eighth"), ""), []string{"0 C4 0.000-3.000", "0 D4 3.000-4.000", "0 E4 4.000-8.000"}},
		{"at the beginning, from the bar before", bars("", grace("D4", `steal-time-previous="25"`, "eighth")), []string{"0 C4 0.000-3.000", "0 D4 3.000-4.000", "0 E4 4.000-8.000"}},
		{"at the beginning, without a word", bars("", grace("D4", "", "eighth")), []string{"0 C4 0.000-4.000", "0 D4 4.000-4.500", "0 E4 4.500-8.000"}},
		{"at the end of the piece", partXML(measureXML("1", attributes(4, 4, 4, "")+noteXML("C4", 16, "")+grace("D4", `steal-time-following="25"`, "eighth"))), []string{"0 C4 0.000-3.000", "0 D4 3.000-4.000"}},
		{"before a rest", partXML(measureXML("1", attributes(4, 4, 4, "")+noteXML("C4", 16, "")+grace("D4", `steal-time-following="25"`, "eighth")) +
			measureXML("2", `<note><rest/><duration>16</duration><voice>1</voice></note>`)), []string{"0 C4 0.000-3.000", "0 D4 3.000-4.000"}},
	} {
		t.Run(x.name, func(t *testing.T) {
			s := mustRead(t, x.data)
			require.Equal(t, x.want, sounds(s))
			require.Equal(t, x.want, sounds(requireWhole(t, written(t, s))))
		})
	}
}

// The slide of MusicXML 4.0, "schleifer": up to the note from a third below, quickly; at 75 crotchets a minute twelve notes a second
// are tenths of a crotchet, here eighths.
func TestSlide(t *testing.T) {
	c := attributes(4, 4, 4, "")
	require.Equal(t, "F4@0:1 G4@1:1 A4@2:6", pitches(mustRead(t, at75(c, noteXML("A4", 4, "<type>quarter</type>"+ornate("<schleifer/>"))))))
	require.Equal(t, "A4@0:1 B4@1:1 C5@2:6", pitches(mustRead(t, at75(c, noteXML("C5", 4, "<type>quarter</type>"+ornate("<schleifer/>"))))))
}
