package musicxml

import (
	"fmt"
	"strings"
	"testing"

	"afterchord/sim/score"

	"github.com/stretchr/testify/require"
)

func ornate(inner string) string {
	return `<notations><ornaments>` + inner + `</ornaments></notations>`
}

// pitches is what sounds as names with lengths in eighths of a crotchet, in order, chords
// joined by their places: "B4:1 A4:1".
func pitches(s *score.Score) string {
	var out []string
	for _, n := range s.Notes {
		out = append(out, fmt.Sprintf("%s@%.3g:%.3g", score.KeyName(n.Key), 8*float64(n.On)/float64(s.TicksPerCrotchet), 8*float64(n.Off-n.On)/float64(s.TicksPerCrotchet)))
	}
	return strings.Join(out, " ")
}

// steady writes notes that follow each other: "B4 A4" of one eighth each from a place on.
func steady(from, each float64, names string) string {
	var out []string
	for _, n := range strings.Fields(names) {
		out = append(out, fmt.Sprintf("%s@%.3g:%.3g", n, from, each))
		from += each
	}
	return strings.Join(out, " ")
}

// 75 crotchets a minute: the speeds of the table come to eight notes a crotchet.
func at75(attr, content string) []byte {
	return partXML(`<measure number="1">` + attr + `<sound tempo="75"/>` + content + `</measure>`)
}

