package musicxml

import (
	"bytes"
	"fmt"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"afterchord/sim/score"

	"github.com/stretchr/testify/require"
)

// prelude is two bars for two staves: a triplet, a tied chord, a staccato
// crotchet, a slur, transposing nothing.
const prelude = `<measure number="1"><attributes><divisions>6</divisions><key><fifths>2</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time><staves>2</staves></attributes>
<direction placement="above"><direction-type><words>Gt. 8, 4</words></direction-type><staff>1</staff></direction>
<direction><direction-type><dynamics><f/></dynamics></direction-type><staff>1</staff></direction>
<note><pitch><step>D</step><octave>5</octave></pitch><duration>6</duration><voice>1</voice><type>quarter</type><staff>1</staff><notations><articulations><staccato/></articulations></notations></note>
<note><pitch><step>F</step><alter>1</alter><octave>5</octave></pitch><duration>2</duration><voice>1</voice><type>eighth</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification><staff>1</staff><beam number="1">begin</beam><notations><tuplet type="start"/><slur type="start" number="1"/></notations></note>
<note><pitch><step>G</step><octave>5</octave></pitch><duration>2</duration><voice>1</voice><type>eighth</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification><staff>1</staff><beam number="1">continue</beam></note>
<note><pitch><step>A</step><octave>5</octave></pitch><duration>2</duration><voice>1</voice><type>eighth</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification><staff>1</staff><beam number="1">end</beam><notations><tuplet type="stop"/><slur type="stop" number="1"/></notations></note>
<note><pitch><step>D</step><octave>5</octave></pitch><duration>12</duration><tie type="start"/><voice>1</voice><type>half</type><staff>1</staff><notations><tied type="start"/></notations></note>
<note><chord/><pitch><step>A</step><octave>5</octave></pitch><duration>12</duration><tie type="start"/><voice>1</voice><type>half</type><staff>1</staff><notations><tied type="start"/></notations></note>
<backup><duration>24</duration></backup>
<note><pitch><step>D</step><octave>3</octave></pitch><duration>24</duration><voice>5</voice><type>whole</type><staff>2</staff></note>
</measure><measure number="2">
<note><pitch><step>D</step><octave>5</octave></pitch><duration>12</duration><tie type="stop"/><voice>1</voice><type>half</type><staff>1</staff><notations><tied type="stop"/></notations></note>
<note><chord/><pitch><step>A</step><octave>5</octave></pitch><duration>12</duration><tie type="stop"/><voice>1</voice><type>half</type><staff>1</staff><notations><tied type="stop"/></notations></note>
<note><rest/><duration>12</duration><voice>1</voice><type>half</type><staff>1</staff></note>
<backup><duration>24</duration></backup>
<note><pitch><step>D</step><octave>3</octave></pitch><duration>24</duration><voice>5</voice><type>whole</type><staff>2</staff></note>
<barline location="right"><bar-style>light-heavy</bar-style></barline></measure>`

func written(t *testing.T, s *score.Score) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Write(&b, s))
	return b.String()
}

// sounds lists what is heard, in crotchets.
func sounds(s *score.Score) (out []string) {
	for _, n := range s.Notes {
		q := float64(s.TicksPerCrotchet)
		out = append(out, fmt.Sprintf("%d %s %.3f-%.3f", n.Part, score.KeyName(n.Key), float64(n.On)/q, float64(n.Off)/q))
	}
	return out
}

// requireWhole checks that every bar of the file is as long as its metre.
func requireWhole(t *testing.T, xml string) *score.Score {
	t.Helper()
	s, err := Read([]byte(xml), "written.musicxml")
	require.NoError(t, err, xml)
	for _, r := range s.Remarks {
		require.NotContains(t, r.Text, "beats in", xml)
		require.NotContains(t, r.Text, "is printed as", xml)
	}
	return s
}

func TestUnchangedIsUntouched(t *testing.T) {
	data := partXML(prelude)
	s := mustRead(t, data)
	require.Equal(t, squeeze(string(data)), squeeze(written(t, s)))
	require.Equal(t, squeeze(string(data)), squeeze(written(t, s.Clone())))
}

func squeeze(s string) string { return strings.Join(strings.Fields(s), " ") }

func find(t *testing.T, s *score.Score, part, bar int, name string) *score.Note {
	t.Helper()
	for i := range s.Notes {
		if n := &s.Notes[i]; n.Part == part && s.Position(n.On).Bar == bar && score.KeyName(n.Key) == name {
			return n
		}
	}
	t.Fatalf("no %s in bar %d", name, bar)
	return nil
}

