package desk

import (
	"context"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"

	"afterchord/render/internal/browser"
)

type step = chromedp.Action[chromedp.Void]

// chromium is one browser for all tests; TestMain ends it.
var chromium struct {
	once sync.Once
	ctx  context.Context
	end  func()
	err  error
}

func TestMain(m *testing.M) {
	code := m.Run()
	if chromium.end != nil {
		chromium.end()
	}
	os.Exit(code)
}

// inBrowser is a tab with cookies and a store of its own, where the long tests are asked for; with options of its own it
// is a browser of its own.
func inBrowser(t *testing.T, more ...chromedp.ExecAllocatorOption) context.Context {
	t.Helper()
	browser.Long(t)
	if len(more) > 0 {
		ctx, end := browser.Start(more...)
		t.Cleanup(end)
		ctx, cancel := context.WithTimeout(ctx, 4*time.Minute)
		t.Cleanup(cancel)
		return ctx
	}
	return newTab(t)
}

// newTab is a tab in the browser that all tests share.
func newTab(t *testing.T) context.Context {
	t.Helper()
	chromium.once.Do(func() {
		chromium.ctx, chromium.end = browser.Start()
		chromium.err = chromedp.Do(chromium.ctx, chromedp.Navigate("about:blank"))
	})
	require.NoError(t, chromium.err)
	ctx, end := chromedp.NewContext(chromium.ctx, chromedp.WithNewBrowserContext())
	t.Cleanup(end)
	ctx, cancel := context.WithTimeout(ctx, 4*time.Minute)
	t.Cleanup(cancel)
	return ctx
}

// tab is a browser tab on a desk.
type tab struct {
	t   *testing.T
	ctx context.Context
}

func (p tab) do(steps ...step) {
	p.t.Helper()
	require.NoError(p.t, chromedp.Do(p.ctx, steps...))
}

// js evaluates an expression that is a boolean, a number or a string.
func js[T any](p tab, expression string) T {
	p.t.Helper()
	v, err := chromedp.Run(p.ctx, chromedp.Evaluate[T](expression))
	require.NoError(p.t, err, expression)
	return v
}

// until waits for a condition of the page.
func (p tab) until(condition string) {
	p.t.Helper()
	_, err := chromedp.Run(p.ctx, chromedp.Poll[bool](condition, chromedp.WithPollingTimeout(time.Minute)))
	if err != nil {
		trouble, _ := chromedp.Run(p.ctx, chromedp.Evaluate[string](`document.getElementById('trouble').textContent + ' | ' + document.getElementById('clock').textContent + ' | ' + document.getElementById('saved').textContent`))
		require.NoError(p.t, err, "%s (the page says: %s)", condition, trouble)
	}
}

func (p tab) click(selector string) {
	p.t.Helper()
	js[bool](p, `(() => { const e = document.querySelector('`+selector+`'); e.click(); return true; })()`)
}

func (p tab) set(id, value, event string) {
	p.t.Helper()
	js[bool](p, `(() => { const e = document.getElementById('`+id+`'); e.value = '`+value+`'; e.dispatchEvent(new Event('`+event+`', { bubbles: true })); return true; })()`)
}

const proved = `document.body.dataset.proved === 'yes' && !document.body.classList.contains('proving')`

func newTestDesk(t *testing.T, o Options) (*Desk, *httptest.Server) {
	t.Helper()
	if o.Dir == "" {
		o.Dir = t.TempDir()
	}
	if o.Remedies == nil {
		o.Remedies = TableRemedies{}
	}
	d, err := New(o)
	require.NoError(t, err)
	s := httptest.NewServer(d)
	t.Cleanup(func() {
		s.CloseClientConnections() // a page that waits for a change of its file would be waited for
		s.Close()
	})
	return d, s
}

// tapped measures what goes to the loudspeakers, in stretches of 43 ms.
const tapped = `(() => {
  const connect = AudioNode.prototype.connect;
  AudioNode.prototype.connect = function (to, ...rest) {
    if (to instanceof AudioDestinationNode) { window.tap = this.context.createAnalyser(); tap.fftSize = 2048; connect.call(this, tap); }
    return connect.call(this, to, ...rest);
  };
  window.level = () => { const x = new Float32Array(2048); tap.getFloatTimeDomainData(x); return Math.sqrt(x.reduce((s, v) => s + v * v, 0) / 2048); };
  return true; })()`

// aheadOfAudio is the place in the music less the clock of the audio (s): waiting makes it smaller, a leap forward larger.
const aheadOfAudio = `+document.getElementById('clock').dataset.seconds - tap.context.currentTime`