// How ornaments sound: the pages of the elements in MusicXML 4.0 and the defaults of its
// trill-sound attributes (start-note upper for trills, main for mordents); that neighbours
// follow the key signature and the accidentals of the bar, and a turn's four notes, are
// common practice.
func TestOrnaments(t *testing.T) {
	c := attributes(4, 4, 4, "")
	key := func(fifths int) string {
		return strings.Replace(c, "<time>", fmt.Sprintf("<key><fifths>%d</fifths></key><time>", fifths), 1)
	}
	crotchet := func(pitch, more string) string { return noteXML(pitch, 4, "<type>quarter</type>"+more) }
	for _, x := range []struct {
		name string
		data []byte
		want string
	}{
		{"trill", at75(c, crotchet("A4", ornate("<trill-mark/>"))), steady(0, 1, "B4 A4 B4 A4 B4 A4 B4 A4")},
		{"trill in F major", at75(key(-1), crotchet("A4", ornate("<trill-mark/>"))), steady(0, 1, "Bb4 A4 Bb4 A4 Bb4 A4 Bb4 A4")},
		{"trill with an accidental", at75(c, crotchet("A4", ornate(`<trill-mark/><accidental-mark>flat</accidental-mark>`))), steady(0, 1, "Bb4 A4 Bb4 A4 Bb4 A4 Bb4 A4")},
		{"trill after an accidental in the bar", at75(c, noteXML("C#5", 4, "<accidental>sharp</accidental>")+crotchet("B4", ornate("<trill-mark/>"))), "C#5@0:8 " + steady(8, 1, "C#5 B4 C#5 B4 C#5 B4 C#5 B4")},
		{"trill from the note itself", at75(c, crotchet("A4", ornate(`<trill-mark start-note="main"/>`))), steady(0, 1, "A4 B4 A4 B4 A4 B4") + " A4@6:2"},
		{"trill with a turn", at75(c, crotchet("A4", ornate(`<trill-mark two-note-turn="whole"/>`))), steady(0, 1, "B4 A4 B4 A4 B4 A4 G4 A4")},
		{"trill on a B: over the octave", at75(c, crotchet("B4", ornate("<trill-mark/>"))), steady(0, 1, "C5 B4 C5 B4 C5 B4 C5 B4")},
		{"trill for a clarinet in B flat", at75(attributes(4, 4, 4, `<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>`), crotchet("D5", ornate("<trill-mark/>"))), steady(0, 1, "D5 C5 D5 C5 D5 C5 D5 C5")},
		{"trill through a tie", at75(c, crotchet("A4", `<tie type="start"/>`+ornate("<trill-mark/>"))+crotchet("A4", `<tie type="stop"/>`)),
			steady(0, 1, "B4 A4 B4 A4 B4 A4 B4") + " A4@7:2 " + steady(9, 1, "B4 A4 B4 A4 B4") + " A4@14:2"},
		{"trill on a staccato note", at75(c, crotchet("A4", `<notations><ornaments><trill-mark/></ornaments><articulations><staccato/></articulations></notations>`)), steady(0, 1, "B4 A4 B4 A4")},
		{"trill on a short note: its two notes", at75(c, noteXML("A4", 1, "<type>16th</type>"+ornate("<trill-mark/>"))), steady(0, 1, "B4 A4")},
		{"wavy line", at75(c, crotchet("A4", ornate(`<wavy-line type="start"/>`))+crotchet("B4", ornate(`<wavy-line type="stop"/>`))), steady(0, 1, "B4 A4 B4 A4 B4 A4 B4 A4") + " B4@8:8"},
		{"trill in a chord: the highest", at75(c, crotchet("F4", ornate("<trill-mark/>"))+`<note><chord/><pitch><step>A</step><octave>4</octave></pitch><duration>4</duration></note>`), "F4@0:8 " + steady(0, 1, "B4 A4 B4 A4 B4 A4 B4 A4")},
		{"inverted mordent", at75(c, crotchet("A4", ornate("<inverted-mordent/>"))), "A4@0:1 B4@1:1 A4@2:6"},
		{"mordent", at75(c, crotchet("A4", ornate("<mordent/>"))), "A4@0:1 G4@1:1 A4@2:6"},
		{"mordent, sharpened", at75(c, crotchet("A4", ornate(`<mordent/><accidental-mark placement="below">sharp</accidental-mark>`))), "A4@0:1 Ab4@1:1 A4@2:6"},
		{"long mordent", at75(c, crotchet("A4", ornate(`<mordent long="yes"/>`))), steady(0, 1, "A4 G4 A4 G4") + " A4@4:4"},
		{"turn", at75(c, crotchet("A4", ornate("<turn/>"))), steady(0, 1, "B4 A4 G4") + " A4@3:5"},
		{"turn with both accidentals", at75(c, crotchet("A4", ornate(`<turn/><accidental-mark placement="above">flat</accidental-mark><accidental-mark placement="below">sharp</accidental-mark>`))), steady(0, 1, "Bb4 A4 Ab4") + " A4@3:5"},
		{"inverted turn", at75(c, crotchet("A4", ornate("<inverted-turn/>"))), steady(0, 1, "G4 A4 B4") + " A4@3:5"},
		{"turn with a stroke", at75(c, crotchet("A4", ornate(`<turn slash="yes"/>`))), steady(0, 1, "G4 A4 B4") + " A4@3:5"},
		{"delayed turn", at75(c, crotchet("A4", ornate("<delayed-turn/>"))), "A4@0:4 " + steady(4, 1, "B4 A4 G4 A4")},
		{"mordent on a short note: faster, half for the note", at75(c, noteXML("A4", 1, "<type>16th</type>"+ornate("<mordent/>"))), "A4@0:0.667 G4@0.667:0.667 A4@1.33:0.667"},
		{"too short", at75(attributes(8, 4, 4, ""), noteXML("A4", 1, "<type>32nd</type>"+ornate("<turn/>"))), "A4@0:1"},
		{"tremolo of two strokes", at75(c, crotchet("A4", ornate(`<tremolo>2</tremolo>`))), steady(0, 2, "A4 A4 A4 A4")},
		{"tremolo of three strokes", at75(c, crotchet("A4", ornate(`<tremolo type="single">3</tremolo>`))), steady(0, 1, "A4 A4 A4 A4 A4 A4 A4 A4")},
		{"tremolo of five strokes: no faster than the table", at75(c, crotchet("A4", ornate(`<tremolo>5</tremolo>`))), steady(0, 1, "A4 A4 A4 A4 A4 A4 A4 A4")},
		{"tremolo on a quaver: its flag counts", at75(c, noteXML("A4", 2, "<type>eighth</type>"+ornate(`<tremolo>1</tremolo>`))), steady(0, 2, "A4 A4")},
		{"tremolo of a chord", at75(c, crotchet("A4", ornate(`<tremolo>1</tremolo>`))+`<note><chord/><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration>`+ornate(`<tremolo>1</tremolo>`)+`</note>`), "A4@0:4 C5@0:4 A4@4:4 C5@4:4"},
		{"tremolo, unmeasured", at75(c, crotchet("A4", ornate(`<tremolo type="unmeasured">0</tremolo>`))), steady(0, 1, "A4 A4 A4 A4 A4 A4 A4 A4")},
		{"tremolo of a chord, written at its upper note", at75(c, crotchet("A4", "")+`<note><chord/><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration>`+ornate(`<tremolo>1</tremolo>`)+`</note>`), "A4@0:4 C5@0:4 A4@4:4 C5@4:4"},
		{"wavy lines one after the other", at75(c, crotchet("A4", ornate(`<wavy-line type="start"/>`))+crotchet("G4", ornate(`<wavy-line type="stop"/><wavy-line type="start"/>`))+crotchet("A4", ornate(`<wavy-line type="stop"/>`))), steady(0, 1, "B4 A4 B4 A4 B4 A4 B4 A4 A4 G4 A4 G4 A4 G4 A4 G4") + " A4@16:8"},
		{"tremolo of two notes", at75(c, noteXML("A4", 2, "<type>quarter</type>"+ornate(`<tremolo type="start">2</tremolo>`))+noteXML("C5", 2, "<type>quarter</type>"+ornate(`<tremolo type="stop">2</tremolo>`))), steady(0, 2, "A4 C5 A4 C5")},
		{"tremolo without strokes", at75(c, crotchet("A4", ornate(`<tremolo>0</tremolo>`))), "A4@0:8"},
		{"arpeggiate", at75(c, chordXML(16, `<notations><arpeggiate/></notations>`, "C4", "E4", "G4")), "C4@0:32 E4@0.667:31.3 G4@1.33:30.7"},
		{"arpeggiate, written at one note", at75(c, strings.Replace(chordXML(16, "#", "C4", "E4"), "#", `<notations><arpeggiate/></notations>`, 1)), "C4@0:32 E4@0.667:31.3"},
		{"arpeggiate down", at75(c, chordXML(16, `<notations><arpeggiate direction="down"/></notations>`, "C4", "E4", "G4")), "G4@0:32 E4@0.667:31.3 C4@1.33:30.7"},
		{"arpeggiate through two staves", at75(attributes(4, 4, 4, "<staves>2</staves>"), chordXML(16, `<staff>1</staff><notations><arpeggiate number="1"/></notations>`, "E5", "G5")+`<backup><duration>16</duration></backup>`+chordXML(16, `<staff>2</staff><notations><arpeggiate number="1"/></notations>`, "C3", "G3")), "C3@0:32 G3@0.667:31.3 E5@1.33:30.7 G5@2:30"},
		{"non-arpeggiate", at75(c, chordXML(16, `<notations><non-arpeggiate type="bottom"/></notations>`, "C4", "E4")), "C4@0:32 E4@0:32"},
	} {
		t.Run(x.name, func(t *testing.T) {
			s := mustRead(t, x.data)
			require.Equal(t, x.want, pitches(s))
			require.Equal(t, squeeze(string(x.data)), squeeze(written(t, s)), "what was not changed stays")
			var said []string
			for _, r := range s.Remarks {
				said = append(said, r.Text)
			}
			if x.name == "too short" {
				require.Equal(t, []string{"the note is too short for its turn: played plain"}, said)
			} else {
				require.Empty(t, said)
			}
		})
	}
}