func TestEdits(t *testing.T) {
	q := func(s *score.Score, crotchets float64) score.Tick {
		return score.Tick(crotchets * float64(s.TicksPerCrotchet))
	}
	for _, c := range []struct {
		name     string
		edit     func(s *score.Score)
		contains []string
		lacks    []string
	}{
		{"shorten a semibreve", func(s *score.Score) { n := find(t, s, 1, 2, "D3"); n.Off -= q(s, 1) },
			[]string{"<duration>18</duration><voice>5</voice><type>half</type><dot/>", "<rest/><duration>6</duration><voice>5</voice><type>quarter</type><staff>2</staff>"}, nil},
		{"shorten to a tied length", func(s *score.Score) { n := find(t, s, 1, 1, "D3"); n.Off -= q(s, 1.5) },
			[]string{"<type>half</type><staff>2</staff><notations><tied type=\"start\"/>", "<tied type=\"stop\"/>"}, nil},
		{"shorten staccato further", func(s *score.Score) { n := find(t, s, 0, 1, "D5"); n.Off -= q(s, 0.25) }, []string{"<type>16th</type>"}, []string{"staccato"}},
		{"hold staccato", func(s *score.Score) { n := find(t, s, 0, 1, "D5"); n.Off = n.On + n.Written }, nil, []string{"staccato"}},
		{"shorten in a triplet", func(s *score.Score) { n := find(t, s, 0, 1, "A5"); n.Off -= q(s, 1./6) }, []string{"<actual-notes>3</actual-notes>"}, nil},
		{"delete a triplet note", func(s *score.Score) { removeNote(s, find(t, s, 0, 1, "F#5").ID) }, []string{"<rest/>", "tuplet"}, []string{"slur"}},
		{"delete one of a chord", func(s *score.Score) { removeNote(s, s.Notes[find2(s, 74, 2)].ID) }, nil, []string{"<step>D</step><octave>5</octave></pitch><duration>12</duration>"}},
		{"shorten a tied chord within its first bar", func(s *score.Score) {
			for _, k := range []int{74, 81} {
				s.Notes[find2(s, k, 2)].Off = q(s, 3)
			}
		}, nil, []string{"tie "}},
		{"shorten a tied chord to the bar line", func(s *score.Score) {
			for _, k := range []int{74, 81} {
				s.Notes[find2(s, k, 2)].Off = q(s, 4)
			}
		}, nil, []string{"tie "}},
		{"shorten one of a chord", func(s *score.Score) { s.Notes[find2(s, 81, 2)].Off = q(s, 5) }, []string{"<backup>", "<voice>6</voice>"}, nil},
		{"another octave keeps the spelling", func(s *score.Score) { find(t, s, 0, 1, "F#5").Key -= 12 }, []string{"<step>F</step><alter>1</alter><octave>4</octave>"}, []string{"<accidental>"}},
		{"another key gets an accidental", func(s *score.Score) { find(t, s, 0, 1, "G5").Key++ }, []string{"<step>G</step><alter>1</alter>"}, nil},
		{"a longer note goes to a voice of its own", func(s *score.Score) { find(t, s, 0, 1, "G5").Off += q(s, 3) }, []string{"<voice>6</voice>"}, nil},
		{"to another staff", func(s *score.Score) { find(t, s, 1, 1, "D3").Part = 0 }, []string{"<voice>6</voice><type>whole</type><staff>1</staff>"}, nil},
		{"a new note", func(s *score.Score) {
			s.Notes = append(s.Notes, score.Note{ID: 999, Part: 1, Key: 38, On: q(s, 6), Off: q(s, 7), Written: q(s, 1)})
		}, []string{"<octave>2</octave>"}, nil},
		{"a new dynamic", func(s *score.Score) {
			s.Words = append(s.Words, score.Word{At: q(s, 5), Part: 1, Kind: score.Mark, Text: "pp"})
		}, []string{"<pp/>", "<offset sound=\"yes\">6</offset><staff>2</staff>"}, nil},
		{"a dynamic taken out", func(s *score.Score) { s.Words = s.Words[:1] }, []string{"Gt. 8, 4"}, []string{"<f/>"}},
		{"slower from bar 2", func(s *score.Score) {
			s.Tempos = append(s.Tempos, score.Tempo{At: q(s, 4), Crotchets: 80})
		}, []string{`tempo="80"`}, []string{`tempo="120"`}},
		{"slower", func(s *score.Score) { *s = *s.Scaled(0.5) }, []string{`tempo="60"`, "<per-minute>60"}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := mustRead(t, partXML(prelude)).Clone()
			c.edit(s)
			s.SortNotes()
			out := written(t, s)
			again := requireWhole(t, out)
			require.ElementsMatch(t, sounds(s), sounds(again), out)
			flat := strings.NewReplacer("> <", "><").Replace(squeeze(out))
			for _, x := range c.contains {
				require.Contains(t, flat, x)
			}
			for _, x := range c.lacks {
				require.NotContains(t, flat, x)
			}
			require.Contains(t, out, "light-heavy")
			for _, crotchets := range []float64{0, 5, 8} {
				t.Run(fmt.Sprint(crotchets), func(t *testing.T) {
					require.InDelta(t, s.TempoAt(q(s, crotchets)), again.TempoAt(q(again, crotchets)), 1e-3)
				})
			}
			for _, w := range s.Words {
				require.Contains(t, again.Words, rescale(w, s, again))
			}
		})
	}
}

