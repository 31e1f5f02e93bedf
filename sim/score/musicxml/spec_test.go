package musicxml

import (
	"archive/zip"
	"bytes"
	"fmt"
	"strings"
	"testing"

	"afterchord/sim/score"

	"github.com/stretchr/testify/require"
)

func attributes(divisions, beats, unit int, more string) string {
	return fmt.Sprintf(`<attributes><divisions>%d</divisions><time><beats>%d</beats><beat-type>%d</beat-type></time>%s</attributes>`, divisions, beats, unit, more)
}

func noteXML(pitch string, duration int, more string) string {
	alter := ""
	if strings.Contains(pitch, "#") {
		alter = "<alter>1</alter>"
	}
	return fmt.Sprintf(`<note><pitch><step>%s</step>%s<octave>%s</octave></pitch><duration>%d</duration><voice>1</voice>%s</note>`, pitch[:1], alter, pitch[len(pitch)-1:], duration, more)
}

func grace(pitch, attrs, kind string) string {
	return fmt.Sprintf(`<note><grace %s/><pitch><step>%s</step><octave>%s</octave></pitch><voice>1</voice><type>%s</type></note>`, attrs, pitch[:1], pitch[1:], kind)
}

func artic(names ...string) string {
	return "<notations><articulations><" + strings.Join(names, "/><") + "/></articulations></notations>"
}