// chordXML is a chord of equal lengths; what is said of each note is put in.
func chordXML(duration int, more string, names ...string) string {
	out := ""
	for i, n := range names {
		x := noteXML(n, duration, more)
		if i > 0 {
			x = strings.Replace(x, "<note>", "<note><chord/>", 1)
			x = strings.ReplaceAll(x, "#", "")
		}
		out += x
	}
	return out
}

// ornamented is two staves with one of each kind of ornament, in G major.
var ornamented = `<measure number="1"><attributes><divisions>24</divisions><key><fifths>1</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time><staves>2</staves></attributes><sound tempo="75"/>` +
	ornateNote("E5", 24, 1, "quarter", ornate("<trill-mark/>")) + ornateNote("D5", 24, 1, "quarter", ornate("<mordent/>")) +
	ornateNote("B4", 48, 1, "half", `<notations><tied type="start"/><ornaments><trill-mark/><wavy-line type="start"/></ornaments></notations>`) +
	`<backup><duration>96</duration></backup>` + ornateNote("G3", 48, 2, "half", ornate("<delayed-turn/>")) + ornateNote("C3", 48, 2, "half", ornate("<tremolo>2</tremolo>")) +
	`</measure><measure number="2">` +
	ornateNote("B4", 24, 1, "quarter", `<notations><tied type="stop"/><ornaments><wavy-line type="stop"/></ornaments></notations>`) + ornateNote("A4", 24, 1, "quarter", ornate("<turn/>")) +
	ornateNote("F#4", 48, 1, "half", `<notations><arpeggiate/></notations>`) + strings.Replace(ornateNote("A4", 48, 1, "half", `<notations><arpeggiate/></notations>`), "<note>", "<note><chord/>", 1) +
	`<backup><duration>96</duration></backup>` + ornateNote("D3", 24, 2, "half", `<time-modification><actual-notes>2</actual-notes><normal-notes>1</normal-notes></time-modification>`, ornate(`<tremolo type="start">2</tremolo>`)) +
	ornateNote("A3", 24, 2, "half", `<time-modification><actual-notes>2</actual-notes><normal-notes>1</normal-notes></time-modification>`, ornate(`<tremolo type="stop">2</tremolo>`)) +
	ornateNote("D3", 48, 2, "half", ornate(`<tremolo>1</tremolo>`)) + strings.Replace(ornateNote("F#3", 48, 2, "half", ""), "<note>", "<note><chord/>", 1) + `</measure>`