func rescale(w score.Word, from, to *score.Score) score.Word {
	w.At = w.At * to.TicksPerCrotchet / from.TicksPerCrotchet
	return w
}

func removeNote(s *score.Score, id int) {
	for i, n := range s.Notes {
		if n.ID == id {
			s.Notes = append(s.Notes[:i], s.Notes[i+1:]...)
			return
		}
	}
}

// find2 is the index of the note on a key that begins on a crotchet.
func find2(s *score.Score, key, crotchet int) int {
	for i, n := range s.Notes {
		if n.Key == key && n.On == score.Tick(crotchet)*s.TicksPerCrotchet {
			return i
		}
	}
	return -1
}

// Whatever is changed on the grid is read back, and bars add up.
func TestEditsAtRandom(t *testing.T) {
	for name, data := range map[string]string{"plain": prelude, "ornaments": strings.ReplaceAll(ornamented, "<arpeggiate/>", "")} {
		t.Run(name, func(t *testing.T) { editAtRandom(t, mustRead(t, partXML(data))) })
	}
}

func editAtRandom(t *testing.T, base *score.Score) {
	rng := rand.New(rand.NewSource(1))
	q := base.TicksPerCrotchet
	last := map[int]int{} // by ornament: its last note, with which the printed note ends
	for i, o := range base.Source().(*source).notes {
		last[o.group] = i + 1
	}
	delete(last, 0)
	for round := range 300 {
		s := base.Clone()
		var edits []string
		for range 1 + rng.Intn(3) {
			i := rng.Intn(len(s.Notes))
			n := &s.Notes[i]
			if g := base.Source().(*source).notes[n.ID-1].group; last[g] == n.ID {
				continue
			}
			switch rng.Intn(5) {
			case 0:
				edits = append(edits, fmt.Sprintf("delete %v", *n))
				removeNote(s, n.ID)
			case 1:
				if d := n.Off - n.On; d > q/4 && d%(q/4) == 0 {
					n.Off -= score.Tick(1+rng.Intn(int(d/(q/4))-1)) * (q / 4)
				}
				edits = append(edits, fmt.Sprintf("off %v", *n))
			case 2:
				n.Key += rng.Intn(7) - 3
				edits = append(edits, fmt.Sprintf("key %v", *n))
			case 3:
				n.Off = min(n.Off+score.Tick(rng.Intn(3))*q/2, 8*q)
				edits = append(edits, fmt.Sprintf("long %v", *n))
			case 4:
				n.Part = 1 - n.Part
				edits = append(edits, fmt.Sprintf("part %v", *n))
			}
		}
		if overlaps(s) {
			continue // one key twice at once cannot be told apart again
		}
		s.SortNotes()
		out := written(t, s)
		again := requireWhole(t, out)
		require.ElementsMatch(t, sounds(s), sounds(again), "round %d %v\n%s", round, edits, out)
	}
}

func overlaps(s *score.Score) bool {
	for i, a := range s.Notes {
		for _, b := range s.Notes[:i] {
			if a.Part == b.Part && a.Key == b.Key && a.On < b.Off && b.On < a.Off {
				return true
			}
		}
	}
	return false
}

