package file_test

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding/unicode"

	"afterchord/sim/score"
	"afterchord/sim/score/file"
	"afterchord/sim/score/musicxml"
	"afterchord/sim/score/smf"
)

const declaration = `<?xml version="1.0" encoding="UTF-8"?>` + "\n"

const body = `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Orgue r&eacute;cit</part-name></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>1</divisions></attributes><note><pitch><step>C</step><octave>4</octave></pitch><duration>4</duration></note></measure></part></score-partwise>`

func utf16(t *testing.T, e unicode.Endianness, bom unicode.BOMPolicy, text string) []byte {
	t.Helper()
	out, err := unicode.UTF16(e, bom).NewEncoder().Bytes([]byte(text))
	require.NoError(t, err)
	return out
}

func packed(t *testing.T, files ...string) []byte {
	t.Helper()
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

// riff is MIDI in a RIFF file with another chunk, of an odd length, before it.
func riff(inner []byte) []byte {
	chunk := func(name string, data []byte) []byte {
		out := binary.LittleEndian.AppendUint32([]byte(name), uint32(len(data)))
		out = append(out, data...)
		if len(data)%2 == 1 {
			out = append(out, 0)
		}
		return out
	}
	return chunk("RIFF", bytes.Join([][]byte{[]byte("RMID"), chunk("DISP", []byte("abc")), chunk("data", inner)}, nil))
}

func midi(t *testing.T) []byte {
	t.Helper()
	data, err := os.ReadFile("../../demos/drop.mid")
	require.NoError(t, err)
	return data
}

// What a file is says its content, whatever its name.
func TestRead(t *testing.T) {
	utf16Declaration := `<?xml version="1.0" encoding="UTF-16"?>`
	for _, c := range []struct {
		name   string
		data   []byte
		kind   string
		format string // of the score
	}{
		{"MusicXML", []byte(declaration + body), "MusicXML", "MusicXML 4.0"},
		{"without a declaration", []byte(body), "MusicXML", "MusicXML 4.0"},
		{"after a byte order mark", []byte("\xef\xbb\xbf" + declaration + body), "MusicXML", "MusicXML 4.0"},
		{"after a blank line", []byte("\r\n\n  " + declaration + body), "MusicXML", "MusicXML 4.0"},
		{"after a mark and a blank line", []byte("\xef\xbb\xbf\n" + body), "MusicXML", "MusicXML 4.0"},
		{"after comments", []byte("<!-- a -->\n<!-- <mei> -->" + body), "MusicXML", "MusicXML 4.0"},
		{"UTF-16, big end first", utf16(t, unicode.BigEndian, unicode.UseBOM, utf16Declaration+body), "MusicXML", "MusicXML 4.0"},
		{"UTF-16, little end first", utf16(t, unicode.LittleEndian, unicode.UseBOM, utf16Declaration+body), "MusicXML", "MusicXML 4.0"},
		{"UTF-16 without a mark", utf16(t, unicode.LittleEndian, unicode.IgnoreBOM, utf16Declaration+body), "MusicXML", "MusicXML 4.0"},
		{"UTF-16 without a mark, big end first", utf16(t, unicode.BigEndian, unicode.IgnoreBOM, utf16Declaration+body), "MusicXML", "MusicXML 4.0"},
		{"compressed", packed(t, "META-INF/container.xml", `<container><rootfiles><rootfile full-path="a/b.xml"/></rootfiles></container>`, "a/b.xml", body), "compressed MusicXML", "MusicXML 4.0"},
		{"compressed without a container", packed(t, "b.musicxml", body), "compressed MusicXML", "MusicXML 4.0"},
		{"MIDI", midi(t), "Standard MIDI File", "SMF 1"},
		{"MIDI in a RIFF file", riff(midi(t)), "MIDI in a RIFF file", "SMF 1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f, ok := file.Detect(c.data)
			require.True(t, ok)
			require.Equal(t, c.kind, f.Name)
			s, err := file.Read(c.data, "score.bin")
			require.NoError(t, err)
			require.Equal(t, c.format, s.Format)
			require.NotEmpty(t, s.Notes)
			if strings.HasPrefix(c.format, "MusicXML") {
				require.Equal(t, "Orgue récit", s.Parts[0].Name)
				require.Equal(t, ".musicxml", file.Extension(s))
			}
			var b bytes.Buffer
			require.NoError(t, file.Write(&b, s))
			again, err := file.Read(b.Bytes(), "score.bin")
			require.NoError(t, err)
			require.Equal(t, strokes(s), strokes(again))
		})
	}
}

func strokes(s *score.Score) (out [][4]int) {
	for _, n := range s.Notes {
		out = append(out, [4]int{n.Part, n.Key, int(n.On), int(n.Off)})
	}
	return out
}