// What sounds, by what the pages of the elements in MusicXML 4.0 say. Each row
// names its page; the examples are written by us from it.
func TestWhatSounds(t *testing.T) {
	bar := func(content string) []byte {
		return partXML(`<measure number="1">` + attributes(4, 4, 4, "") + content + `</measure>`)
	}
	one := func(attr, content string) []byte {
		return partXML(`<measure number="1">` + attr + content + `</measure>`)
	}
	for _, c := range []struct {
		page string
		data []byte
		want []string
	}{
		{"duration, divisions", bar(noteXML("C4", 4, "") + noteXML("D4", 2, "") + noteXML("E4", 10, "")), []string{"0 C4 0.000-1.000", "0 D4 1.000-1.500", "0 E4 1.500-4.000"}},
		{"divisions: may change", bar(noteXML("C4", 8, "") + `<attributes><divisions>1</divisions></attributes>` + noteXML("D4", 2, "")), []string{"0 C4 0.000-2.000", "0 D4 2.000-4.000"}},
		{"chord: on the note before it", bar(noteXML("C4", 16, "") + `<note><chord/><pitch><step>G</step><octave>4</octave></pitch><duration>16</duration></note>`), []string{"0 C4 0.000-4.000", "0 G4 0.000-4.000"}},
		{"backup, forward", bar(noteXML("C5", 16, "") + `<backup><duration>16</duration></backup><forward><duration>8</duration></forward>` + noteXML("C4", 8, "")), []string{"0 C5 0.000-4.000", "0 C4 2.000-4.000"}},
		{"rest", bar(`<note><rest/><duration>8</duration></note>` + noteXML("C4", 8, "")), []string{"0 C4 2.000-4.000"}},
		{"rest measure=yes", bar(`<note><rest measure="yes"/><duration>16</duration></note><backup><duration>16</duration></backup>` + noteXML("C4", 16, "")), []string{"0 C4 0.000-4.000"}},
		{"tie: sounds as one", bar(noteXML("C4", 8, `<tie type="start"/>`) + noteXML("C4", 8, `<tie type="stop"/>`)), []string{"0 C4 0.000-4.000"}},
		{"tied where there is no tie", bar(noteXML("C4", 8, `<notations><tied type="start"/></notations>`) + noteXML("C4", 8, `<notations><tied type="stop"/></notations>`)), []string{"0 C4 0.000-4.000"}},
		{"no tie: struck twice", bar(noteXML("C4", 8, "") + noteXML("C4", 8, "")), []string{"0 C4 0.000-2.000", "0 C4 2.000-4.000"}},
		{"time-modification: three in two", one(attributes(3, 1, 4, ""), strings.Repeat(noteXML("C4", 1, `<type>eighth</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>`), 3)), []string{"0 C4 0.000-0.333", "0 C4 0.333-0.667", "0 C4 0.667-1.000"}},
		{"alter", bar(noteXML("F#4", 16, "")), []string{"0 F#4 0.000-4.000"}},
		{"transpose: a clarinet in B flat sounds a tone lower", one(attributes(4, 4, 4, `<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>`), noteXML("D4", 16, "")), []string{"0 C4 0.000-4.000"}},
		{"octave-change: a double bass sounds an octave lower", one(attributes(4, 4, 4, `<transpose><diatonic>0</diatonic><chromatic>0</chromatic><octave-change>-1</octave-change></transpose>`), noteXML("C4", 16, "")), []string{"0 C3 0.000-4.000"}},
		{"octave-shift: the pitch is written as it sounds", bar(`<direction><direction-type><octave-shift type="down" size="8"/></direction-type></direction>` + noteXML("C6", 16, "")), []string{"0 C6 0.000-4.000"}},
		{"cue: not sounded", bar(`<note><cue/><pitch><step>A</step><octave>4</octave></pitch><duration>16</duration></note><backup><duration>16</duration></backup>` + noteXML("C4", 16, "")), []string{"0 C4 0.000-4.000"}},
		{"staccato", bar(noteXML("C4", 4, artic("staccato")) + noteXML("D4", 12, "")), []string{"0 C4 0.000-0.500", "0 D4 1.000-4.000"}},
		{"staccatissimo", bar(noteXML("C4", 16, artic("staccatissimo"))), []string{"0 C4 0.000-1.000"}},
		{"tenuto", bar(noteXML("C4", 16, artic("tenuto"))), []string{"0 C4 0.000-4.000"}},
		{"detached-legato", bar(noteXML("C4", 16, artic("detached-legato"))), []string{"0 C4 0.000-3.000"}},
		{"staccato and tenuto", bar(noteXML("C4", 16, artic("staccato", "tenuto"))), []string{"0 C4 0.000-3.000"}},
		{"staccato under a slur", bar(noteXML("C4", 8, `<notations><slur type="start" number="1"/><articulations><staccato/></articulations></notations>`) + noteXML("D4", 8, `<notations><slur type="stop" number="1"/></notations>`)), []string{"0 C4 0.000-1.500", "0 D4 2.000-4.000"}},
		{"breath-mark", bar(noteXML("C4", 16, artic("breath-mark"))), []string{"0 C4 0.000-3.750"}},
		{"grace slash=yes: a demisemiquaver of the note that follows", bar(grace("B3", `slash="yes"`, "eighth") + noteXML("C4", 16, "")), []string{"0 B3 0.000-0.125", "0 C4 0.125-4.000"}},
		{"grace without a stroke: its value", bar(grace("D4", "", "eighth") + noteXML("C4", 16, "")), []string{"0 D4 0.000-0.500", "0 C4 0.500-4.000"}},
		{"grace: at most half", bar(grace("D4", "", "half") + noteXML("C4", 8, "") + noteXML("E4", 8, "")), []string{"0 D4 0.000-1.000", "0 C4 1.000-2.000", "0 E4 2.000-4.000"}},
		{"grace steal-time-following: per cent of the next note", bar(grace("D4", `steal-time-following="25"`, "eighth") + noteXML("C4", 16, "")), []string{"0 D4 0.000-1.000", "0 C4 1.000-4.000"}},
		{"grace at the end of a bar", bar(noteXML("C4", 16, "") + grace("B3", `slash="yes"`, "16th") + grace("D4", `slash="yes"`, "16th")), []string{"0 C4 0.000-3.750", "0 B3 3.750-3.875", "0 D4 3.875-4.000"}},
	} {
		t.Run(c.page, func(t *testing.T) { require.Equal(t, c.want, sounds(mustRead(t, c.data))) })
	}
}