// watchForGaps gathers in lost the most music (s) that has passed without being heard: where sound comes late, on a
// busy machine, the music waits for it. It looks in the frame in which the place is written.
const watchForGaps = `(() => { let from = null; window.lost = 0; window.watching = true;
  const look = () => {
    const at = +document.getElementById('clock').dataset.seconds;
    if (level() >= 1e-4) from = null; else {
      from ??= at;
      window.lost = Math.max(window.lost, at - from);
    }
    if (watching) requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
  return true; })()`

const covered = `!!document.querySelector('.finding.fail[data-kind=covered-entry]')`

// TestComposerAtTheDesk goes the way of a composer: load, turn the knobs, hear, rewrite,
// compare, keep, come back.
func TestComposerAtTheDesk(t *testing.T) {
	ctx := inBrowser(t)
	d, s := newTestDesk(t, Options{})
	p := tab{t, ctx}
	failures := consoleErrors(t, ctx)
	p.do(chromedp.Navigate(s.URL), chromedp.WaitVisible(chromedp.CSS(`[data-demo=drop]`)))
	p.click(`[data-demo=drop]`)
	p.until(proved + ` && ` + covered)

	// A dry room takes the finding away, a wet one brings it back.
	rt := func(seconds string) {
		p.set("rt", js[string](p, `String(Math.round(1000 * Math.log(`+seconds+` / 0.2) / Math.log(15 / 0.2)))`), "input")
		p.until(proved + ` && document.getElementById('rt-out').textContent.startsWith('` + seconds + `')`)
	}
	rt("0.4")
	p.until(`!document.querySelector('[data-kind=covered-entry]')`)
	rt("6.0")
	p.until(covered)

	js[bool](p, tapped)

	// Sound: the clock of the audio moves, from where one clicks; dry and back without stopping.
	p.click(`.finding[data-kind=covered-entry] .acts button`)
	at := js[float64](p, `(() => { const f = +document.getElementById('clock').dataset.seconds; return f; })()`)
	require.Greater(t, at, 14.0, "begins before bar 7")
	p.until(`document.getElementById('play').getAttribute('aria-pressed') === 'true' && +document.getElementById('clock').dataset.seconds > ` + number(at+0.8))
	p.until(`level() > 1e-3`)
	js[bool](p, watchForGaps)
	p.click(`input[name=dry][value=dry]`)
	now, ahead := js[float64](p, `+document.getElementById('clock').dataset.seconds`), js[float64](p, aheadOfAudio)
	p.until(`+document.getElementById('clock').dataset.seconds > ` + number(now+0.5))
	require.Less(t, js[float64](p, aheadOfAudio), ahead+0.5, "goes on at the same place")
	require.Less(t, js[float64](p, `watching = false, lost`), 0.15, "s of music that passed unheard in the change from the room to dry")
	p.click(`#play`)
	p.until(`document.getElementById('play').getAttribute('aria-pressed') === 'false'`)

	// A remedy is one click, undo is one click.
	p.click(`.finding[data-kind=covered-entry] [data-remedy=release-early]`)
	p.until(`!!document.querySelector('#versions .why') && ` + proved)
	require.False(t, js[bool](p, covered), "the rewriting clears it")
	p.click(`#undo`)
	p.until(proved + ` && ` + covered)

	// Two versions.
	p.click(`#compare`)
	p.until(proved + ` && document.querySelectorAll('.picture').length === 2`)
	p.set("room", "practice-room", "change")
	p.until(proved + ` && document.getElementById('difference').textContent.includes('only in A')`)
	p.click(`#play`)
	p.until(`+document.getElementById('clock').dataset.seconds > 0.3`)
	p.click(`input[name=ab][value=a]`)
	p.until(proved + ` && document.getElementById('verdict').textContent.startsWith('A ')`)
	p.click(`#play`)

	// Kept: what the page says is saved is there after a reload, and in a plain file.
	p.set("title", "Second lesson", "change")
	p.until(`document.getElementById('saved').textContent === 'saved' && !Object.keys(localStorage).some(k => k.includes('unsaved'))`)
	p.do(chromedp.Reload())
	p.until(proved + ` && document.getElementById('title').value === 'Second lesson' && document.querySelectorAll('.picture').length === 2`)
	list, err := d.store.List(10)
	require.NoError(t, err)
	require.Len(t, list, 1)
	require.Equal(t, "Second lesson", list[0].Name)

	// Downloads answer from the saved state.
	for _, name := range []string{"report.html", "sheet.html", "score.mid", "heard.wav"} {
		t.Run(name, func(t *testing.T) {
			require.Equal(t, "200", js[string](p, `document.querySelector('#keep-list [data-file="`+name+`"]') ? '200' : 'missing'`))
		})
	}
	require.Empty(t, failures(), "the console's errors")
}

