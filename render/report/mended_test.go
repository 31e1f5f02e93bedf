package report

import (
	"bytes"
	"fmt"
	"html"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/render/internal/sample"
	"afterchord/sim/remedy"
	"afterchord/sim/sweep"
)

func TestMendedPageEscapesAndRunsItsOwnScriptAlone(t *testing.T) {
	evil := `"><script>alert(1)</script>`
	d := sample.Document(12, 4)
	d.Score.Title, d.Room.Title = evil, evil
	var b bytes.Buffer
	require.NoError(t, WriteMended(&b, Mended{Before: d, After: sample.Document(12, 1), Why: evil, Sounds: [2]string{"before/heard.wav", "javascript:x"},
		Changes: []MendedChange{{evil, evil, evil, evil}}, Left: []MendedChange{{Where: evil, What: evil}}}))
	s := b.String()
	require.Equal(t, 1, strings.Count(s, "<script>"), "its own")
	require.NotContains(t, s, "<script>alert")
	require.NotContains(t, s, `src="javascript:`)
	require.True(t, strings.Contains(html.UnescapeString(s), "script-src '"+hashOf(mendedJS)+"'"))
	require.Contains(t, s, `src="./before/heard.wav"`)
	require.Error(t, WriteMended(&b, Mended{Before: d}))
}

func TestSweptPageHasEveryCell(t *testing.T) {
	r := &sweep.Result{Score: "x<y>.mid", Rooms: []sweep.RoomLine{{Name: "a&b", RTS: 1}, {Name: "nave", RTS: 4}}, Tempi: []float64{0.8, 1}, Organs: []string{"one"}}
	for i := range 4 {
		r.Cells = append(r.Cells, sweep.Cell{Crotchets: 60 + float64(i%2)*12, Findings: remedy.Tally{Fails: i, LostS: float64(i)}, Clean: i == 0, LostShare: 0.02 * float64(i),
			Stops: &sweep.Stop{Kind: "covered-entry", Where: fmt.Sprintf("bar %d", 10+i)}})
	}
	r.Fastest = []sweep.Fastest{{Organ: "one", Room: "a&b", Survives: 72}, {Organ: "one", Room: "nave"}}
	r.Passages = []sweep.PassageLine{{Organ: "one", FromBar: 1, ToBar: 4, Fastest: []float64{72, 0}}}
	var b bytes.Buffer
	require.NoError(t, WriteSweep(&b, r))
	s := b.String()
	require.NotContains(t, s, "x<y>")
	require.Contains(t, s, "a&amp;b")
	require.Contains(t, s, "clean")
	require.Contains(t, s, "covered entry, bar 13", "what stops the tempo")
	require.Contains(t, s, "<b>6.0 %</b>", "of the piece")
	require.Contains(t, s, "--heat:100%")
	require.Contains(t, s, ">none<")
}