func TestAnnotate(t *testing.T) {
	s := mustRead(t, partXML(prelude))
	var b bytes.Buffer
	require.NoError(t, Annotate(&b, s, []Annotation{{At: 4 * s.TicksPerCrotchet, Part: 1, Text: "covered for 1.2 s & more", NoteIDs: []int{find(t, s, 1, 2, "D3").ID}}}))
	require.Contains(t, b.String(), `covered for 1.2 s &amp; more</words>`)
	require.Equal(t, 1, strings.Count(b.String(), `<note color="#B00020">`))
	require.Equal(t, sounds(s), sounds(requireWhole(t, b.String())))
}

func TestCompressed(t *testing.T) {
	s := mustRead(t, partXML(prelude))
	var b bytes.Buffer
	require.NoError(t, WriteCompressed(&b, s))
	require.Equal(t, sounds(s), sounds(mustRead(t, b.Bytes())))
}

// A score that never was MusicXML.
func TestFresh(t *testing.T) {
	s := mustRead(t, partXML(prelude)).Clone()
	for i := range s.Notes {
		s.Notes[i].Off = s.Notes[i].On + s.Notes[i].Written
	}
	s.SetSource(nil)
	again := requireWhole(t, written(t, s))
	require.ElementsMatch(t, sounds(s), sounds(again))
	require.Equal(t, len(s.Bars), len(again.Bars))
}

// A bar that is played twice is printed once; one that changes, changes both times.
func TestEditInARepeat(t *testing.T) {
	s := mustRead(t, partXML(bar4(1, "C", `<barline location="right"><repeat direction="backward"/></barline>`)+bar4(2, "D"))).Clone()
	require.Equal(t, []int{1, 2, 1}, []int{s.Notes[0].Pass, s.Notes[1].Pass, s.Notes[2].Pass})
	s.Notes[1].Off -= s.TicksPerCrotchet
	again := requireWhole(t, written(t, s))
	require.Equal(t, []string{"0 C4 0.000-3.000", "0 C4 4.000-7.000", "0 D4 8.000-12.000"}, sounds(again))
}

// Marks of speed keep their beat; the file's ratio stays.
func TestScaledMarks(t *testing.T) {
	s := mustRead(t, partXML(`<measure number="1">`+attributes(1, 4, 4, "")+`<direction><direction-type><metronome><beat-unit>half</beat-unit><per-minute>50</per-minute></metronome></direction-type><sound tempo="100"/></direction>`+noteXML("C4", 4, "")+`</measure>`))
	out := written(t, s.Scaled(0.8))
	require.Contains(t, out, "<per-minute>40</per-minute>")
	require.Contains(t, out, `tempo="80"`)
}

func TestAnnotatedStretch(t *testing.T) {
	s := mustRead(t, partXML(prelude))
	var b bytes.Buffer
	require.NoError(t, Annotate(&b, s, []Annotation{{At: 0, Until: 8 * s.TicksPerCrotchet, Text: "blurred"}}))
	require.Equal(t, 2, strings.Count(b.String(), "<bracket "))
	require.Equal(t, sounds(s), sounds(requireWhole(t, b.String())))
}

// A colour that the composer gave a note comes back when the annotation goes, also where
// another program has written ours with an opacity.
func TestColoursComeBack(t *testing.T) {
	s := mustRead(t, partXML(strings.Replace(prelude, "<note>", `<note color="#00AA00">`, 1)))
	plain := written(t, s)
	var all []int
	for _, n := range s.Notes {
		all = append(all, n.ID)
	}
	notes := []Annotation{{NoteIDs: all, Color: "#0072B2"}, {NoteIDs: all, Color: "#C44F00", Until: s.End, Text: "blurred"}}
	var once, twice, clean bytes.Buffer
	require.NoError(t, Annotate(&once, s, notes))
	require.NotContains(t, once.String(), `color="#00AA00"`)
	again := mustRead(t, bytes.ReplaceAll(once.Bytes(), []byte("#C44F00"), []byte("#ffc44f00")))
	again.Words = slices.DeleteFunc(again.Words, func(w score.Word) bool { return w.Text == "blurred" })
	require.NoError(t, Annotate(&twice, again, notes, "#C44F00", "#0072B2"))
	require.Equal(t, squeeze(once.String()), squeeze(twice.String()))
	require.NoError(t, Annotate(&clean, again, nil, "#C44F00"))
	require.Equal(t, squeeze(plain), squeeze(clean.String()))
}