// TestTwoTabs changes one project in two tabs: the slower one is told, and loses nothing.
func TestTwoTabs(t *testing.T) {
	ctx := inBrowser(t)
	d, s := newTestDesk(t, Options{})
	p := tab{t, ctx}
	p.do(chromedp.Navigate(s.URL), chromedp.WaitVisible(chromedp.CSS(`[data-demo=solo]`)))
	p.click(`[data-demo=solo]`)
	p.until(proved)
	list, err := d.store.List(1)
	require.NoError(t, err)
	// Another window that this one hears nothing of.
	theirs, err := d.store.Get(list[0].ID)
	require.NoError(t, err)
	_, err = d.store.Update(theirs.ID, theirs.Version, func(p *Project) error { p.A.Room = "chapel"; return nil })
	require.NoError(t, err)
	p.set("room", "abbey", "change")
	p.until(`!document.getElementById('conflict').hidden`)
	got, err := d.store.Get(theirs.ID)
	require.NoError(t, err)
	require.Equal(t, "chapel", got.A.Room, "not overwritten")
	p.click(`#keep-mine`)
	p.until(`document.getElementById('saved').textContent === 'saved' && document.getElementById('conflict').hidden`)
	got, err = d.store.Get(theirs.ID)
	require.NoError(t, err)
	require.Equal(t, "abbey", got.A.Room)
	require.Equal(t, "chapel", got.Past[len(got.Past)-1].A.Room, "undo goes back to the other window's change")
}

// TestAccessibility runs axe-core over the page where npm gives it (it is not kept here).
func TestAccessibility(t *testing.T) {
	ctx := inBrowser(t)
	axe := axeSource(t)
	_, s := newTestDesk(t, Options{})
	p := tab{t, ctx}
	p.do(chromedp.Navigate(s.URL), chromedp.WaitVisible(chromedp.CSS(`[data-demo=drop]`)))
	check := func(where string) {
		js[bool](p, axe+"; true")
		text, err := chromedp.Run(ctx, chromedp.Evaluate[string](`axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'best-practice'] }).then(r => JSON.stringify(r.violations.map(v => [v.id, v.help, v.nodes.slice(0, 3).map(n => n.html.slice(0, 160) + ' ' + (n.any[0]?.message || ''))]), null, 1))`, chromedp.EvalAwaitPromise))
		require.NoError(t, err)
		require.Equal(t, "[]", text, where)
	}
	check("welcome")
	p.click(`[data-demo=drop]`)
	p.until(proved)
	for _, language := range []string{"de", "fr", "it"} {
		js[bool](p, `localStorage.setItem('afterchord-desk:terms', '`+language+`'), true`)
		p.do(chromedp.Navigate(s.URL))
		p.until(proved + ` && document.documentElement.lang === '` + language + `'`)
		p.click(`#knobs`)
		js[bool](p, `document.querySelectorAll('details').forEach(d => { d.open = true; }); true`)
		p.click(`.finding .line`)
		check("desk in " + language)
	}
	js[bool](p, `localStorage.removeItem('afterchord-desk:terms'), true`)
	p.do(chromedp.Navigate(s.URL))
	p.until(proved)
	check("desk, light")
	p.click(`#knobs`)
	js[bool](p, `document.documentElement.dataset.theme = 'dark'; document.querySelectorAll('details').forEach(d => { d.open = true; }); true`)
	p.click(`#compare`)
	p.until(proved + ` && document.querySelectorAll('.picture').length === 2`)
	check("desk, dark, two versions, all open")
	p.do(chromedp.EmulateViewport(390, 844))
	check("phone")
	p.do(chromedp.EmulateViewport(1280, 800), chromedp.KeyEvent("p"))
	p.until(`document.body.classList.contains('presenting')`)
	p.do(chromedp.KeyEvent(kb.PageDown))
	check("before a class")
	p.do(chromedp.KeyEvent("p"), chromedp.EmulateViewport(390, 844))
	require.LessOrEqual(t, js[float64](p, `document.documentElement.scrollWidth`), 390.0, "nothing sticks out at phone width")
}

// axeSource is axe-core as `make check-page` fetches it; the test is left out where that was not done.
func axeSource(t *testing.T) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("check", "node_modules", "axe-core", "axe.min.js"))
	if err != nil {
		t.Skip("no axe-core: make check-page fetches it")
	}
	return string(data)
}

// press sends keys one after another.
func (p tab) press(keys ...string) {
	p.t.Helper()
	for _, k := range keys {
		p.do(chromedp.KeyEvent(k))
	}
}

// tabTo goes by Tab alone to what a selector names.
func (p tab) tabTo(selector string) {
	p.t.Helper()
	for range 200 {
		p.press(kb.Tab)
		if js[bool](p, `document.activeElement.matches('`+selector+`')`) {
			return
		}
	}
	require.Fail(p.t, "not reached by Tab", selector)
}

