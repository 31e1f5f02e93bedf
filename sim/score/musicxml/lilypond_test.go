package musicxml

import (
	"context"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"afterchord/sim/score"
	"afterchord/sim/score/smf"

	"github.com/stretchr/testify/require"
)

// staffXML writes pitches with lengths in twelfths of a crotchet as one voice:
// "C4:12 D4:6~" where ~ ties on and & joins the chord before; "r:12" rests.
func staffXML(staff, voice int, notes string) string {
	var b strings.Builder
	tied := map[string]bool{}
	for _, f := range strings.Fields(notes) {
		name, length, _ := strings.Cut(f, ":")
		start := strings.HasSuffix(length, "~")
		length = strings.TrimSuffix(length, "~")
		b.WriteString("<note>")
		if strings.HasPrefix(name, "&") {
			b.WriteString("<chord/>")
			name = name[1:]
		}
		if name == "r" {
			b.WriteString("<rest/>")
		} else {
			alter := ""
			switch name[1] {
			case '#':
				alter = "<alter>1</alter>"
			case 'b':
				alter = "<alter>-1</alter>"
			}
			fmt.Fprintf(&b, "<pitch><step>%c</step>%s<octave>%c</octave></pitch>", name[0], alter, name[len(name)-1])
		}
		fmt.Fprintf(&b, "<duration>%s</duration>", length)
		if tied[name] {
			b.WriteString(`<tie type="stop"/>`)
			delete(tied, name)
		}
		if start {
			b.WriteString(`<tie type="start"/>`)
			tied[name] = true
		}
		fmt.Fprintf(&b, "<voice>%d</voice><staff>%d</staff></note>", voice, staff)
	}
	return b.String()
}

func measureXML(number, inner string) string {
	return `<measure number="` + number + `">` + inner + `</measure>`
}