// Files that people have scores in and that are not read are named, with what to do.
func TestUnknown(t *testing.T) {
	for _, c := range []struct {
		name, data, want string
	}{
		{"PDF", "%PDF-1.7\n", "a PDF of the pages"},
		{"picture", "\x89PNG\r\n\x1a\n", "a picture"},
		{"recording", "RIFF\x00\x00\x00\x00WAVEfmt ", "a sound recording"},
		{"Humdrum", "!!!COM: N\n**kern\t**kern\n*clefF4\t*clefG2\n", "a score in Humdrum, which is not read: convert it to MusicXML"},
		{"MEI", declaration + `<mei xmlns="http://www.music-encoding.org/ns/mei"><music/></mei>`, "a score in MEI, which is not read: convert it to MusicXML"},
		{"ABC", "X:1\nT:Trial\nM:4/4\nK:C\nV:1\nC4|\nV:2\nC,4|\n", "a score in ABC, which is not read: export it as MusicXML"},
		{"engraving source", "% hymn\n\\version \"2.24\"\n\\score {}", `\midi {}`},
		{"another XML", declaration + "<html><body/></html>", "XML whose first element is <html>"},
		{"compressed, a program's own", string(packed(t, "META-INF/container.xml", `<container><rootfiles><rootfile full-path="a.mscx"/></rootfiles></container>`, "a.mscx", "<museScore/>")), "a notation program's own compressed file"},
		{"compressed, something else", string(packed(t, "readme.txt", "x")), "without a MusicXML score"},
		{"nothing", " \n", "an empty file"},
		{"text", "Dear organist,", `it begins with "Dear org"`},
		{"bytes", "\x01\x02\x03", "it begins with 01 02 03"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := file.Read([]byte(c.data), "piece.bin")
			require.ErrorContains(t, err, c.want)
			require.True(t, strings.HasPrefix(err.Error(), "piece.bin: "))
			require.NotContains(t, err.Error(), "\n")
			var unknown *file.UnknownError
			require.ErrorAs(t, err, &unknown)
			require.NotEmpty(t, unknown.Advice)
		})
	}
	_, err := file.Read([]byte{1, 2, 3}, "piece.mscz")
	require.ErrorContains(t, err, "a notation program's own file (.mscz)")
}

// Errors are typed and say where: the byte in the file as it is, the line of the text, part and bar.
func TestErrorsSayWhere(t *testing.T) {
	var inMIDI *smf.FormatError
	whole := midi(t)
	_, err := file.Read(whole[:len(whole)-3], "cut.mid")
	require.ErrorAs(t, err, &inMIDI)
	require.Equal(t, len(whole)-3, inMIDI.Offset)
	require.Positive(t, inMIDI.Track)
	_, err = file.Read(riff(append([]byte("MThd\x00\x00\x00\x06\x00\x02"), whole[10:]...)), "patterns.rmi")
	require.ErrorAs(t, err, &inMIDI)
	require.Equal(t, 12+8+4+8+8, inMIDI.Offset, "RIFF header, a chunk with its padding, a chunk's header, the format word")

	var inXML *musicxml.FormatError
	_, err = file.Read([]byte(declaration+"<score-partwise>\n<part-list>\n</part>"), "x.musicxml")
	require.ErrorAs(t, err, &inXML)
	require.Equal(t, 4, inXML.Line)
	require.Positive(t, inXML.Offset)
	_, err = file.Read([]byte(declaration+"<!DOCTYPE x [<!ENTITY a 'b'>]>"+body), "x.musicxml")
	require.ErrorAs(t, err, &inXML)
	require.Equal(t, 2, inXML.Line)
	require.Positive(t, inXML.Offset)
	_, err = file.Read([]byte(strings.Replace(body, "<octave>4", "<octave>44", 1)), "x.musicxml")
	require.ErrorAs(t, err, &inXML)
	require.Equal(t, "1", inXML.Bar)
	require.Equal(t, "part P1 (Orgue récit)", inXML.Part)
}

// What is asked for reaches the reader of the kind.
func TestReadWith(t *testing.T) {
	repeated := strings.Replace(body, "</measure>", `<barline location="right"><repeat direction="backward"/></barline></measure>`, 1)
	for asPrinted, bars := range map[bool]int{false: 2, true: 1} {
		t.Run(fmt.Sprint(bars), func(t *testing.T) {
			s, err := file.ReadWith([]byte(repeated), "x.musicxml", file.Options{AsPrinted: asPrinted})
			require.NoError(t, err)
			require.Len(t, s.Bars, bars)
		})
	}
	s, err := file.ReadWith(midi(t), "x.mid", file.Options{Upbeat: 1})
	require.NoError(t, err)
	require.Equal(t, 0, s.Bars[0].Number)
	require.Equal(t, s.TicksPerCrotchet, s.Bars[0].Length)
}

func TestReadAsSaysWhatWasAsked(t *testing.T) {
	for want, o := range map[string]file.Options{"": {}, "every bar once": {AsPrinted: true}, "no upbeat": {Upbeat: file.NoUpbeat},
		"every bar once, an upbeat of 0.5 crotchets": {AsPrinted: true, Upbeat: 0.5}} {
		if got := o.String(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