// Speeds, in crotchets a minute; pages "metronome", "beat-unit", "sound", "per-minute".
func TestSpeeds(t *testing.T) {
	mark := func(unit, dots, per string) string {
		return `<direction><direction-type><metronome><beat-unit>` + unit + `</beat-unit>` + dots + `<per-minute>` + per + `</per-minute></metronome></direction-type></direction>`
	}
	for _, c := range []struct {
		name, xml string
		want      []float64
	}{
		{"crotchet = 72", mark("quarter", "", "72"), []float64{72}},
		{"minim = 60", mark("half", "", "60"), []float64{120}},
		{"dotted crotchet = 60", mark("quarter", "<beat-unit-dot/>", "60"), []float64{90}},
		{"about", mark("eighth", "", "c. 100"), []float64{50}},
		{"sound tempo", `<sound tempo="66.5"/>`, []float64{66.5}},
		{"the sound overrules the mark", `<direction><direction-type><metronome><beat-unit>quarter</beat-unit><per-minute>90</per-minute></metronome></direction-type><sound tempo="88"/></direction>`, []float64{88}},
		{"a ratio: crotchet = dotted crotchet", mark("quarter", "", "60") + noteXML("C4", 8, "") + `<direction><direction-type><metronome><beat-unit>quarter</beat-unit><beat-unit>quarter</beat-unit><beat-unit-dot/></metronome></direction-type></direction>`, []float64{60, 90}},
		{"none", "", []float64{120}},
		{"a word (common practice)", `<direction><direction-type><words>Andante con moto</words></direction-type></direction>`, []float64{80}},
		{"fermata", mark("quarter", "", "60") + noteXML("C4", 8, "") + noteXML("C4", 4, `<notations><fermata/></notations>`), []float64{60, 60 / FermataFactor, 60}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := mustRead(t, partXML(`<measure number="1">`+attributes(4, 4, 4, "")+c.xml+noteXML("C4", 4, "")+`</measure>`))
			var got []float64
			for _, x := range s.Tempos {
				got = append(got, x.Crotchets)
			}
			require.Equal(t, c.want, got)
		})
	}
}

// Words of a registration, dynamics and hairpins stand on their staff.
func TestWords(t *testing.T) {
	d := func(inner, more string) string {
		return `<direction><direction-type>` + inner + `</direction-type>` + more + `</direction>`
	}
	s := mustRead(t, partXML(`<measure number="1">`+attributes(2, 4, 4, "<staves>3</staves>")+
		d("<words>Gt.</words>", "<staff>1</staff>")+d("<words>II</words>", "<staff>2</staff>")+d("<words>Ped. 16, 8</words>", "<staff>3</staff>")+
		d("<dynamics><mf/></dynamics>", "")+d(`<wedge type="crescendo"/>`, "<offset>2</offset>")+d("<words>Sw. box</words><words>open</words>", "<offset>4</offset>")+
		`<note><pitch><step>C</step><octave>4</octave></pitch><duration>8</duration></note>`+
		d(`<wedge type="stop"/>`, "")+d("<dynamics><ffff/></dynamics>", "")+d("<dynamics><sfz/></dynamics>", "")+d("<words>dim.</words>", "")+d("<rehearsal>B</rehearsal>", "")+`</measure>`))
	q := s.TicksPerCrotchet
	require.Equal(t, []string{"Organ, staff 1", "Organ, staff 2", "Organ, staff 3"}, []string{s.Parts[0].Name, s.Parts[1].Name, s.Parts[2].Name})
	require.Equal(t, []score.Word{
		{At: 0, Part: 0, Kind: score.Direction, Text: "Gt."}, {At: 0, Part: 1, Kind: score.Direction, Text: "II"}, {At: 0, Part: 2, Kind: score.Direction, Text: "Ped. 16, 8"},
		{At: 0, Part: 0, Kind: score.Mark, Text: "mf"}, {At: q, Part: 0, Kind: score.Hairpin, Text: "crescendo"}, {At: 2 * q, Part: 0, Kind: score.Direction, Text: "Sw. box open"},
		{At: 4 * q, Part: 0, Kind: score.Hairpin, Text: "stop"}, {At: 4 * q, Part: 0, Kind: score.Mark, Text: "fff"}, {At: 4 * q, Part: 0, Kind: score.Hairpin, Text: "diminuendo"}, {At: 4 * q, Part: 0, Kind: score.Marker, Text: "B"},
	}, s.Words)
	require.Contains(t, remarks(s), "bar 1, beat 5: sfz is a stroke that an organ cannot give: no change of level")
}

func remarks(s *score.Score) (out []string) {
	for _, r := range s.Remarks {
		out = append(out, s.Position(r.At).String()+": "+r.Text)
	}
	return out
}