// Small scores of ours, written once for an engraver and once as MusicXML.
var twins = []struct {
	name, ly string
	xml      []byte
}{
	{"two voices with ties and a triplet", `
\score { \new Staff << { \tempo 4 = 72 \time 4/4 d''4 \tuplet 3/2 { fis''8 g'' a'' } <d'' a''>2~ | <d'' a''>2 r2 } \\ { d'1 | cis'2 d' } >> \midi {} }`,
		partXML(measureXML("1", attributes(12, 4, 4, "")+`<sound tempo="72"/>`+staffXML(1, 1, "D5:12 F#5:4 G5:4 A5:4 D5:24~ &A5:24~")+`<backup><duration>48</duration></backup>`+staffXML(1, 2, "D4:48")) +
			`<measure number="2"><note><pitch><step>D</step><octave>5</octave></pitch><duration>24</duration><tie type="stop"/><voice>1</voice></note><note><chord/><pitch><step>A</step><octave>5</octave></pitch><duration>24</duration><tie type="stop"/><voice>1</voice></note>` +
			`<note><rest/><duration>24</duration><voice>1</voice></note><backup><duration>48</duration></backup>` + staffXML(1, 2, "C#4:24 D4:24") + `</measure>`)},
	{"pickup, repeat and voltas", `
\score { \unfoldRepeats { \tempo 4 = 90 \time 3/4 \partial 4 g'4 \repeat volta 3 { c''4 e'' g'' | f''2 d''4 } \alternative { { b'2. } { b'4 c'' d'' } { c''2. } } e''2. } \midi {} }`,
		partXML(`<measure number="0" implicit="yes">` + attributes(12, 3, 4, "") + `<sound tempo="90"/>` + staffXML(1, 1, "G4:12") + `</measure>` +
			measureXML("1", `<barline location="left"><repeat direction="forward"/></barline>`+staffXML(1, 1, "C5:12 E5:12 G5:12")) +
			measureXML("2", staffXML(1, 1, "F5:24 D5:12")) +
			measureXML("3", `<barline location="left"><ending number="1" type="start"/></barline>`+staffXML(1, 1, "B4:36")+`<barline location="right"><ending number="1" type="stop"/><repeat direction="backward"/></barline>`) +
			measureXML("4", `<barline location="left"><ending number="2" type="start"/></barline>`+staffXML(1, 1, "B4:12 C5:12 D5:12")+`<barline location="right"><ending number="2" type="stop"/><repeat direction="backward"/></barline>`) +
			measureXML("5", `<barline location="left"><ending number="3" type="start"/></barline>`+staffXML(1, 1, "C5:36")+`<barline location="right"><ending number="3" type="discontinue"/></barline>`) +
			measureXML("6", staffXML(1, 1, "E5:36")))},
	{"three staves, metres and speeds change", `
\score { << \new Staff { \tempo 4. = 60 \time 6/8 c''4. e''8 d'' c'' | \time 2/4 \tempo 2 = 50 <c'' e''>2 } \new Staff { g'2. | g'4 aes' } \new Staff { c2. | f,4 c, } >> \midi {} }`,
		partXML(measureXML("1", attributes(12, 6, 8, "<staves>3</staves>")+`<direction><direction-type><metronome><beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>60</per-minute></metronome></direction-type></direction>`+
			staffXML(1, 1, "C5:18 E5:6 D5:6 C5:6")+`<backup><duration>36</duration></backup>`+staffXML(2, 2, "G4:36")+`<backup><duration>36</duration></backup>`+staffXML(3, 3, "C3:36")) +
			measureXML("2", `<attributes><time><beats>2</beats><beat-type>4</beat-type></time></attributes><direction><direction-type><metronome><beat-unit>half</beat-unit><per-minute>50</per-minute></metronome></direction-type></direction>`+
				staffXML(1, 1, "C5:24 &E5:24")+`<backup><duration>24</duration></backup>`+staffXML(2, 2, "G4:12 Ab4:12")+`<backup><duration>24</duration></backup>`+staffXML(3, 3, "F2:12 C2:12")))},
	{"an instrument that transposes", `
\score { \new Staff { \tempo 4 = 60 \time 4/4 \transpose c bes, { d''4 fis'' a'' d''' } } \midi {} }`,
		partXML(measureXML("1", attributes(12, 4, 4, "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>")+`<sound tempo="60"/>`+staffXML(1, 1, "D5:12 F#5:12 A5:12 D6:12")))},
}

// LilyPond 2.24 (Debian) is a third implementation: from our own source it writes
// a MIDI file, whose keys and times agree with ours.
func TestAgreesWithLilyPond(t *testing.T) {
	lilypond, err := exec.LookPath("lilypond")
	if err != nil {
		t.Skip("lilypond is not installed")
	}
	dir := t.TempDir()
	var all strings.Builder
	all.WriteString("\\version \"2.24.0\"\n")
	for i, c := range twins {
		fmt.Fprintf(&all, "\\book { \\bookOutputName \"twin%d\" %s }\n", i, c.ly)
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, "twins.ly"), []byte(all.String()), 0o644))
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, lilypond, "--silent", "-dno-print-pages", "twins.ly")
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, string(out))
	for i, c := range twins {
		t.Run(c.name, func(t *testing.T) {
			found, _ := filepath.Glob(filepath.Join(dir, fmt.Sprintf("twin%d*.mid*", i)))
			require.Len(t, found, 1)
			data, err := os.ReadFile(found[0])
			require.NoError(t, err)
			theirs, err := smf.Read(data, "twin.mid")
			require.NoError(t, err)
			require.Equal(t, heard(theirs), heard(mustRead(t, c.xml)))
		})
	}
}

// heard lists keys with onset and end in milliseconds.
func heard(s *score.Score) map[string]int {
	out := map[string]int{}
	for _, n := range s.Notes {
		out[fmt.Sprintf("%s %.0f-%.0f ms", score.KeyName(n.Key), math.Round(1000*s.Seconds(n.On)), math.Round(1000*s.Seconds(n.Off)))]++
	}
	return out
}

