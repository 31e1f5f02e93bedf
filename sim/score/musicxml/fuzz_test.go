package musicxml

import (
	"archive/zip"
	"bytes"
	"io"
	"testing"

	"afterchord/sim/score"
)

func seeds() [][]byte {
	var packed bytes.Buffer
	z := zip.NewWriter(&packed)
	f, _ := z.Create("score.musicxml")
	_, _ = f.Write(partXML(prelude))
	_ = z.Close()
	return [][]byte{
		partXML(prelude), partXML(ornamented), crotchetBars(3, map[string]string{"1.2": saying("rit."), "2.1": saying("a tempo"), "2.3": saying("molto accel."), "3.1": saying("Tempo I"), "3.2": saying("meno mosso")}), packed.Bytes(), []byte(timewise),
		partXML(bar4(1, "C", grace("D4", `steal-time-following="25"`, "eighth")) + measureXML("2", repeatStart("1", "")+noteXML("E4", 4, "")) + measureXML("3", repeatStop+repeatStart("2", "1")) + measureXML("4", "")),
		partXML(bar4(1, "C", `<barline><repeat direction="backward" times="64"/></barline>`)),
		partXML(`<measure number="0" implicit="yes"><attributes><divisions>2.5</divisions><transpose><chromatic>-2</chromatic></transpose></attributes><direction><direction-type><metronome><beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>c. 60</per-minute></metronome><wedge type="crescendo"/></direction-type><offset>-1</offset><sound dalsegno="x" tocoda="y" coda="y" segno="x" fine="yes" tempo="1e9"/></direction><note><grace slash="yes"/><pitch><step>B</step><alter>0.5</alter><octave>9</octave></pitch></note><note><pitch><step>C</step><octave>4</octave></pitch><duration>1e3</duration><tie type="start"/><notations><fermata/><slur type="start"/></notations></note><backup><duration>99999</duration></backup></measure>`),
		[]byte("PK\x03\x04"), []byte(`<!DOCTYPE a [<!ENTITY b "c">]><score-partwise/>`), []byte("\xff\xfe<\x00a\x00/\x00>\x00"),
	}
}

const timewise = `<score-timewise version="4.0"><part-list><score-part id="P1"><part-name>A</part-name></score-part><score-part id="P2"><part-name>B</part-name></score-part></part-list>
<measure number="1"><part id="P1"><attributes><divisions>1</divisions></attributes><note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration></note></part><part id="P2"><attributes><divisions>1</divisions></attributes><note><pitch><step>C</step><octave>3</octave></pitch><duration>4</duration></note></part></measure>
<measure number="2"><part id="P1"><note><pitch><step>D</step><octave>5</octave></pitch><duration>4</duration></note></part><part id="P2"><note><pitch><step>G</step><octave>2</octave></pitch><duration>4</duration></note></part></measure></score-timewise>`

// Nothing that is read makes the reader or the writer panic, and what is read
// keeps the promises of score.Score.
func FuzzRead(f *testing.F) {
	for _, s := range seeds() {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 1<<16 {
			return
		}
		s, err := Read(data, "fuzz.musicxml")
		if err != nil {
			if bytes.ContainsAny([]byte(err.Error()), "\n\r") {
				t.Fatalf("the message has several lines: %q", err)
			}
			return
		}
		check := func(s *score.Score) {
			end := score.Tick(0)
			for _, b := range s.Bars {
				if b.Start != end || b.Length <= 0 {
					t.Fatalf("bar %d at %d, %d long, after %d", b.Number, b.Start, b.Length, end)
				}
				end += b.Length
			}
			for i, n := range s.Notes {
				if n.ID != i+1 || n.On < 0 || n.Off <= n.On || n.Part < 0 || n.Part >= len(s.Parts) || n.Key < 0 || n.Key > 127 || n.Off > s.End {
					t.Fatalf("note %+v of %d parts", n, len(s.Parts))
				}
			}
			for _, x := range s.Tempos {
				if !(x.Crotchets > 0) {
					t.Fatalf("tempo %+v", x)
				}
			}
		}
		check(s)
		if len(s.Notes) > 2000 {
			return
		}
		c := s.Clone()
		c.Notes = c.Notes[:0]
		for i, n := range s.Notes { // delete, shorten, move, lengthen, transpose
			switch i % 6 {
			case 0:
				continue
			case 1:
				n.Off = n.On + max(1, (n.Off-n.On)/2)
			case 2:
				n.On++
				n.Off++
			case 3:
				n.Off += 100
			case 4:
				n.Key = min(n.Key+1, 127)
			}
			c.Notes = append(c.Notes, n)
		}
		for _, x := range []*score.Score{s, c} {
			if err := Annotate(io.Discard, x, []Annotation{{At: s.End / 2, Part: -1, Text: "x", NoteIDs: []int{1, 2, 3}}}); err != nil {
				t.Fatal(err)
			}
		}
	})
}