// Printed bar numbers: pickup, bars split by a repeat, numbers with letters.
func TestBarNumbers(t *testing.T) {
	m := func(attr string, quarters int) string {
		return `<measure ` + attr + `>` + noteXML("C4", quarters, "") + `</measure>`
	}
	s := mustRead(t, partXML(`<measure number="0" implicit="yes">`+attributes(1, 4, 4, "")+noteXML("G4", 1, "")+`</measure>`+
		m(`number="1"`, 4)+m(`number="2"`, 3)+m(`number="X1" implicit="yes"`, 1)+m(`number="3"`, 4)+m(`number="3a"`, 4)))
	var got []string
	for _, b := range s.Bars {
		got = append(got, fmt.Sprintf("%d%s", b.Number, b.Label))
	}
	require.Equal(t, []string{"0", "1", "2", "2X1", "3", "33a"}, got)
	require.Equal(t, score.Position{Bar: 0, Beat: 4}, s.Position(0))
	require.Equal(t, score.Position{Bar: 1, Beat: 1}, s.Position(s.TicksPerCrotchet))
}

// A jump back brings back the dynamic and the speed that hold there on the page.
func TestJumpRestores(t *testing.T) {
	p := `<direction><direction-type><dynamics><p/></dynamics></direction-type><sound tempo="60"/></direction>`
	f := `<direction><direction-type><dynamics><f/></dynamics></direction-type><sound tempo="90"/></direction>`
	s := mustRead(t, partXML(bar4(1, "C", p)+bar4(2, "D", `<sound segno="s"/>`)+
		`<measure number="3">`+f+noteXML("E4", 4, "")+`<sound dalsegno="s"/></measure>`))
	require.Equal(t, "1 2 3 2 3", order(s))
	at := 12 * s.TicksPerCrotchet
	require.Contains(t, s.Words, score.Word{At: at, Part: 0, Kind: score.Mark, Text: "p"})
	require.Equal(t, 60.0, s.TempoAt(at))
	require.Equal(t, 90.0, s.TempoAt(at+4*s.TicksPerCrotchet))
}

func TestTimewise(t *testing.T) {
	s := mustRead(t, []byte(timewise))
	require.Equal(t, []string{"0 C5 0.000-4.000", "1 C3 0.000-4.000", "0 D5 4.000-8.000", "1 G2 4.000-8.000"}, sounds(s))
	require.Equal(t, sounds(s), sounds(mustRead(t, []byte(written(t, s)))))
}

func TestNotUnderstoodIsListed(t *testing.T) {
	s := mustRead(t, partXML(bar4(1, "C")+`<measure number="2">`+noteXML("D4", 4, `<notations><ornaments><other-ornament/></ornaments><glissando/><articulations><accent/></articulations></notations>`)+
		`<direction><direction-type><words>rit.</words></direction-type></direction><direction><direction-type><scordatura/></direction-type></direction></measure>`))
	all := strings.Join(remarks(s), "\n")
	for _, want := range []string{"bar 2, beat 1: other-ornament is played as the plain note", "bar 2, beat 1: glissando is not played", "bar 2, beat 1: accent: an organ key", `bar 2, beat 5: "rit." is not played: it ends where it begins`, "scordatura is not understood"} {
		t.Run(want, func(t *testing.T) {
			require.Contains(t, all, want)
		})
	}
}

