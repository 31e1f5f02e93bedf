package page

import (
	"bytes"
	"context"
	"encoding/base64"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/storage"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"afterchord/render/internal/browser"
)

// before runs a script in each page before its own.
func before(t *testing.T, ctx context.Context, script string) {
	t.Helper()
	require.NoError(t, chromedp.Do(ctx, quietly(func(ctx context.Context, _ *chromedp.Target) (bool, error) {
		_, err := chromedp.Call(ctx, cdppage.AddScriptToEvaluateOnNewDocument, cdppage.AddScriptToEvaluateOnNewDocumentParams{Source: script})
		return true, err
	})))
}

// served serves the page from a plain server with its policy.
func served(t *testing.T) string {
	t.Helper()
	file, policy := built(t)
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Security-Policy", string(policy))
		http.ServeFile(w, r, file)
	}))
	t.Cleanup(s.Close)
	return s.URL + "/"
}

// drop gives the page a score, as its user would.
func drop(t *testing.T, ctx context.Context, name string, data []byte) {
	t.Helper()
	pick(t, ctx, "file", name, data)
}

// pick gives a file to one of the page's buttons.
func pick(t *testing.T, ctx context.Context, input, name string, data []byte) {
	t.Helper()
	js(t, ctx, `(() => {
	  const bytes = Uint8Array.from(atob('`+base64.StdEncoding.EncodeToString(data)+`'), c => c.charCodeAt(0));
	  const taken = new DataTransfer();
	  taken.items.add(new File([bytes], '`+name+`'));
	  const input = document.getElementById('`+input+`');
	  document.body.dataset.proved = '';
	  input.files = taken.files;
	  input.dispatchEvent(new Event('change', { bubbles: true }));
	  return '';
	})()`)
}

// piece is a MIDI file of four parts in crotchets, so many minutes long.
func piece(t *testing.T, minutes int) []byte {
	t.Helper()
	const ticks = 480
	s := smf.New()
	s.TimeFormat = smf.MetricTicks(ticks)
	for part, name := range []string{"Great", "Swell", "Swell", "Pedal"} {
		var track smf.Track
		track.Add(0, smf.MetaTrackSequenceName(name))
		if part == 0 {
			track.Add(0, smf.MetaTempo(90))
		}
		for n := range 90 * minutes {
			key := uint8([]int{67, 64, 60, 41}[part] + []int{0, 5, 7, 2, 4, 9, 7, 5}[(n/2+part)%8]/(1+part%2))
			track.Add(0, midi.NoteOn(uint8(part), key, uint8(60+30*(n/64%2))))
			track.Add(ticks, midi.NoteOff(uint8(part), key))
		}
		track.Close(0)
		require.NoError(t, s.Add(track))
	}
	var b bytes.Buffer
	_, err := s.WriteTo(&b)
	require.NoError(t, err)
	return b.Bytes()
}

// TestPageWithoutStorage: where the browser keeps nothing, the page says so and works.
func TestPageWithoutStorage(t *testing.T) {
	browser.Long(t)
	ctx := inChromium(t)
	address := served(t)
	before(t, ctx, `for (const name of ['indexedDB', 'localStorage', 'sessionStorage']) Object.defineProperty(globalThis, name, { get() { throw new DOMException('denied', 'SecurityError'); } });`)
	visit(t, ctx, address, native(t))
	until(t, ctx, `!document.getElementById('page-passing').hidden`)
}

// TestPageWithFullStorage: a store that takes no more is said in one line, what was turned is not lost, and is saved
// when there is room again.
func TestPageWithFullStorage(t *testing.T) {
	browser.Long(t)
	ctx := inChromium(t)
	address := served(t)
	visit(t, ctx, address, native(t))
	quota := func(bytes float64) {
		require.NoError(t, chromedp.Do(ctx, quietly(func(ctx context.Context, _ *chromedp.Target) (bool, error) {
			_, err := chromedp.Call(ctx, storage.OverrideQuotaForOrigin, storage.OverrideQuotaForOriginParams{Origin: strings.TrimSuffix(address, "/"), QuotaSize: &bytes})
			return true, err
		})))
	}
	quota(1)
	// The browser looks at its quota now and then: turn a knob until it does.
	js(t, ctx, `(() => {
	  let n = 0;
	  window.turning = setInterval(() => {
	    const e = document.getElementById('seat');
	    if (document.getElementById('saved').textContent.startsWith('not saved')) { clearInterval(turning); return; }
	    e.value = ['front', 'back'][n++ % 2];
	    e.dispatchEvent(new Event('change', { bubbles: true }));
	  }, 1500);
	  return ''; })()`)
	until(t, ctx, `document.getElementById('saved').textContent.includes('store is full')`)
	until(t, ctx, proved)
	turned := js(t, ctx, `document.getElementById('seat').value`)
	quota(1 << 30)
	until(t, ctx, `document.getElementById('saved').textContent === 'saved'`)
	require.NoError(t, chromedp.Do(ctx, chromedp.Reload()))
	until(t, ctx, proved+` && document.getElementById('seat').value === '`+turned+`'`)
}

