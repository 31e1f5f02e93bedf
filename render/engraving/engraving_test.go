package engraving

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"afterchord/acoustics/room"
	"afterchord/sim/demos"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/score"
	"afterchord/sim/score/file"
	"afterchord/sim/score/musicxml"
	"afterchord/sim/score/musicxml/schemacheck"
	"afterchord/sim/score/smf"
	"afterchord/voicing"

	"github.com/stretchr/testify/require"
)

// demo is a proof of a demo in the cathedral, and the score as it was read.
func demo(t *testing.T, name string, tempo float64) (*score.Score, *proof.Proof) {
	t.Helper()
	data, ok := demos.Piece(name)
	require.True(t, ok)
	var s *score.Score
	var err error
	if strings.HasSuffix(demos.File(name), ".mid") {
		s, err = smf.Read(data, name+".mid")
	} else {
		s, err = musicxml.Read(data, name+".musicxml")
	}
	require.NoError(t, err)
	hall, _ := room.BuiltIn("cathedral")
	seat, err := hall.Seat("middle")
	require.NoError(t, err)
	organ, _ := voicing.BuiltIn("minster")
	p, err := proof.Run(context.Background(), proof.Input{Score: s, Room: hall, Seat: seat, Organ: organ, Tempo: tempo})
	require.NoError(t, err)
	require.NotEmpty(t, p.Document.Findings)
	return s, p
}

// Every finding stands in the file as words over its bar, its notes in the colour of its
// severity, and the music sounds as before.
func TestAnnotateNotation(t *testing.T) {
	for _, tempo := range []float64{1, 0.7} {
		t.Run(fmt.Sprint(tempo), func(t *testing.T) {
			s, p := demo(t, "vigil", tempo)
			var b bytes.Buffer
			require.NoError(t, Annotate(&b, s, p))
			require.Equal(t, "annotated.musicxml", FileName(s))
			schemacheck.Require(t, b.Bytes())
			again, err := musicxml.Read(b.Bytes(), "annotated.musicxml")
			require.NoError(t, err)
			require.Equal(t, s.Notes, again.Notes)
			require.Equal(t, s.Tempos, again.Tempos, "the speeds of the file stay")
			for _, f := range p.Document.Findings {
				found := false
				for _, w := range again.Words {
					if strings.HasPrefix(w.Text, fmt.Sprintf("%s %d ", f.Severity.Sign(), f.ID)) {
						found = found || again.Position(w.At).Bar == f.Bar
					}
				}
				require.True(t, found, "no words for finding %d in bar %d", f.ID, f.Bar)
				if f.Severity == finding.Fail {
					require.Contains(t, b.String(), `<note color="`+Color(f.Severity)+`">`)
				}
			}
			require.Equal(t, b.String(), func() string {
				var c bytes.Buffer
				require.NoError(t, Annotate(&c, s, p))
				return c.String()
			}(), "the same bytes each time")
		})
	}
}

// An annotated score can be proved again: its words are no registration, and make way for
// those of the new proof.
func TestAnnotateAgain(t *testing.T) {
	for _, name := range []string{"vigil", "drop"} {
		t.Run(name, func(t *testing.T) {
			s, p := demo(t, name, 1)
			var once, twice bytes.Buffer
			require.NoError(t, Annotate(&once, s, p))
			again, err := file.Read(once.Bytes(), s.File)
			require.NoError(t, err)
			q, err := proof.Run(context.Background(), proof.Input{Score: again, Room: p.Room, Seat: p.Seat, Organ: p.Organ})
			require.NoError(t, err)
			sheet, err := NewMusic(again, p.Organ)
			require.NoError(t, err)
			require.NotContains(t, sheet.MusicXML, "■", "a page shows the findings of its own proof only")
			require.Equal(t, p.Document.Remarks, q.Document.Remarks)
			require.Equal(t, p.Document.Findings, q.Document.Findings)
			require.NoError(t, Annotate(&twice, again, q))
			third, err := file.Read(twice.Bytes(), s.File)
			require.NoError(t, err)
			require.Equal(t, again.Words, third.Words)
			if name == "vigil" { // nor do colours and lines stay
				require.Equal(t, once.String(), twice.String())
				var clean bytes.Buffer
				q.Document.Findings = nil
				require.NoError(t, Annotate(&clean, again, q))
				require.NotContains(t, clean.String(), "color=")
				require.NotContains(t, clean.String(), "<bracket")
			}
		})
	}
}