// The other way: what we write anew from a MIDI file is read back the same.
func TestTwinsWrittenAnew(t *testing.T) {
	for _, c := range twins {
		t.Run(c.name, func(t *testing.T) {
			s := mustRead(t, c.xml).Clone()
			want := heard(s)
			s.SetSource(nil)
			require.Equal(t, want, heard(requireWhole(t, written(t, s))))
		})
	}
}

// Another program's reader (musicxml2ly, part of Debian's lilypond) understands
// what we write: through it and LilyPond's MIDI come the same keys at the same
// times, from files that we mended and from those written anew.
func TestOthersReadWhatWeWrite(t *testing.T) {
	lilypond, err := exec.LookPath("lilypond")
	convert, err2 := exec.LookPath("musicxml2ly")
	if err != nil || err2 != nil {
		t.Skip("lilypond and musicxml2ly are not installed")
	}
	dir := t.TempDir()
	var ours []*score.Score
	keep := func(s *score.Score) {
		xml := written(t, s)
		require.NoError(t, os.WriteFile(filepath.Join(dir, fmt.Sprintf("w%d.musicxml", len(ours))), []byte(xml), 0o644))
		ours = append(ours, mustRead(t, []byte(xml)))
	}
	for _, edit := range []func(s *score.Score){
		func(*score.Score) {},
		func(s *score.Score) { find(t, s, 1, 2, "D3").Off -= 3 * s.TicksPerCrotchet / 2 },
		func(s *score.Score) { removeNote(s, find(t, s, 0, 1, "F#5").ID) },
		func(s *score.Score) { find(t, s, 0, 1, "G5").Key++ },
		func(s *score.Score) { s.Notes[find2(s, 81, 2)].Off = 3 * s.TicksPerCrotchet },
		func(s *score.Score) { find(t, s, 0, 1, "G5").Off += 3 * s.TicksPerCrotchet },
	} {
		s := mustRead(t, partXML(prelude)).Clone()
		edit(s)
		keep(s)
	}
	for _, i := range []int{0, 2} {
		s := mustRead(t, twins[i].xml).Clone()
		s.SetSource(nil)
		keep(s)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Minute)
	defer cancel()
	run := func(name string, args ...string) {
		cmd := exec.CommandContext(ctx, name, args...)
		cmd.Dir = dir
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, string(out))
	}
	args := []string{"--silent", "-dno-print-pages"}
	for i := range ours {
		ly := filepath.Join(dir, fmt.Sprintf("w%d.ly", i))
		run(convert, "-o", ly, fmt.Sprintf("w%d.musicxml", i))
		text, err := os.ReadFile(ly)
		require.NoError(t, err)
		text = []byte(strings.ReplaceAll(string(text), `\layout {}`, `\midi {}`))
		require.NoError(t, os.WriteFile(ly, text, 0o644))
		args = append(args, ly)
	}
	run(lilypond, args...)
	for i, s := range ours {
		found, _ := filepath.Glob(filepath.Join(dir, fmt.Sprintf("w%d.mid*", i)))
		require.Len(t, found, 1)
		data, err := os.ReadFile(found[0])
		require.NoError(t, err)
		theirs, err := smf.Read(data, "their.mid")
		require.NoError(t, err)
		text, _ := os.ReadFile(filepath.Join(dir, fmt.Sprintf("w%d.musicxml", i)))
		require.Equal(t, struck(theirs), struck(s), "file %d\n%s", i, text)
	}
}

// struck lists keys with onset and sounding end in crotchets; LilyPond's MIDI
// halves a staccato note, as our table does.
func struck(s *score.Score) map[string]int {
	out := map[string]int{}
	q := float64(s.TicksPerCrotchet)
	for _, n := range s.Notes {
		out[fmt.Sprintf("%s %.2f-%.2f", score.KeyName(n.Key), float64(n.On)/q, float64(n.Off)/q)]++
	}
	return out
}
