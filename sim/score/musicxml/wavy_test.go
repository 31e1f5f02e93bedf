package musicxml

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A wavy line reaches from its start to its stop (MusicXML 4.0, "wavy-line"); where a file has lost the stop it is
// the note's own, as a player reads it.
func TestWavyLinesWithoutAnEnd(t *testing.T) {
	crotchet := func(pitch, more string) string { return noteXML(pitch, 4, "<type>quarter</type>"+more) }
	tied := func(kind, more string) string {
		return `<tie type="` + kind + `"/><notations><tied type="` + kind + `"/>` + more + `</notations>`
	}
	c := attributes(4, 4, 4, "")
	start := ornate(`<trill-mark/><wavy-line type="start"/>`)
	trill := "B4 A4 B4 A4 B4 A4 B4 A4"
	for _, x := range []struct {
		name    string
		data    []byte
		want    string
		remarks int
	}{
		{"to its own note", at75(c, crotchet("A4", start)+crotchet("G4", "")+crotchet("F4", "")), steady(0, 1, trill) + " G4@8:8 F4@16:8", 1},
		{"to the tie", at75(c, crotchet("A4", tied("start", `<ornaments><wavy-line type="start"/></ornaments>`))+crotchet("A4", tied("stop", ""))+crotchet("F4", "")), steady(0, 1, "B4 A4 B4 A4 B4 A4 B4") + " A4@7:2 " + steady(9, 1, "B4 A4 B4 A4 B4") + " A4@14:2 F4@16:8", 1},
		{"a second start is no end", at75(c, crotchet("A4", start)+crotchet("G4", "")+crotchet("A4", start)+crotchet("F4", "")), steady(0, 1, trill) + " G4@8:8 " + steady(16, 1, trill) + " F4@24:8", 1},
		{"an end in another voice is none", at75(c, crotchet("A4", start)+crotchet("G4", "")+`<backup><duration>8</duration></backup>`+strings.Replace(crotchet("C4", ornate(`<wavy-line type="stop"/>`)), "<voice>1", "<voice>2", 1)), steady(0, 1, "C4")[:5] + "8 " + steady(0, 1, trill) + " G4@8:8", 1},
		{"from and to one note", at75(c, crotchet("A4", ornate(`<wavy-line type="start"/><wavy-line type="stop"/>`))+crotchet("G4", "")), steady(0, 1, trill) + " G4@8:8", 0},
		{"a line that is whole", at75(c, crotchet("A4", start)+crotchet("A4", "")+crotchet("G4", ornate(`<wavy-line type="stop"/>`))), steady(0, 1, trill+" "+trill) + " G4@16:8", 0},
		{"to a bar line", at75(c, crotchet("A4", start)+crotchet("A4", "")+`<barline location="right"><wavy-line type="stop"/></barline>`), steady(0, 1, trill+" "+trill), 0},
	} {
		t.Run(x.name, func(t *testing.T) {
			s := mustRead(t, x.data)
			require.ElementsMatch(t, strings.Fields(x.want), strings.Fields(pitches(s)))
			found := 0
			for _, r := range s.Remarks {
				if strings.Contains(r.Text, "wavy line has no end") {
					found++
				}
			}
			require.Equal(t, x.remarks, found, s.Remarks)
		})
	}
}

// No line reaches further than a player would believe, whatever stands at its end.
func TestWavyLinesAreBounded(t *testing.T) {
	piece := func(bars int) []byte {
		xml := ""
		for i := range bars {
			attr, line := "", ""
			switch i {
			case 0:
				attr, line = attributes(4, 4, 4, "")+`<sound tempo="75"/>`, ornate(`<wavy-line type="start"/>`)
			case bars - 1:
				line = ornate(`<wavy-line type="stop"/>`)
			}
			xml += fmt.Sprintf(`<measure number="%d">%s%s</measure>`, i+1, attr, noteXML("A4", 16, line))
		}
		return partXML(xml)
	}
	require.Len(t, mustRead(t, piece(waveBars)).Notes, 32*(waveBars-1)+1)
	s := mustRead(t, piece(waveBars+1))
	require.Len(t, s.Notes, 32+waveBars)
	require.Contains(t, s.Remarks[0].Text, "no end in the file")
}
