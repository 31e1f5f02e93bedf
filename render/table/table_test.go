package table

import (
	"bytes"
	"os"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"afterchord/render/internal/sample"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
)

func findings(t *testing.T, d *proof.Document, o Options) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Findings(&b, d, o))
	return b.String()
}

func TestFindingsFitThePage(t *testing.T) {
	d := sample.Document(400, 4) // 50 findings
	for _, width := range []int{0, 48, 80, 100, 160} {
		for _, plain := range []bool{true, false} {
			s := findings(t, d, Options{Width: width, Plain: plain})
			lines := strings.Split(strings.TrimSuffix(s, "\n"), "\n")
			require.LessOrEqual(t, len(lines), 40)
			for _, l := range lines {
				l = regexp.MustCompile("\x1b\\[[0-9;]*m").ReplaceAllString(l, "")
				require.LessOrEqual(t, utf8.RuneCountInString(l), Options{Width: width}.width(), l)
			}
			require.Regexp(t, `\d+ more findings are in the JSON document\.`, lines[len(lines)-1])
			if plain {
				require.NotRegexp(t, `[^\x20-\x7e\n]`, s)
			}
		}
	}
	require.Equal(t, 50, strings.Count(findings(t, d, Options{All: true, Plain: true, Width: 160}), ", beat 1"))
}

func TestWorstComesFirst(t *testing.T) {
	s := findings(t, sample.Document(24, 4), Options{Plain: true})
	fail, warning, note := strings.Index(s, "\n! "), strings.Index(s, "\n? "), strings.Index(s, "\n- ")
	require.True(t, 0 < fail && fail < warning && warning < note, s)
	require.Contains(t, findings(t, sample.Document(24, 4), Options{Plain: true, Width: 160}), "fall in level 24.0 dB")
}

func TestPlainLettersStayLegible(t *testing.T) {
	d := sample.Document(8, 4)
	d.Findings[0].Division = "Großer Récit ø çà"
	require.Contains(t, strings.Join(strings.Fields(findings(t, d, Options{Plain: true, Width: 160, All: true})), " "), "Grosser")
	require.Equal(t, "Grosser Recit o ca Boehm", Options{Plain: true}.clean("Großer Récit ø çà Böhm"))
	require.Equal(t, "Großer Récit", Options{}.clean("Großer Récit"))
}

func TestLikeNotesShareARow(t *testing.T) {
	note := func(id, bar int, division string) finding.Finding {
		return finding.Finding{ID: id, Kind: finding.KindLateSpeech, Bar: bar, Beat: 1, ToBar: bar, Division: division, Severity: finding.Notice, Message: "Late."}
	}
	fs := []finding.Finding{note(1, 3, "Pedal"), note(2, 9, "Great"), note(3, 8, "Pedal"), note(4, 5, "Pedal"), note(6, 5, "Pedal")}
	rows := rowsOf(fs, true)
	require.Len(t, rows, 2)
	require.Equal(t, "1, 3-4, 6", rows[0].numbers())
	require.Equal(t, "bar 3, beat 1; also bars 5, 8", rows[0].place())
	require.Equal(t, "2", rows[1].numbers())
	require.Equal(t, "bar 9, beat 1", rows[1].place())

	fs[2].Severity, fs[3].Severity = finding.Warning, finding.Warning
	require.Len(t, rowsOf(fs, true), 4, "warnings stand alone")
	require.Len(t, rowsOf(fs, false), 5)
}

func TestNoEscapeSequencesFromTheScore(t *testing.T) {
	d := sample.Document(8, 4)
	d.Findings[0].Division = "\x1b[2JGreat\u202e"
	d.Organ.Mapping[0].Part = "a\x1b]0;owned\x07b"
	d.Remarks[0].Text = "x\r\ny\x9bz"
	var b bytes.Buffer
	require.NoError(t, Settings(&b, d, Options{}))
	for _, s := range []string{b.String(), findings(t, d, Options{Plain: true})} {
		require.NotRegexp(t, "[\x1b\x07\r\u009b\u202e]", s)
	}
}

func TestSettingsSayWhatWasAssumed(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Settings(&b, sample.Document(8, 4), Options{Plain: true, Width: 80}))
	for _, want := range []string{"RT 3.9 s (4.0 s at 500 Hz", "Feet -> Pedal (lowest part)", "4/4 assumed", "bar 3: Sustain pedal"} {
		require.Contains(t, b.String(), want)
	}
}

func TestNoFindings(t *testing.T) {
	require.Contains(t, findings(t, &proof.Document{}, Options{}), "No findings")
}

func TestNotATerminalIsPlain(t *testing.T) {
	f, err := os.CreateTemp(t.TempDir(), "out")
	require.NoError(t, err)
	defer f.Close()
	require.Equal(t, Options{Plain: true}, For(f))
	require.True(t, For(nil).Plain)
}