// TestPageWithLongScore judges and plays twenty minutes of music.
func TestPageWithLongScore(t *testing.T) {
	browser.Long(t)
	ctx := inChromium(t)
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate(served(t))))
	until(t, ctx, `!!document.querySelector('[data-demo=drop]')`)
	drop(t, ctx, "long.mid", piece(t, 20))
	until(t, ctx, proved+` && document.getElementById('facts').textContent.includes('20:')`)
	js(t, ctx, `document.getElementById('play').click(), ''`)
	until(t, ctx, `+document.getElementById('clock').dataset.seconds > 0.5`)
	js(t, ctx, `document.getElementById('play').click(), ''`)
	require.Empty(t, js(t, ctx, `document.getElementById('trouble').textContent`))
}

// TestPageWithLittleMemory: a program that gets no more memory is started again with the project as it was, and in the
// end is given up in words.
func TestPageWithLittleMemory(t *testing.T) {
	browser.Long(t)
	ctx := inChromium(t, "js-flags=--wasm-max-mem-pages=1000") // of 64 KiB
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate(served(t))))
	until(t, ctx, `!!document.querySelector('[data-demo=drop]')`)
	js(t, ctx, `document.querySelector('[data-demo=drop]').click(), ''`)
	until(t, ctx, proved+` && document.getElementById('saved').textContent === 'saved'`)
	want, first := js(t, ctx, written), js(t, ctx, `location.hash`)
	js(t, ctx, `document.getElementById('pieces').click(), ''`)
	drop(t, ctx, "long.mid", piece(t, 30))
	until(t, ctx, `/memory/.test(document.getElementById('trouble').textContent)`)
	js(t, ctx, `location.hash = '`+first+`', ''`)
	require.NoError(t, chromedp.Do(ctx, chromedp.Reload()))
	until(t, ctx, proved)
	require.Equal(t, want, js(t, ctx, written))
}

// TestPageInOldBrowser: a browser that lacks what the page takes is told so in words.
func TestPageInOldBrowser(t *testing.T) {
	browser.Long(t)
	ctx := inChromium(t)
	before(t, ctx, `delete globalThis.DecompressionStream`)
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate(served(t))))
	require.Equal(t, "true", js(t, ctx, `String(document.getElementById('page-old').checkVisibility())`))
	require.Contains(t, js(t, ctx, `document.getElementById('page-old').textContent`), "too old")
}

// TestPageInTwoTabs: what one tab has changed is not written over by another, which asks whose to keep.
func TestPageInTwoTabs(t *testing.T) {
	browser.Long(t)
	ctx := inChromium(t)
	address := served(t)
	visit(t, ctx, address, native(t))
	other, end := chromedp.NewContext(ctx)
	defer end()
	require.NoError(t, chromedp.Do(other, chromedp.Navigate(address+js(t, ctx, `location.hash`))))
	until(t, other, proved)
	turn(t, ctx, "seat", "front")
	until(t, ctx, proved+` && document.getElementById('saved').textContent === 'saved'`)
	turn(t, other, "seat", "back")
	until(t, other, `!document.getElementById('conflict').hidden`)
	js(t, other, `document.getElementById('take-theirs').click(), ''`)
	until(t, other, proved+` && document.getElementById('seat').value === 'front' && document.getElementById('conflict').hidden`)
}

// TestPageAfterACrash: a page that crashes in the middle of a save comes back with the project whole, before the change or after it.
func TestPageAfterACrash(t *testing.T) {
	browser.Long(t)
	ctx := inChromium(t)
	address := served(t)
	visit(t, ctx, address, native(t))
	for _, seat := range []string{"front", "back", "front"} {
		tab, end := chromedp.NewContext(ctx)
		require.NoError(t, chromedp.Do(tab, chromedp.Navigate(address+js(t, ctx, `location.hash`))))
		until(t, tab, proved)
		was := js(t, tab, `document.getElementById('seat').value`)
		turn(t, tab, "seat", seat)
		until(t, tab, `document.getElementById('saved').textContent.startsWith('saving')`)
		crash, cancel := context.WithTimeout(tab, 2*time.Second)
		_ = chromedp.Do(crash, chromedp.Navigate("chrome://crash")) // it never answers
		cancel()
		end()
		require.NoError(t, chromedp.Do(ctx, chromedp.Reload()))
		until(t, ctx, proved)
		require.Contains(t, []string{was, seat}, js(t, ctx, `document.getElementById('seat').value`))
	}
}

// turn turns a knob.
func turn(t *testing.T, ctx context.Context, knob, value string) {
	t.Helper()
	js(t, ctx, `(() => { const e = document.getElementById('`+knob+`'); e.value = '`+value+`'; e.dispatchEvent(new Event('change', { bubbles: true })); return ''; })()`)
}