// TestByKeyboard goes through a whole task without a pointer: open a piece, hear it, go to a finding, turn the room, rewrite, take it
// back, show it to a class, and keep the score.
func TestByKeyboard(t *testing.T) {
	ctx := inBrowser(t)
	_, s := newTestDesk(t, Options{})
	p := tab{t, ctx}
	p.do(chromedp.Navigate(s.URL), chromedp.WaitVisible(chromedp.CSS(`[data-demo=drop]`)))
	p.tabTo(`[data-demo=drop]`)
	p.press(kb.Enter)
	p.until(proved + ` && ` + covered + ` && document.activeElement.id === 'verdict'`)
	js[bool](p, `document.activeElement.blur(), true`)
	p.until(`!document.querySelector('.notation') || !!document.querySelector('.paper svg')`)
	require.True(t, js[bool](p, `[...document.querySelectorAll('.paper svg')].every(s => { const b = s.getBBox(); return b.y + b.height <= s.viewBox.baseVal.height; })`), "the lowest note of the last system is whole")

	// The player comes before the knobs and the list.
	order := js[string](p, `[...document.querySelectorAll('#play, #knobs, #findings, .finding .line')].map(e => e.id || e.className || 'knobs').slice(0, 2).join()`)
	require.Equal(t, "play,knobs", order)
	p.tabTo(`#play`)
	p.press(" ")
	p.until(`document.getElementById('play').textContent === 'Stop' && +document.getElementById('clock').dataset.seconds > 0.2`)
	p.press(" ")
	p.until(`document.getElementById('play').textContent === 'Play'`)

	// A finding is opened with its key, and its words come after it in the order of Tab.
	for range 20 {
		p.press("]")
		if js[bool](p, `document.activeElement.matches('.finding.open[data-kind=covered-entry]')`) {
			break
		}
	}
	p.tabTo(`.finding.open [data-remedy=release-early]`)
	p.press(kb.Enter)
	p.until(`!!document.querySelector('#versions .why') && ` + proved)
	require.False(t, js[bool](p, covered))
	p.do(chromedp.KeyEvent("z", chromedp.KeyModifiers(chromedp.ModifierCtrl)))
	p.until(proved + ` && ` + covered)

	// The room, by the arrow keys of its list.
	p.press("k")
	p.until(`!document.getElementById('controls').hidden`)
	p.tabTo(`#room`)
	room := js[string](p, `document.getElementById('room').value`)
	p.press(kb.ArrowUp)
	p.until(`document.getElementById('room').value !== '` + room + `' && ` + proved)
	p.press(kb.ArrowDown)
	p.until(`document.getElementById('room').value === '` + room + `' && ` + proved + ` && ` + covered)
	require.True(t, js[bool](p, `document.activeElement.id === 'room'`), "the focus stays on the knob")
	js[bool](p, `document.activeElement.blur(), true`)

	// Before a class, with the keys of a clicker; Escape leaves.
	p.press("p")
	p.until(`document.body.classList.contains('presenting') && getComputedStyle(document.querySelector('.top')).display === 'none'`)
	p.press(kb.PageDown)
	first := js[string](p, `document.getElementById('caption-where').textContent`)
	p.press(kb.PageDown)
	p.until(`document.getElementById('caption-where').textContent !== '` + first + `'`)
	p.press(kb.PageUp)
	p.until(`document.getElementById('caption-where').textContent === '` + first + `' && document.getElementById('caption-message').textContent.length > 20`)
	look(t, ctx, "presenting")
	p.press(kb.Escape)
	p.until(`!document.body.classList.contains('presenting') && !document.querySelector('.top').hidden`)

	// What is kept is a menu of links.
	p.tabTo(`#keep summary`)
	p.press(kb.Enter)
	p.tabTo(`#keep-list [data-file="score.musicxml"]`)
	p.press(kb.Escape)
	p.until(`!document.getElementById('keep').open && document.activeElement.matches('#keep summary')`)
}

func number(v float64) string { return strconv.FormatFloat(v, 'f', 3, 64) }

// consoleErrors gathers what the page's console reports as errors.
func consoleErrors(t *testing.T, ctx context.Context) func() []string {
	t.Helper()
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate("about:blank")))
	var mu sync.Mutex
	var out []string
	messages := chromedp.Console(ctx)
	go func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			if m.Type == chromedp.ConsoleError || m.Type == chromedp.ConsoleException {
				mu.Lock()
				out = append(out, m.Text)
				mu.Unlock()
			}
		}
	}()
	return func() []string {
		mu.Lock()
		defer mu.Unlock()
		return slices.Clone(out)
	}
}
