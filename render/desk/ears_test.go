package desk

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"afterchord/sim/sound"
)

// TestForHeadphones compares the stream with a rendering for headphones, and keeps it as a file.
func TestForHeadphones(t *testing.T) {
	d, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	p := c.demo("dotted")
	p.A.Room = "chapel"
	pr, _, err := d.run(context.Background(), p, p.A)
	require.NoError(t, err)
	var want []float32
	job := pr.Job(streamRate, false)
	job.Ears = true
	_, err = sound.Render(context.Background(), job, func(b []float32) error { want = append(want, b...); return nil }, nil)
	require.NoError(t, err)
	at := "/api/projects/" + p.ID
	// The plain sound goes first: what is kept for its place must not serve for the ears.
	resp, data := c.send("POST", at+"/sound", listenRequest{[]track{{Side: p.A}, {Side: p.A, Ears: true}}})
	require.Equal(t, 200, resp.StatusCode)
	got, _ := readTracks(t, bytes.NewReader(data), 2)
	require.True(t, slices.Equal(want, got[1]), "the same samples")
	require.False(t, slices.Equal(got[0], got[1]), "not what loudspeakers are given")

	loud := func(ears bool) (l loudnessReply) {
		_, data := c.send("POST", at+"/loudness", loudnessRequest{Side: p.A, Ears: ears})
		require.NoError(t, json.Unmarshal(data, &l))
		return l
	}
	require.NotEqual(t, loud(false), loud(true), "measured, not taken from the other")
	// The two ears have the energy of the stereo pair in every octave band.
	require.InDelta(t, loud(false).LKFS, loud(true).LKFS, 1.5)
	resp, data = c.send("GET", at+"/files/a/heard-ears.wav", nil) // of the project as it is kept: in the cathedral
	require.Equal(t, 200, resp.StatusCode)
	require.Contains(t, resp.Header.Get("Content-Disposition"), "heard-ears.wav")
	require.Greater(t, len(data), 100_000)
}

// ownChurch gives a project a recorded room of 2 s.
func (c client) ownChurch(d *Desk, p *Project) *Project {
	c.t.Helper()
	resp, data := c.send("POST", "/api/projects/"+p.ID+"/own", decayWAV(2), "If-Match", etag(p.Version), "X-File-Name", "Nowhere.wav")
	require.Equal(c.t, 201, resp.StatusCode, string(data))
	p, err := d.store.Get(p.ID)
	require.NoError(c.t, err)
	p, err = d.store.Update(p.ID, p.Version, func(p *Project) error { p.A.Room = "own"; return nil })
	require.NoError(c.t, err)
	return p
}

// A recorded room has the ears that it was recorded with; without the room there is a choice.
func TestRecordedRoomForHeadphones(t *testing.T) {
	d, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	p := c.ownChurch(d, c.demo("dotted"))
	at := "/api/projects/" + p.ID
	for _, dry := range []bool{false, true} {
		t.Run(fmt.Sprint(dry), func(t *testing.T) {
			want, name := 422, "heard-ears.wav"
			if dry {
				want, name = 200, "dry-ears.wav"
			}
			for _, r := range []struct {
				method, path string
				body         any
			}{
				{"POST", "/sound", listenRequest{[]track{{Side: p.A, Dry: dry, Ears: true}}}},
				{"POST", "/loudness", loudnessRequest{Side: p.A, Dry: dry, Ears: true}},
				{"GET", "/files/a/" + name, nil},
			} {
				t.Run(r.method, func(t *testing.T) {
					resp, data := c.send(r.method, at+r.path, r.body)
					require.Equal(t, want, resp.StatusCode, "%s, dry %t", r.path, dry)
					if !dry {
						require.Contains(t, string(data), "the ears that it was recorded with")
					}
				})
			}
		})
	}
}

// TestHeadphonesAtTheDesk changes from loudspeakers to headphones while it plays; the page remembers it, and says
// where there is no choice.
func TestHeadphonesAtTheDesk(t *testing.T) {
	ctx := inBrowser(t)
	d, s := newTestDesk(t, Options{})
	p := tab{t, ctx}
	failures := consoleErrors(t, ctx)
	p.do(chromedp.Navigate(s.URL), chromedp.WaitVisible(chromedp.CSS(`[data-demo=drop]`)))
	p.click(`[data-demo=drop]`)
	p.until(proved)
	js[bool](p, tapped)
	offered := func(name string) bool {
		return js[bool](p, fmt.Sprintf(`!!document.querySelector('#keep-list [data-file="%s"]')`, name))
	}
	require.True(t, offered("heard.wav") && !offered("heard-ears.wav"))

	p.click(`#play`)
	p.until(`level() > 1e-3 && +document.getElementById('clock').dataset.seconds > 0.5`)
	js[bool](p, watchForGaps)
	now, ahead := js[float64](p, `+document.getElementById('clock').dataset.seconds`), js[float64](p, aheadOfAudio)
	p.click(`input[name=ears][value=ears]`)
	p.until(`+document.getElementById('clock').dataset.seconds > ` + number(now+1.5))
	require.Less(t, js[float64](p, aheadOfAudio), ahead+0.5, "goes on at the same place")
	p.until(`level() > 1e-3`)
	require.Less(t, js[float64](p, `watching = false, lost`), 0.15, "s of music that passed unheard in the change to headphones")
	p.click(`#play`)
	require.True(t, offered("heard-ears.wav") && offered("dry-ears.wav") && !offered("heard.wav"), "what is kept follows what is heard")
	p.until(`/\d dB.*before the headphones go on/.test(document.getElementById('caution').textContent)`)

	// Remembered, and stopped by a recorded room as long as the room is heard.
	p.until(`document.getElementById('saved').textContent === 'saved'`)
	list, err := d.store.List(1)
	require.NoError(t, err)
	theirs, err := d.store.Get(list[0].ID)
	require.NoError(t, err)
	newClient(t, s).ownChurch(d, theirs)
	p.do(chromedp.Reload())
	p.until(proved + ` && document.getElementById('room').value === 'own'`)
	require.True(t, js[bool](p, `document.getElementById('ears').disabled && document.getElementById('ears-why').checkVisibility() && document.querySelector('input[name=ears][value=""]').checked`))
	require.True(t, offered("heard.wav") && offered("dry-ears.wav"))
	p.click(`input[name=dry][value=dry]`)
	require.True(t, js[bool](p, `!document.getElementById('ears').disabled && !document.getElementById('ears-why').checkVisibility() && document.querySelector('input[name=ears][value=ears]').checked`))
	p.set("room", "chapel", "change")
	p.click(`input[name=dry][value=""]`)
	require.True(t, js[bool](p, `!document.getElementById('ears').disabled && document.querySelector('input[name=ears][value=ears]').checked`), "the choice of before")
	require.Empty(t, failures(), "the console's errors")
}
