package desk

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"

	"afterchord/acoustics/wav"
)

// TestOwnChurchAndOrganAtTheDesk describes a church in words, counts in another, and pastes a stop list; each is then on the desk.
func TestOwnChurchAndOrganAtTheDesk(t *testing.T) {
	ctx := inBrowser(t)
	_, s := newTestDesk(t, Options{})
	p := tab{t, ctx}
	failures := consoleErrors(t, ctx)
	p.do(chromedp.EmulateViewport(1280, 900), chromedp.Navigate(s.URL), chromedp.WaitVisible(chromedp.CSS(`[data-demo=drop]`)))
	p.click(`[data-demo=drop]`)
	p.until(proved)
	js[bool](p, `[...document.querySelectorAll('#own-church, #own-pipes')].every(d => { d.open = true; return true; })`)

	p.click(`#own-words`)
	p.until(`!!document.querySelector('dialog.own[open] .plan svg')`)
	p.set("own-walls", "stone", "change")
	place := `document.querySelector('dialog.own .plan .marker[aria-label="Your place"]')`
	js[bool](p, place+`.focus(), true`)
	p.press(kb.ArrowRight, kb.ArrowRight, kb.ArrowDown)
	require.Equal(t, "16.0 m along, 0.5 m off the axis", js[string](p, place+`.getAttribute('aria-valuetext')`))
	at := func(selector, axis string) float64 {
		return js[float64](p, `(() => { const b = document.querySelector('dialog.own .plan `+selector+`').getBoundingClientRect(); return b.`+axis+` + b.`+map[string]string{"x": "width", "y": "height"}[axis]+` / 2; })()`)
	}
	x, y := at(`.marker[aria-label="Your place"]`, "x"), at(`.marker[aria-label="Your place"]`, "y")
	width := js[float64](p, `document.querySelector('dialog.own .plan .floor').getBoundingClientRect().width`)
	p.do(chromedp.MouseEvent(chromedp.MousePressed, x, y, chromedp.ButtonLeft, chromedp.ClickCount(1)), chromedp.MouseEvent(chromedp.MouseMoved, x+width/6, y, chromedp.ButtonLeft),
		chromedp.MouseEvent(chromedp.MouseReleased, x+width/6, y, chromedp.ButtonLeft))
	require.InDelta(t, 21, js[float64](p, `+`+place+`.getAttribute('aria-valuenow')`), 0.3, "a sixth of 30 m farther")
	p.click(`dialog.own section > button`)
	p.until(`!!document.querySelector('dialog.own .answer b')`)
	look(t, ctx, "own-church")
	require.Contains(t, js[string](p, `document.querySelector('dialog.own .answer').textContent`), "described in words, not measured")
	p.click(`dialog.own .answer button`)
	p.until(`!document.querySelector('dialog.own') && document.getElementById('room').value === 'own'`)
	p.until(proved)
	require.Equal(t, "my place", js[string](p, `document.getElementById('seat').value`))

	p.click(`#own-stops`)
	p.set("own-list", `Great\nOpen Diapason 8\nPrincipal 4\nBrzzl 8\n\nPedal\nBourdon 16\nGt to Ped`, "input")
	p.click(`dialog.own .inside > button`)
	p.until(`!!document.querySelector('dialog.own .answer table')`)
	look(t, ctx, "own-organ")
	require.Contains(t, js[string](p, `document.querySelector('dialog.own .answer').textContent`), "1 not understood and left out")
	p.click(`dialog.own .answer button`)
	p.until(`!document.querySelector('dialog.own') && document.getElementById('organ').value === 'own'`)
	p.until(proved)

	require.Empty(t, failures())
}

