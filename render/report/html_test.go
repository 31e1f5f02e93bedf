package report

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/render/internal/sample"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
)

func page0(t *testing.T, d *proof.Document, o Options) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, WriteHTML(&b, d, o))
	return b.String()
}

// TestPagesToLookAt leaves pages for the eye where AFTERCHORD_LOOK names a folder.
func TestPagesToLookAt(t *testing.T) {
	dir := os.Getenv("AFTERCHORD_LOOK")
	if dir == "" {
		dir = t.TempDir()
	}
	d := sample.Document(24, 4)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "proof.html"), []byte(page0(t, d, Options{})), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "long.html"), []byte(page0(t, sample.Document(300, 4), Options{})), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "empty.html"), []byte(page0(t, &proof.Document{}, Options{})), 0o644))
	after := sample.Document(24, 1.2)
	var b bytes.Buffer
	require.NoError(t, WriteSheet(&b, Sheet{Before: d, After: after, Finding: d.Findings[0], Remedy: "The loud chord is let go a dotted crotchet early."}))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "sheet.html"), b.Bytes(), 0o644))
}

func TestTextOfTheScoreCannotBecomeMarkup(t *testing.T) {
	evil := `"><script>alert(1)</script><img src=x onerror=alert(2)>`
	d := sample.Document(8, 4)
	d.Score.Title, d.Score.File, d.Room.Title, d.Organ.Title = evil, evil, evil, evil
	d.Organ.Mapping[0].Part, d.Organ.Dynamics[0].Source, d.Divisions[0] = evil, evil, evil
	d.Remarks[0].Text, d.Organ.Changes[0].Why, d.Room.Seat = evil, evil, evil
	f := &d.Findings[0]
	f.Message, f.Where, f.Division, f.Keys, f.Try, f.Kind = evil, evil, evil, []string{evil}, []string{evil}, evil
	f.Trace.OldTag, f.Trace.Spans[0].Name = evil, evil
	f.Measured[evil] = 1
	d.Organ.Levels[evil] = proof.Level{}
	d.Settings.Thresholds[evil] = 1
	d.Sound.File = `javascript:alert(1)//"onerror=x`
	var sheet bytes.Buffer
	require.NoError(t, WriteSheet(&sheet, Sheet{Title: evil, Before: d, After: d, Finding: *f, Remedy: evil, Question: evil}))
	for _, html := range []string{page0(t, d, Options{}), sheet.String()} {
		t.Run(html, func(t *testing.T) {
			require.NotContains(t, html, "<img")
			require.NotContains(t, html, "<script>alert")
			require.NotRegexp(t, regexp.MustCompile(`<[^>]*\sonerror\s*=`), regexp.MustCompile(`"[^"]*"`).ReplaceAllString(html, `""`))
			require.NotRegexp(t, `(src|href)="javascript:`, html)
		})
	}
	require.Contains(t, page0(t, d, Options{}), `src="./javascript:alert%281%29`)
}

func TestPolicyAllowsOnlyOurScript(t *testing.T) {
	html := page0(t, sample.Document(8, 4), Options{})
	scripts := regexp.MustCompile(`(?s)<script>(.*?)</script>`).FindAllStringSubmatch(html, -1)
	require.Len(t, scripts, 1)
	sum := sha256.Sum256([]byte(scripts[0][1]))
	// html/template writes + as &#43; in an attribute; the browser reads it back.
	want := strings.ReplaceAll(base64.StdEncoding.EncodeToString(sum[:]), "+", "&#43;")
	require.Contains(t, html, "sha256-"+want)
	require.NotContains(t, html, "http://")
	require.NotContains(t, html, "https://")
}

func TestLongPieceStaysSmall(t *testing.T) {
	d := sample.Document(1000, 4) // 33 min, 10 000 notes, 125 findings with pictures
	require.Len(t, d.Notes, 10000)
	html := page0(t, d, Options{})
	require.Less(t, len(html), 3_000_000)
	require.Greater(t, strings.Count(html, `<article`), 100)
}

func TestPageIsTheSameEachTime(t *testing.T) {
	d := sample.Document(16, 4)
	require.Equal(t, page0(t, d, Options{}), page0(t, d, Options{}))
}

func TestFindingsCanBeReachedAndHeard(t *testing.T) {
	d := sample.Document(24, 4)
	html := page0(t, d, Options{})
	require.Contains(t, html, `src="./heard.wav"`)
	for _, f := range d.Findings {
		require.Contains(t, html, f.Where+"</button>")
	}
	require.Contains(t, html, "3 findings at 6 places: 1 lost, 1 weakened, 1 worth knowing.")
	require.Contains(t, html, "can harm hearing")
	d.Sound = nil
	require.NotContains(t, page0(t, d, Options{}), "<audio")
	require.Contains(t, page0(t, d, Options{Embed: []byte("RIFF")}), `src="data:audio/wav;base64,UklGRg=="`)
}