func zipped(t *testing.T, files ...string) []byte {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i < len(files); i += 2 {
		w, err := z.Create(files[i])
		require.NoError(t, err)
		_, err = w.Write([]byte(files[i+1]))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	return b.Bytes()
}

// The page "Compressed .MXL files": the first rootfile is the score.
func TestContainer(t *testing.T) {
	container := `<container><rootfiles><rootfile full-path="music/a.musicxml" media-type="application/vnd.recordare.musicxml+xml"/><rootfile full-path="a.pdf" media-type="application/pdf"/></rootfiles></container>`
	s := mustRead(t, zipped(t, "META-INF/container.xml", container, "other.xml", "<x/>", "music/a.musicxml", string(partXML(prelude))))
	require.Len(t, s.Parts, 2)
	_, err := Read(zipped(t, "META-INF/container.xml", container), "a.mxl")
	require.ErrorContains(t, err, `does not hold the score "music/a.musicxml"`)
}

func TestBadFiles(t *testing.T) {
	bar := func(x string) []byte {
		return partXML(`<measure number="7">` + attributes(1, 4, 4, "") + x + `</measure>`)
	}
	bomb := `<score-partwise>` + strings.Repeat(" ", 40<<20) + `</score-partwise>`
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"entities", []byte("<?xml version=\"1.0\"?>\n<!DOCTYPE x [<!ENTITY a \"aaaa\"><!ENTITY b \"&a;&a;\">]>\n<score-partwise>&b;</score-partwise>"), "line 2: the DOCTYPE declares entities"},
		{"an entity that nothing declares", []byte(`<score-partwise>&b;</score-partwise>`), "line 1: not well-formed"},
		{"depth", []byte("<score-partwise>" + strings.Repeat("<a>", 100)), "more than 64 deep"},
		{"zip bomb", zipped(t, "a.musicxml", bomb), "too much for its packed size"},
		{"other XML", []byte(`<html/>`), "the first element is <html>"},
		{"cut short", partXML(prelude)[:900], "not well-formed"},
		{"nothing", nil, "no XML"},
		{"no part", []byte(`<score-partwise><part-list/></score-partwise>`), "no <part>"},
		{"a part that is missing", bytes.Replace(partXML(bar4(1, "C")), []byte("</part-list>"), []byte(`<score-part id="P2"><part-name>Oboe</part-name></score-part></part-list>`), 1), "part P2 (Oboe) is in the part list but not in the file"},
		{"a part without bars", partXML(""), "part P1 (Organ) has no bars"},
		{"negative duration", bar(noteXML("C4", -3, "")), `part P1 (Organ), bar 7: the duration "-3" of a <note>`},
		{"duration in words", bar(`<forward><duration>long</duration></forward>`), `part P1 (Organ), bar 7: the duration "long" of a <forward>`},
		{"absurd duration", bar(noteXML("C4", 1_000_000, "")), "bar 7: a <note> of 1000000 crotchets"},
		{"no duration", bar(`<note><pitch><step>C</step><octave>4</octave></pitch></note>`), "bar 7: <note> has no duration"},
		{"no pitch", bar(`<note><duration>4</duration></note>`), "bar 7: a note has neither pitch nor rest"},
		{"odd pitch", bar(`<note><pitch><step>H</step><octave>4</octave></pitch><duration>4</duration></note>`), `bar 7: the pitch "H", octave "4"`},
		{"divisions of nought", partXML(`<measure number="7"><attributes><divisions>0</divisions></attributes></measure>`), "bar 7: divisions of"},
		{"a bar without end", bar(strings.Repeat("<note/>", 20_000)), "bar 7: more than 5000 elements in one bar"},
		{"repeats without end", partXML(strings.Repeat(bar4(1, "C", `<barline><repeat direction="backward" times="64"/></barline>`), 2000)), "the piece has more than 50000 bars"},
		{"no notes", bar(`<note><rest/><duration>4</duration></note>`), "no notes"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Read(c.data, "bad.musicxml")
			require.ErrorContains(t, err, c.want)
			require.True(t, strings.HasPrefix(err.Error(), "bad.musicxml: "))
			require.NotContains(t, err.Error(), "\n")
		})
	}
}

func TestEncodings(t *testing.T) {
	latin := strings.Replace(strings.Replace(string(partXML(bar4(1, "C"))), "UTF-8", "ISO-8859-1", 1), "<part-name>Organ", "<part-name>R\xe9cit", 1)
	s := mustRead(t, []byte(latin))
	require.Equal(t, "Récit", s.Parts[0].Name)
	require.Contains(t, written(t, s), `encoding="UTF-8"`)
	require.Equal(t, "Récit", mustRead(t, []byte(written(t, s))).Parts[0].Name)
	wide := []byte{0xff, 0xfe}
	for _, c := range []byte(strings.Replace(string(partXML(bar4(1, "C"))), "UTF-8", "UTF-16", 1)) {
		wide = append(wide, c, 0)
	}
	require.Len(t, mustRead(t, wide).Notes, 1)
}