// TestClapsIntoTheMicrophone records claps of a room of 1.5 s, played by the browser's own test microphone.
func TestClapsIntoTheMicrophone(t *testing.T) {
	file := filepath.Join(t.TempDir(), "claps.wav")
	require.NoError(t, os.WriteFile(file, clapsWAV(t, 1.5), 0o600))
	ctx := inBrowser(t, chromedp.Flag("use-fake-device-for-media-stream", true), chromedp.Flag("use-fake-ui-for-media-stream", true),
		chromedp.Flag("use-file-for-fake-audio-capture", file))
	_, s := newTestDesk(t, Options{})
	p := tab{t, ctx}
	failures := consoleErrors(t, ctx)
	p.do(chromedp.EmulateViewport(1280, 900), chromedp.Navigate(s.URL), chromedp.WaitVisible(chromedp.CSS(`[data-demo=drop]`)))
	p.click(`[data-demo=drop]`)
	p.until(proved)
	p.click(`#own-claps`)
	js[bool](p, `(make => { URL.createObjectURL = b => { b.text().then(s => { if (s.startsWith('name')) window.ourChurch = s; }); return make(b); }; return true; })(URL.createObjectURL.bind(URL))`)
	p.click(`dialog.own .inside button.big`)
	p.until(`document.querySelectorAll('dialog.own .heard li').length >= 3`)
	require.Contains(t, js[string](p, `document.querySelector('dialog.own .heard').textContent`), "Clap 2: good")
	p.click(`dialog.own .inside button.big`)
	p.until(`!!document.querySelector('dialog.own .answer b, dialog.own .answer .trouble')`)
	look(t, ctx, "own-claps")
	text := js[string](p, `document.querySelector('dialog.own .answer').textContent`)
	var rt float64
	_, err := fmt.Sscanf(text, "%f s", &rt)
	require.NoError(t, err, text)
	require.InEpsilon(t, 1.5, rt, 0.1, text)
	// The saved file is the church: it is opened on another desk, and says there what it says here.
	p.until(`typeof window.ourChurch === 'string'`)
	saved := js[string](p, `window.ourChurch`)
	require.Contains(t, saved, "[recording]")
	p.click(`dialog.own .answer button`)
	p.until(`!document.querySelector('dialog.own') && document.getElementById('room').value === 'own'`)
	p.until(proved + ` && !document.getElementById('room-said').hidden`)
	here := js[string](p, `document.getElementById('facts').textContent + document.getElementById('room-said').textContent`)
	require.Contains(t, here, "claps or bursts")

	_, other := newTestDesk(t, Options{})
	p.do(chromedp.Navigate(other.URL), chromedp.WaitVisible(chromedp.CSS(`[data-demo=drop]`)))
	p.click(`[data-demo=drop]`)
	p.until(proved)
	church := filepath.Join(t.TempDir(), "our-church.toml")
	require.NoError(t, os.WriteFile(church, []byte(saved), 0o600))
	p.do(chromedp.SetUploadFiles(chromedp.CSS(`#own`), []string{church}))
	p.until(`document.getElementById('room').value === 'own'`)
	p.until(proved + ` && !document.getElementById('room-said').hidden`)
	require.Equal(t, here, js[string](p, `document.getElementById('facts').textContent + document.getElementById('room-said').textContent`))
	require.Empty(t, failures())
}

// clapsWAV are three claps in a room that takes rt s for 60 dB, 16 bits mono at 48 kHz.
func clapsWAV(t *testing.T, rt float64) []byte {
	t.Helper()
	const rate = 48000
	rng := rand.New(rand.NewPCG(1, 2))
	sound := make([]float64, 12*rate)
	for i := range sound {
		sound[i] = 1e-5 * rng.NormFloat64()
	}
	for _, at := range []int{rate, 5 * rate, 9 * rate} {
		for i := range int(min(2.9, 1.5*rt) * rate) {
			sound[at+i] += 0.15 * rng.NormFloat64() * math.Pow(10, -3*float64(i)/rate/rt)
		}
	}
	var b bytes.Buffer
	w, err := wav.Stream(&b, wav.Options{Rate: rate, Channels: 1, Format: wav.Int16, Frames: int64(len(sound))})
	require.NoError(t, err)
	require.NoError(t, w.Write64(sound))
	require.NoError(t, w.Close())
	return b.Bytes()
}

// TestReadingAtTheDesk turns the knobs of reading: bars once, and the upbeat, which notation knows by itself.
func TestReadingAtTheDesk(t *testing.T) {
	ctx := inBrowser(t)
	_, s := newTestDesk(t, Options{})
	p := tab{t, ctx}
	p.do(chromedp.Navigate(s.URL), chromedp.WaitVisible(chromedp.CSS(`[data-demo=drop]`)))
	p.click(`[data-demo=drop]`)
	p.until(proved)
	p.set("upbeat", "1", "change")
	p.until(proved + ` && document.getElementById('undo').textContent === 'Undo: upbeat'`)
	require.Contains(t, js[string](p, `document.getElementById('facts').textContent`), "0:37")
	p.click(`#as-printed`)
	p.until(proved + ` && document.getElementById('undo').textContent === 'Undo: repeats'`)
	require.False(t, js[bool](p, `document.getElementById('upbeat').disabled`), "a MIDI file")
}