func ornateNote(pitch string, duration, staff int, kind string, more ...string) string {
	x := noteXML(pitch, duration, "")
	mod, notations := "", more[len(more)-1]
	if len(more) > 1 {
		mod = more[0]
	}
	return strings.Replace(x, "<voice>1</voice></note>", fmt.Sprintf("<voice>%d</voice><type>%s</type>%s<staff>%d</staff>%s</note>", 4*staff-3, kind, mod, staff, notations), 1)
}

// tonesOf are the notes of the score from a place in crotchets on that are played for one
// ornament.
func tonesOf(t *testing.T, s *score.Score, part int, crotchet float64, until float64) (out []*score.Note) {
	q := float64(s.TicksPerCrotchet)
	for i := range s.Notes {
		if n := &s.Notes[i]; n.Part == part && float64(n.On) >= crotchet*q-1 && float64(n.On) < until*q-1 {
			out = append(out, n)
		}
	}
	require.NotEmpty(t, out)
	return out
}

// What is done to all notes of an ornament is done to the printed note, which keeps its sign;
// where some were changed they are written out. Either way it sounds as wanted when read back.
func TestEditsOfOrnaments(t *testing.T) {
	type edit = func(t *testing.T, s *score.Score)
	octave := func(part int, from, to float64) edit {
		return func(t *testing.T, s *score.Score) {
			for _, n := range tonesOf(t, s, part, from, to) {
				n.Key -= 12
			}
		}
	}
	gone := func(part int, from, to float64) edit {
		return func(t *testing.T, s *score.Score) {
			for _, n := range tonesOf(t, s, part, from, to) {
				n.ID = -1
			}
			kept := s.Notes[:0]
			for _, n := range s.Notes {
				if n.ID > 0 {
					kept = append(kept, n)
				}
			}
			s.Notes = kept
		}
	}
	for _, c := range []struct {
		name  string
		edit  edit
		signs string // that are still printed
		lacks string
	}{
		{"nothing", func(*testing.T, *score.Score) {}, "trill-mark mordent wavy-line delayed-turn turn tremolo", ""},
		{"trill an octave lower", octave(0, 0, 1), "trill-mark mordent", ""},
		{"trill gone", gone(0, 0, 1), "mordent wavy-line", ""},
		{"trill cut to its half", gone(0, 0.5, 1), "trill-mark", ""},
		{"one note of the trill gone", gone(0, 0.25, 0.375), "mordent", ""},
		{"mordent without its middle", gone(0, 1.125, 1.25), "trill-mark", "<mordent"},
		{"mordent an octave lower", octave(0, 1, 2), "mordent", ""},
		{"mordent let go early", func(t *testing.T, s *score.Score) {
			for _, n := range tonesOf(t, s, 0, 1.25, 2) {
				n.Off -= s.TicksPerCrotchet / 4
			}
		}, "mordent", ""},
		{"mordent, a semitone higher: written out", func(t *testing.T, s *score.Score) {
			for _, n := range tonesOf(t, s, 0, 1, 2) {
				n.Key++
			}
		}, "trill-mark", "<mordent"},
		{"mordent, each note detached: written out", func(t *testing.T, s *score.Score) {
			for _, n := range tonesOf(t, s, 0, 1, 2) {
				n.Off -= (n.Off - n.On) / 2
			}
		}, "trill-mark", "<mordent"},
		{"mordent to the other staff", func(t *testing.T, s *score.Score) {
			for _, n := range tonesOf(t, s, 0, 1, 2) {
				n.Part = 1
			}
		}, "mordent", ""},
		{"tied trill an octave lower", octave(0, 2, 5), "trill-mark wavy-line", ""},
		{"tied trill gone", gone(0, 2, 5), "trill-mark", "<wavy-line"},
		{"tied trill: one note lower", func(t *testing.T, s *score.Score) { tonesOf(t, s, 0, 3, 3.125)[0].Key -= 12 }, "trill-mark", "<wavy-line"},
		{"delayed turn let go early: written out", func(t *testing.T, s *score.Score) {
			n := tonesOf(t, s, 1, 1.875, 2)[0]
			n.Off -= s.TicksPerCrotchet / 16
		}, "turn", "<delayed-turn"},
		{"repeated notes cut short", gone(1, 3, 4), "tremolo", ""},
		{"repeated notes: the second one gone", gone(1, 2.25, 2.5), "trill-mark", ""},
		{"two notes in tremolo gone", gone(1, 4, 6), "turn", `"start">2<`},
		{"of two notes in tremolo one gone", func(t *testing.T, s *score.Score) {
			for _, n := range tonesOf(t, s, 1, 4, 6) {
				if n.Key == 57 {
					n.Key = -1
				}
			}
			kept := s.Notes[:0]
			for _, n := range s.Notes {
				if n.Key > 0 {
					kept = append(kept, n)
				}
			}
			s.Notes = kept
		}, "turn", `"start">2<`},
		{"a chord in tremolo loses a note", func(t *testing.T, s *score.Score) { removeNote(s, tonesOf(t, s, 1, 6, 8)[1].ID) }, "turn", "<tremolo>1"},
		{"rolled chord let go early", func(t *testing.T, s *score.Score) {
			for _, n := range tonesOf(t, s, 0, 6, 8) {
				n.Off -= s.TicksPerCrotchet
			}
		}, "arpeggiate", ""},
		{"rolled chord: the upper note gone", func(t *testing.T, s *score.Score) { removeNote(s, tonesOf(t, s, 0, 6, 8)[1].ID) }, "turn", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := mustRead(t, partXML(ornamented)).Clone()
			c.edit(t, s)
			s.SortNotes()
			out := written(t, s)
			for _, x := range strings.Fields(c.signs) {
				require.Contains(t, out, "<"+x)
			}
			if c.lacks != "" {
				require.NotContains(t, out, c.lacks)
			}
			require.ElementsMatch(t, sounds(s), sounds(requireWhole(t, out)), out)
		})
	}
}

