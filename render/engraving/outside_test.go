package engraving

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"afterchord/render/internal/browser"
	"afterchord/sim/demos"
	"afterchord/sim/score"
	"afterchord/sim/score/file"
	"afterchord/voicing"
)

// The library that engraves reads MusicXML on its own. What it finds in a score (ties joined, no grace
// notes) are places in printed bars, so that repeats count once.
const readByLibrary = `(async () => {
  const osmd = new opensheetmusicdisplay.OpenSheetMusicDisplay(document.createElement('div'), { backend: 'svg' });
  await osmd.load(await (await fetch('/score')).text());
  const out = [];
  osmd.Sheet.SourceMeasures.forEach((measure, bar) => {
    for (const column of measure.VerticalSourceStaffEntryContainers)
      for (const entry of column.StaffEntries)
        for (const voice of entry?.VoiceEntries || [])
          for (const note of voice.Notes)
            if (!note.isRest() && !voice.IsGrace && (!note.NoteTie || note.NoteTie.StartNote === note))
              out.push([bar, voice.Timestamp.RealValue * 4, note.halfTone + 12]);
  });
  return JSON.stringify(out);
})()`

// printed is a note's printed bar, crotchets from its start, and key.
type printed [3]float64

func ours(s *score.Score) []printed {
	var out []printed
	for _, n := range s.Notes {
		b := s.Bars[s.BarAt(n.On)]
		out = append(out, printed{float64(printedBar(s, n.On)), float64(n.On-b.Start) / float64(s.TicksPerCrotchet), float64(n.Key)})
	}
	return tidy(out)
}

// tidy sorts notes and takes out what is there twice: a second time through, a second voice.
func tidy(list []printed) []printed {
	for i := range list {
		list[i][1] = math.Round(list[i][1]*1e3) / 1e3
	}
	slices.SortFunc(list, func(a, b printed) int { return slices.Compare(a[:], b[:]) })
	return slices.Compact(list)
}

// A second reader, general-purpose and not ours (npm, render/engraving/package-lock.json), finds the same pitches at
// the same places as we do: in notation as it was written, and in MIDI files as we write them out. Scores in the
// folder AFTERCHORD_SCORES are compared, too.
func TestSecondReader(t *testing.T) {
	e, ok := Library()
	if !ok {
		t.Skip("built without the engraving library: run make engraving")
	}
	browser.Long(t)
	packed, err := e.Gzip()
	require.NoError(t, err)
	served := ""
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch r.URL.Path {
		case "/library.js":
			w.Header().Set("Content-Encoding", "gzip")
			w.Header().Set("Content-Type", "text/javascript")
			w.Write(packed)
		case "/score":
			fmt.Fprint(w, served)
		default:
			fmt.Fprint(w, `<!doctype html><script src="/library.js"></script>`)
		}
	}))
	defer server.Close()
	ctx, end := browser.Start()
	defer end()
	ctx, cancel := context.WithTimeout(ctx, time.Minute)
	defer cancel()
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate(server.URL)))

	files := map[string][]byte{}
	for _, name := range demos.Names {
		files[demos.File(name)], _ = demos.Piece(name)
	}
	if dir := os.Getenv("AFTERCHORD_SCORES"); dir != "" {
		found, err := filepath.Glob(filepath.Join(dir, "*.*"))
		require.NoError(t, err)
		for _, f := range found {
			if ext := filepath.Ext(f); ext == ".mid" || ext == ".musicxml" {
				files[filepath.Base(f)], err = os.ReadFile(f)
				require.NoError(t, err)
			}
		}
	}
	organ, ok := voicing.BuiltIn("minster")
	require.True(t, ok)
	for name, data := range files {
		t.Run(name, func(t *testing.T) {
			s, err := file.Read(data, name)
			require.NoError(t, err)
			m, err := NewMusic(s, organ)
			require.NoError(t, err)
			served = m.MusicXML
			text, err := chromedp.Run(ctx, chromedp.Evaluate[string](readByLibrary, chromedp.EvalAwaitPromise))
			require.NoError(t, err)
			var theirs []printed
			require.NoError(t, json.Unmarshal([]byte(text), &theirs))
			theirs = tidy(theirs)
			mine := ours(s)
			t.Logf("%d notes, %d found by the library", len(mine), len(theirs))
			require.Equal(t, mine, theirs)
		})
	}
}