// A mark or a hairpin between the two manual staves is for both hands (common practice in
// keyboard notation); the pedal staff has its own. A hairpin's end goes where its beginning went.
func TestBetweenTheStaves(t *testing.T) {
	d := func(placement, inner string, staff int) string {
		return fmt.Sprintf(`<direction%s><direction-type>%s</direction-type><staff>%d</staff></direction>`, placement, inner, staff)
	}
	const below, above = ` placement="below"`, ` placement="above"`
	s := mustRead(t, partXML(`<measure number="1">`+attributes(1, 4, 4, "<staves>3</staves>")+
		d(below, "<dynamics><f/></dynamics>", 1)+d(above, "<dynamics><p/></dynamics>", 2)+d(above, "<dynamics><mf/></dynamics>", 1)+
		d(below, "<dynamics><pp/></dynamics>", 2)+d("", "<dynamics><ff/></dynamics>", 1)+d(below, "<dynamics><mp/></dynamics>", 3)+
		d(below, `<wedge type="crescendo"/>`, 1)+noteXML("C4", 4, "")+d(above, `<wedge type="stop"/>`, 1)+`</measure>`))
	var got []string
	for _, w := range s.Words {
		got = append(got, fmt.Sprintf("%d %s", w.Part+1, w.Text))
	}
	require.Equal(t, []string{"1 f", "2 f", "2 p", "1 p", "1 mf", "2 pp", "1 ff", "3 mp",
		"1 crescendo", "2 crescendo", "1 stop", "2 stop"}, got)
	again := requireWhole(t, written(t, s))
	require.Equal(t, s.Words, again.Words)
	c := s.Clone()
	c.Words = c.Words[2:] // one that is gone from both staves leaves the page
	require.NotContains(t, written(t, c), "<f/>")
}

// The pages "note" (time-only), "beat-repeat", "figured-bass" and "swing" of MusicXML 4.0.
func TestTimesThrough(t *testing.T) {
	only := func(pitch, list string) string {
		return strings.Replace(noteXML(pitch, 4, ""), "<note>", `<note time-only="`+list+`">`, 1)
	}
	back := `<backup><duration>4</duration></backup>`
	s := mustRead(t, partXML(measureXML("1", attributes(1, 4, 4, "")+noteXML("C4", 4, "")+back+only("E4", "1")+back+only("G4", "2, 3")+
		`<barline location="right"><repeat direction="backward" times="3"/></barline>`)))
	require.Equal(t, []string{"0 C4 0.000-4.000", "0 E4 0.000-4.000", "0 C4 4.000-8.000", "0 G4 4.000-8.000", "0 C4 8.000-12.000", "0 G4 8.000-12.000"}, sounds(s))
	s = mustRead(t, partXML(bar4(1, "C")+measureXML("2", `<attributes><measure-style><beat-repeat type="start" slashes="1"/></measure-style></attributes>`+
		`<figured-bass><figure><figure-number>6</figure-number></figure></figured-bass><sound><swing><first>2</first><second>1</second></swing></sound>`+noteXML("D4", 4, ""))))
	all := strings.Join(remarks(s), "\n")
	for _, want := range []string{"bar 2, beat 1: a sign for repeated beats: not played", "bar 2, beat 1: figured bass is not played", "bar 2, beat 1: swing is not played"} {
		t.Run(want, func(t *testing.T) {
			require.Contains(t, all, want)
		})
	}
}

// A slur is on every note of its chords, the last one's too, and a dot or a dash says a length as well; an accent does not.
func TestArticulated(t *testing.T) {
	slur := func(kind string) string { return `<notations><slur type="` + kind + `" number="1"/></notations>` }
	sign := func(tag string) string { return `<notations><articulations><` + tag + `/></articulations></notations>` }
	chord := func(xml string) string { return strings.Replace(xml, "<note>", "<note><chord/>", 1) }
	for _, c := range []struct {
		name, bar string
		want      []bool
	}{
		{"none", noteXML("C4", 8, "") + noteXML("D4", 8, ""), []bool{false, false}},
		{"slur", noteXML("C4", 4, slur("start")) + noteXML("D4", 4, "") + noteXML("E4", 4, slur("stop")) + noteXML("F4", 4, ""), []bool{true, true, true, false}},
		{"slurred chords", noteXML("C4", 8, slur("start")) + chord(noteXML("E4", 8, "")) + noteXML("D4", 8, slur("stop")) + chord(noteXML("F4", 8, "")), []bool{true, true, true, true}},
		{"dot", noteXML("C4", 8, sign("staccato")) + noteXML("D4", 8, sign("tenuto")), []bool{true, true}},
		{"accent", noteXML("C4", 8, sign("accent")) + noteXML("D4", 8, ""), []bool{false, false}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := Read(partXML(`<measure number="1">`+attributes(4, 4, 4, "")+c.bar+`</measure>`), "x.musicxml")
			require.NoError(t, err)
			var got []bool
			for _, n := range s.Notes {
				got = append(got, n.Articulated)
			}
			require.Equal(t, c.want, got)
		})
	}
}