func TestAnnotateMIDI(t *testing.T) {
	s, p := demo(t, "drop", 0.9)
	var b bytes.Buffer
	require.NoError(t, Annotate(&b, s, p))
	require.Equal(t, "annotated.mid", FileName(s))
	again, err := smf.Read(b.Bytes(), "annotated.mid")
	require.NoError(t, err)
	require.Equal(t, len(s.Notes), len(again.Notes))
	require.Equal(t, s.Tempos, again.Tempos)
	var markers []string
	for _, w := range again.Words {
		if w.Kind == score.Marker {
			markers = append(markers, fmt.Sprintf("%d %s", again.Position(w.At).Bar, w.Text))
		}
	}
	require.Len(t, markers, len(p.Document.Findings))
	for _, f := range p.Document.Findings {
		require.Contains(t, markers, fmt.Sprintf("%d %d %s (%s): %s", f.Bar, f.ID, strings.ReplaceAll(f.Kind, "-", " "), f.Severity.Word(), f.Message))
	}
}

// Bars that are repeated are printed once; the pickup is the first.
func TestSheetPlaces(t *testing.T) {
	_, p := demo(t, "vigil", 1)
	sheet, err := NewSheet(p)
	require.NoError(t, err)
	require.Equal(t, 13, sheet.Bars)
	require.False(t, sheet.Guessed)
	require.Len(t, sheet.Places, len(p.Document.Findings))
	for i, f := range p.Document.Findings {
		x := sheet.Places[i]
		require.Equal(t, f.ID, x.ID)
		require.LessOrEqual(t, x.FromBar, x.ToBar)
		require.Less(t, x.ToBar, sheet.Bars)
		if f.Count == 1 {
			require.Equal(t, f.Bar, x.FromBar, "printed numbers are places here, for the pickup is 0")
		} else {
			require.LessOrEqual(t, x.FromBar, f.Bar)
		}
		require.True(t, 0 <= x.FromStaff && x.FromStaff <= x.ToStaff && x.ToStaff <= 2)
	}
	_, p = demo(t, "drop", 1)
	sheet, err = NewSheet(p)
	require.NoError(t, err)
	require.True(t, sheet.Guessed)
	require.Equal(t, 12, sheet.Bars)
	require.Contains(t, sheet.MusicXML, "<score-partwise")
}

func TestTooLongToEngrave(t *testing.T) {
	_, p := demo(t, "drop", 1)
	long := p.Score.Clone()
	for i := range mostBars {
		last := long.Bars[len(long.Bars)-1]
		long.Bars = append(long.Bars, score.Bar{Number: 13 + i, Start: last.Start + last.Length, Length: last.Length, Metre: last.Metre})
	}
	p.Score = long
	_, err := NewSheet(p)
	require.ErrorContains(t, err, "too many to engrave")
}

// Words in these colours keep the contrast of 4.5 to 1 on white (WCAG 2.1, success criterion
// 1.4.3, relative luminance as defined there).
func TestColoursAreLegible(t *testing.T) {
	for _, s := range []finding.Severity{finding.Fail, finding.Warning, finding.Notice} {
		var rgb [3]int
		_, err := fmt.Sscanf(Color(s), "#%02X%02X%02X", &rgb[0], &rgb[1], &rgb[2])
		require.NoError(t, err)
		l := 0.0
		for i, k := range []float64{0.2126, 0.7152, 0.0722} {
			c := float64(rgb[i]) / 255
			if c <= 0.03928 {
				c /= 12.92
			} else {
				c = math.Pow((c+0.055)/1.055, 2.4)
			}
			l += k * c
		}
		require.GreaterOrEqual(t, 1.05/(l+0.05), 4.5, "%s", s)
	}
}

func TestWrap(t *testing.T) {
	for _, l := range strings.Split(wrap(strings.Repeat("blurred until then ", 20)), "\n") {
		require.LessOrEqual(t, len(l), lineLength)
		require.NotEmpty(t, l)
	}
	require.Equal(t, "", wrap(" "))
}

// With the library goes every licence of what is in it.
func TestLicences(t *testing.T) {
	e, ok := Library()
	if !ok {
		t.Skip("built without the engraving library: run make engraving")
	}
	for _, x := range []string{"opensheetmusicdisplay 2.1.3 (BSD-3-Clause)", "PhonicScore", "vexflow 1.2.93 (MIT)", "jszip", "pako", "loglevel", "typescript-collections"} {
		t.Run(x, func(t *testing.T) {
			require.Contains(t, e.Licences, x)
		})
	}
}

// What was written down when the library was fetched agrees with the script itself.
func TestLibraryAndItsHash(t *testing.T) {
	e, ok := Library()
	if !ok {
		t.Skip("built without the engraving library: run make engraving")
	}
	packed, err := e.Gzip()
	require.NoError(t, err)
	require.Less(t, len(packed), 500_000)
	z, err := gzip.NewReader(bytes.NewReader(packed))
	require.NoError(t, err)
	script, err := io.ReadAll(z)
	require.NoError(t, err)
	require.Contains(t, string(script), "OpenSheetMusicDisplay")
	sum := sha256.Sum256(script)
	require.Equal(t, "sha256-"+base64.StdEncoding.EncodeToString(sum[:]), e.Hash)
	_, err = Engraver{Base64: "…"}.Gzip()
	require.Error(t, err)
}