func TestPageBearsOddDocuments(t *testing.T) {
	nan := float32(math.NaN())
	d := sample.Document(8, 4)
	d.Timeline.LevelDB = []float32{nan, nan}
	d.Timeline.StepS = math.Inf(1)
	d.Notes[0].OnS = math.NaN()
	d.Notes[1].Division = 99
	d.Bars[0].AtS = math.NaN()
	d.Findings[0].AtS = math.NaN()
	d.Findings[0].Measured["drop_db"] = math.Inf(-1)
	d.Findings = append(d.Findings, finding.Finding{Trace: &finding.Trace{StepS: -1, OldDB: []float32{1, 2}}})
	for _, doc := range []*proof.Document{d, {}} {
		html := page0(t, doc, Options{})
		require.NotRegexp(t, `style="[^"]*NaN`, html)
	}
	require.Error(t, WriteHTML(io.Discard, nil, Options{}))
	require.Error(t, WriteSheet(io.Discard, Sheet{}))
	require.ErrorContains(t, WriteHTML(failing{}, d, Options{}), "disk full")
	require.ErrorContains(t, WriteJSON(failing{}, d), "disk full")
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestPathKeepsPeaksAndGaps(t *testing.T) {
	v := make([]float32, 10000)
	v[5003] = 1             // a peak of one sample
	v[7001] = float32(-0.5) // below the scale: held at the bottom
	s := scale{from: 0, until: 100, low: 0, high: 1}
	d := s.path(v, 0, 0.01, 100, false)
	require.Contains(t, d, " 10006 0", "the peak is at half the width and at the top")
	require.LessOrEqual(t, strings.Count(d, " "), 2*2*100)
	for i := 2000; i < 4000; i++ {
		v[i] = float32(math.NaN())
	}
	require.Equal(t, 2, strings.Count(s.path(v, 0, 0.01, 100, false), "M"), "a gap breaks the line")
}

func TestSheetDoesNotFlatterARemedy(t *testing.T) {
	d := sample.Document(8, 4)
	f := d.Findings[0]
	cases := []struct {
		name  string
		after func(*proof.Document)
		want  string
	}{
		{"the same", func(*proof.Document) {}, "It did not help: still lost."},
		{"gone", func(a *proof.Document) { a.Findings = nil }, "no longer finds anything here"},
		{"milder", func(a *proof.Document) { a.Findings[0].Severity = finding.Warning }, "milder: weakened instead of lost"},
		{"less", func(a *proof.Document) { a.Findings[0].Weight /= 2 }, "still lost, but less"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			after := sample.Document(8, 4)
			c.after(after)
			var b bytes.Buffer
			require.NoError(t, WriteSheet(&b, Sheet{Before: d, After: after, Finding: f, Remedy: "Changed."}))
			require.Contains(t, b.String(), c.want)
		})
	}
}

func TestJSON(t *testing.T) {
	d := sample.Document(8, 4)
	d.Findings[0].Measured["drop_db"] = math.NaN()
	d.Timeline.LevelDB[0] = float32(math.Inf(-1))
	d.Room.EDT = 1.23456789
	d.Settings.TempoFactor = 0.000123456
	var a, b bytes.Buffer
	require.NoError(t, WriteJSON(&a, d))
	require.NoError(t, WriteJSON(&b, d))
	require.Equal(t, a.String(), b.String())
	require.True(t, json.Valid(a.Bytes()))
	require.Contains(t, a.String(), `"drop_db": null`)
	require.Contains(t, a.String(), `"level_db": [null,`)
	require.Contains(t, a.String(), `"edt_s": 1.2346`)
	require.Contains(t, a.String(), `"tempo_factor": 0.0001235`)
	var back proof.Document
	require.NoError(t, json.Unmarshal(a.Bytes(), &back))
	require.Len(t, back.Notes, len(d.Notes))
	for i, n := range d.Notes {
		require.InDelta(t, n.OffS, back.Notes[i].OffS, 1e-4)
		require.Equal(t, n.Key, back.Notes[i].Key)
	}
	require.Equal(t, d.Organ.Mapping, back.Organ.Mapping)
	require.Equal(t, d.Organ.Levels, back.Organ.Levels)
	require.InDelta(t, d.Findings[0].Measured["inaudible_s"], back.Findings[0].Measured["inaudible_s"], 1e-4)
	require.Less(t, strings.Index(a.String(), `"31.5"`), strings.Index(a.String(), `"125"`), "bands in order of frequency")
}

func TestJSONGolden(t *testing.T) {
	d := &proof.Document{Schema: 1, Divisions: []string{"Great"}, Notes: []proof.NoteInfo{{OnS: 1, OffS: 1.5, Key: 60, Share: 0.12345}}, Room: proof.RoomInfo{RT60: map[string]float64{"1000": 2, "500": 2.1}},
		Timeline: proof.Timeline{StepS: 0.02, LevelDB: []float32{61.237, float32(math.NaN())}, HeardShare: []float32{0.98765, -0}}}
	var b bytes.Buffer
	require.NoError(t, WriteJSON(&b, d))
	if os.Getenv("AFTERCHORD_GOLDEN") != "" {
		require.NoError(t, os.WriteFile("testdata/small.json", b.Bytes(), 0o644))
	}
	want, err := os.ReadFile("testdata/small.json")
	require.NoError(t, err)
	require.Equal(t, string(want), b.String())
}