// A note of an ornament that is named by a finding colours the printed note.
func TestOrnamentsAreColoured(t *testing.T) {
	s := mustRead(t, partXML(ornamented))
	var b strings.Builder
	require.NoError(t, Annotate(&b, s, []Annotation{{NoteIDs: []int{tonesOf(t, s, 0, 0.5, 1)[0].ID}, Color: "#C44F00"}}))
	require.Equal(t, 1, strings.Count(b.String(), `<note color="#C44F00">`))
	require.Contains(t, b.String(), `<note color="#C44F00"><pitch><step>E</step>`)
}

// Lines that cross: one ends on the note where the next begins.
func TestCrossingWavyLines(t *testing.T) {
	crotchet := func(pitch, more string) string { return noteXML(pitch, 4, "<type>quarter</type>"+more) }
	data := at75(attributes(4, 4, 4, ""), crotchet("A4", ornate(`<wavy-line type="start" number="1"/>`))+
		crotchet("B4", ornate(`<wavy-line type="start" number="2"/><wavy-line type="stop" number="1"/>`))+crotchet("G4", "")+
		crotchet("A4", ornate(`<wavy-line type="stop" number="2"/>`)))
	s, err := Read(data, "crossing.musicxml")
	require.NoError(t, err)
	keys := map[int]bool{}
	for _, n := range s.Notes {
		keys[n.Key] = true
	}
	require.True(t, keys[71] && keys[72] && keys[69] && keys[67], "B4 with C5, G4 with A4")
}