// Every note that sounds is printed under its number: on each time through a repeat, and each note of a trill.
func TestNotesOnThePage(t *testing.T) {
	data := `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Great</part-name></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>1</divisions><time><beats>2</beats><beat-type>4</beat-type></time></attributes>
<note><pitch><step>C</step><octave>5</octave></pitch><duration>1</duration><voice>1</voice><notations><ornaments><trill-mark/></ornaments></notations></note>
<note><pitch><step>D</step><octave>5</octave></pitch><duration>1</duration><voice>1</voice></note><barline location="right"><repeat direction="backward"/></barline></measure></part></score-partwise>`
	s, err := musicxml.Read([]byte(data), "trill.musicxml")
	require.NoError(t, err)
	require.Greater(t, len(s.Notes), 8)
	organ, ok := voicing.BuiltIn("minster")
	require.True(t, ok)
	m, err := NewMusic(s, organ)
	require.NoError(t, err)
	numbers := map[int]bool{}
	for _, number := range noteNumbers(s) {
		numbers[number] = true
		require.Contains(t, m.MusicXML, fmt.Sprintf(`color="#%06X"`, number))
	}
	require.Len(t, numbers, 2)
}

// Of the texts of a MIDI file those stand over the staves that a player reads; what names the file, its program or its makers, and
// the syllables of a song, do not. All stay in an annotated MIDI file.
func TestTextsOfAMIDIFileThatAreNoDirections(t *testing.T) {
	s, p := demo(t, "drop", 1)
	s = s.Clone()
	says := func(text string, kind score.WordKind, part int) {
		s.Words = append(s.Words, score.Word{Part: part, Kind: kind, Text: text})
	}
	gone := []string{"creator: A. Setter", "creator:", "NoteSetter 3.2", "title: Evening", "https://scores.example/evening", "Copyright A. Setter, free to copy",
		"@KMIDI KARAOKE FILE", "/Hal", "le", "source: the manuscript", "Sequenced by A. Setter", "Staff-1"}
	stay := []string{"Sw.", "Sw: Oboe 8", "- Gt Trompete 8", "Andante", "poco rit.", "sempre legato", "(assistant)"}
	for i, text := range append(slices.Clone(gone), stay...) {
		says(text, score.Text, i%2-1)
	}
	says("A", score.Marker, -1)
	m, err := NewMusic(s, p.Organ)
	require.NoError(t, err)
	var clean bytes.Buffer
	require.NoError(t, WriteClean(&clean, s, p.Organ))
	for _, page := range []string{m.MusicXML, clean.String()} {
		for _, text := range gone {
			require.NotContains(t, page, ">"+text+"</words>")
		}
		for _, text := range stay {
			require.Contains(t, page, ">"+text+"</words>")
		}
		require.Contains(t, page, ">A</rehearsal>")
	}
	var midi bytes.Buffer
	require.NoError(t, Annotate(&midi, s, p))
	for _, text := range append(gone, stay...) {
		require.Contains(t, midi.String(), text)
	}
}

// A score from a MIDI file is written as MusicXML by the schema.
func TestMIDIWrittenAsNotationFollowsTheSchema(t *testing.T) {
	for _, name := range demos.Names {
		s, p := demo(t, name, 1)
		var b bytes.Buffer
		require.NoError(t, WriteClean(&b, s, p.Organ))
		if !schemacheck.Require(t, b.Bytes()) {
			t.Skip(schemacheck.Variable + " is not set")
		}
	}
}

// Instructions about stops that were not read are counted at the head of the annotated score, and the line makes way for that of the
// next proof.
func TestAnnotatedScoresCountWhatWasNotRead(t *testing.T) {
	for _, name := range []string{"vigil", "drop"} {
		s, p := demo(t, name, 1)
		p.Document.Unread = 2
		var b bytes.Buffer
		require.NoError(t, Annotate(&b, s, p))
		again, err := file.Read(b.Bytes(), s.File)
		require.NoError(t, err)
		count := func(s *score.Score) (n int) {
			for _, w := range s.Words {
				if strings.Contains(w.Text, "2 instructions not read (worth knowing): what sounds may not be") {
					require.True(t, score.IsAnnotation(w.Text))
					n++
				}
			}
			return n
		}
		require.Equal(t, 1, count(again), name)
		require.Zero(t, count(unannotated(again)), name)
	}
}
