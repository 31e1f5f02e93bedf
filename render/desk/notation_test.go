package desk

import (
	"bytes"
	"compress/gzip"
	"encoding/base64"
	"encoding/json"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"afterchord/cmd/bench/piece"
	"afterchord/render/engraving"
)

// withEngraver gives a desk a library of its own, so that these tests do not need the real one.
func withEngraver(t *testing.T, d *Desk, script string) {
	t.Helper()
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	_, err := z.Write([]byte(script))
	require.NoError(t, err)
	require.NoError(t, z.Close())
	x := newEngraver(engraving.Engraver{Base64: base64.StdEncoding.EncodeToString(b.Bytes()), Hash: "sha256-", Licences: "free to use"})
	require.NotNil(t, x)
	d.engraver = func() *engraver { return x }
}

// sheet is the reply to it, the moments as a page reads them.
type sheet struct {
	notationReply
	Moments [][3]float64 `json:"moments"`
}

func (c client) notation(id string, s Side, have string) sheet {
	c.t.Helper()
	resp, data := c.send("POST", "/api/projects/"+id+"/notation", map[string]any{"side": s, "have": have})
	require.Equal(c.t, 200, resp.StatusCode, string(data))
	var r sheet
	require.NoError(c.t, json.Unmarshal(data, &r))
	return r
}

func (c client) assets() *notationAssets {
	c.t.Helper()
	_, data := c.send("GET", "/api/desk", nil)
	var o overviewReply
	require.NoError(c.t, json.Unmarshal(data, &o))
	return o.Notation
}

func TestNotationFiles(t *testing.T) {
	d, s := newTestDesk(t, Options{})
	script := strings.Repeat("const opensheetmusicdisplay = 1;\n", 50)
	withEngraver(t, d, script)
	c := newClient(t, s)
	a := c.assets()
	require.NotNil(t, a)

	resp, data := c.send("GET", a.Library, nil, "Accept-Encoding", "gzip")
	require.Equal(t, 200, resp.StatusCode)
	require.Equal(t, "gzip", resp.Header.Get("Content-Encoding"))
	require.Equal(t, "text/javascript; charset=utf-8", resp.Header.Get("Content-Type"))
	require.Contains(t, resp.Header.Get("Cache-Control"), "immutable")
	require.Less(t, len(data), len(script))
	tag := resp.Header.Get("ETag")

	resp, data = c.send("GET", a.Library, nil, "Accept-Encoding", "identity")
	require.Equal(t, "", resp.Header.Get("Content-Encoding"))
	require.Equal(t, script, string(data))

	resp, data = c.send("GET", a.Library, nil, "If-None-Match", tag)
	require.Equal(t, http.StatusNotModified, resp.StatusCode)
	require.Empty(t, data)

	resp, _ = c.send("GET", "/engraving/library.js?of-an-older-program", nil)
	require.Equal(t, "no-cache", resp.Header.Get("Cache-Control"), "kept for good under its own hash alone")
	_, data = c.send("GET", a.Script, nil)
	require.Equal(t, engraving.Script, string(data))
	_, data = c.send("GET", a.Style, nil)
	require.Equal(t, engraving.Style, string(data))
	_, data = c.send("GET", a.Licences, nil)
	require.Equal(t, "free to use", string(data))
	resp, _ = c.send("GET", "/engraving/sheet.go", nil)
	require.Equal(t, 404, resp.StatusCode)
}

func TestWithoutTheLibrary(t *testing.T) {
	d, s := newTestDesk(t, Options{})
	require.Nil(t, newEngraver(engraving.Engraver{}))
	d.engraver = func() *engraver { return nil }
	require.Nil(t, newEngraver(engraving.Engraver{Base64: "…"}), "a damaged one")
	c := newClient(t, s)
	require.Nil(t, c.assets())
	p := c.demo("drop")
	resp, data := c.send("POST", "/api/projects/"+p.ID+"/notation", map[string]any{"side": p.A})
	require.Equal(t, 404, resp.StatusCode)
	require.Contains(t, string(data), "without the engraving library")
	resp, _ = c.send("GET", "/engraving/library.js", nil)
	require.Equal(t, 404, resp.StatusCode)
}

// The knobs of the building and the tempo move what was found; the music that is engraved stays.
func TestNotationOfASide(t *testing.T) {
	d, s := newTestDesk(t, Options{})
	withEngraver(t, d, "x")
	c := newClient(t, s)
	for _, demo := range []string{"drop", "vigil"} {
		t.Run(demo, func(t *testing.T) {
			p := c.demo(demo)
			first := c.notation(p.ID, p.A, "")
			require.Contains(t, first.MusicXML, "<score-partwise")
			require.Equal(t, demo == "drop", first.Guessed)
			require.Len(t, first.Places, len(c.proof(p.ID, p.A).Document.Findings))
			require.NotEmpty(t, first.Moments)

			_, data := c.send("POST", "/api/projects/"+p.ID+"/notation", notationRequest{Side: p.A, Music: true})
			var music notationReply
			require.NoError(t, json.Unmarshal(data, &music))
			require.Equal(t, []any{first.Key, first.MusicXML, first.Bars}, []any{music.Key, music.MusicXML, music.Bars}, "the same music before it is run")
			require.Empty(t, music.Places)

			other := p.A
			other.Room, other.RT, other.Tempo = "rt", 1.1, 0.8
			second := c.notation(p.ID, other, "another "+first.Key)
			require.Equal(t, first.Key, second.Key)
			require.Empty(t, second.MusicXML, "the page has it")
			require.Len(t, second.Places, len(c.proof(p.ID, other).Document.Findings))
			require.NotEqual(t, first.Places, second.Places)
			last := len(first.Moments) - 1
			require.InDelta(t, first.Moments[last][0]/0.8, second.Moments[last][0], 0.01)

			loud := p.A
			loud.Dynamics = []Mark{{Part: c.part(p), Bar: 2, Dynamic: "fff"}}
			require.NotEqual(t, first.Key, c.notation(p.ID, loud, "").Key, "another dynamic is printed")
		})
	}
	resp, _ := c.send("POST", "/api/projects/p20200101000000-000000000000/notation", map[string]any{"side": Side{}})
	require.Equal(t, 404, resp.StatusCode)
}

// part is the name of the first part of a project's score.
func (c client) part(p *Project) string {
	c.t.Helper()
	_, data := c.send("POST", "/api/projects/"+p.ID+"/proof", p.A)
	var r struct {
		Document struct {
			Organ struct {
				Mapping []struct{ Part string }
			}
		}
	}
	require.NoError(c.t, json.Unmarshal(data, &r))
	return r.Document.Organ.Mapping[0].Part
}

func TestNotationTooLong(t *testing.T) {
	d, s := newTestDesk(t, Options{})
	withEngraver(t, d, "x")
	c := newClient(t, s)
	resp, data := c.send("POST", "/api/projects", piece.SMF(piece.Options{Seconds: 420, Voices: 1, Crotchets: 240}))
	require.Equal(t, 201, resp.StatusCode, string(data))
	var p Project
	require.NoError(t, json.Unmarshal(data, &p))
	r := c.notation(p.ID, p.A, "")
	require.Contains(t, r.Not, "too many to engrave")
	require.Empty(t, r.MusicXML)
}

// TestNotationAtTheDesk reads the score in a browser: marks over the bars, one choice in the
// list, the picture and the notation, a place that is heard, and a building that is turned.
func TestNotationAtTheDesk(t *testing.T) {
	if _, ok := engraving.Library(); !ok {
		t.Skip("built without the engraving library: run make engraving")
	}
	ctx := inBrowser(t)
	_, s := newTestDesk(t, Options{})
	p := tab{t, ctx}
	failures := consoleErrors(t, ctx)
	p.do(chromedp.Navigate(s.URL), chromedp.WaitVisible(chromedp.CSS(`[data-demo=vigil]`)))
	js[bool](p, `addEventListener('securitypolicyviolation', e => console.error('policy: ' + e.violatedDirective)); true`)
	p.until(`typeof Engraved !== 'undefined'`)
	js[bool](p, `(() => { const { render } = Engraved.prototype; window.rendered = 0; Engraved.prototype.render = function (...a) { window.rendered++; return render.apply(this, a); }; return true; })()`)
	p.click(`input[name=shown][value=both]`)
	p.click(`[data-demo=vigil]`)
	engraved := proved + ` && document.querySelector('.notation').dataset.shows === 'this'`
	p.until(engraved)
	require.Greater(t, js[float64](p, `document.querySelectorAll('.paper .vf-notehead').length`), 80.0)
	require.Equal(t, js[float64](p, `document.querySelectorAll('#list .finding').length`), js[float64](p, `document.querySelectorAll('.paper .tag').length`))
	require.True(t, js[bool](p, `(() => { const tag = document.querySelector('.paper .tag.fail'); return tag.textContent.includes(tag.dataset.id); })()`), "the number that the list has")
	require.Positive(t, js[float64](p, `document.querySelectorAll('.paper .found.fail').length`), "notes in colour")

	// One choice everywhere, from whichever side.
	chosen := `[document.querySelector('.finding.here')?.id, 'finding-' + document.querySelector('.tag.here')?.dataset.id, 'finding-' + document.querySelector('.pin.here')?.dataset.finding].join(' ')`
	p.click(`.paper .tag.fail`)
	id := "finding-" + js[string](p, `document.querySelector('.paper .tag.fail').dataset.id`)
	require.Equal(t, strings.Join([]string{id, id, id}, " "), js[string](p, chosen))
	p.click(`#list .finding:last-of-type h3`)
	id = js[string](p, `document.querySelector('#list .finding:last-of-type').id`)
	require.Equal(t, strings.Join([]string{id, id, id}, " "), js[string](p, chosen))
	p.click(`.pin.fail`)
	id = "finding-" + js[string](p, `document.querySelector('.pin.fail').dataset.finding`)
	require.Equal(t, strings.Join([]string{id, id, id}, " "), js[string](p, chosen))

	// Another building moves the marks; the engraving stays.
	js[bool](p, `document.querySelector('.engraved svg').kept = true`)
	p.set("room", "practice-room", "change")
	p.until(`document.getElementById('room').value === 'practice-room' && ` + engraved + ` && !document.querySelector('.paper .tag.fail')`)
	require.True(t, js[bool](p, `document.querySelector('.engraved svg').kept === true`), "engraved once")
	require.Equal(t, 1.0, js[float64](p, `rendered`), "for the music, its findings and another building")

	// A press on a bar plays from there, and the place goes along.
	js[bool](p, `(() => {
	  document.querySelector('.notation').scrollIntoView();
	  const svg = document.querySelector('.engraved svg').getBoundingClientRect();
	  document.querySelector('.paper').dispatchEvent(new MouseEvent('click', { bubbles: true, clientX: svg.left + 0.6 * svg.width, clientY: svg.top + 60 }));
	  return true; })()`)
	p.until(`document.getElementById('play').getAttribute('aria-pressed') === 'true'`)
	at := js[float64](p, `+document.getElementById('clock').dataset.seconds`)
	require.Greater(t, at, 2.0, "not from the beginning")
	x := js[string](p, `document.querySelector('.sounding').style.transform`)
	p.until(`+document.getElementById('clock').dataset.seconds > ` + number(at+0.5) + ` && document.querySelector('.sounding').style.transform !== '` + x + `'`)
	p.click(`#play`)

	// By the keyboard, bar by bar.
	key := func(k string) {
		js[bool](p, `(() => { const e = document.querySelector('.paper'); e.focus(); e.dispatchEvent(new KeyboardEvent('keydown', { key: '`+k+`', bubbles: true })); return document.activeElement === e; })()`)
	}
	key("Home")
	require.Zero(t, js[float64](p, `+document.getElementById('clock').dataset.seconds`))
	x = js[string](p, `document.querySelector('.sounding').style.transform`)
	key("ArrowRight")
	require.NotEqual(t, x, js[string](p, `document.querySelector('.sounding').style.transform`))

	// Cut into systems for paper, and put together again.
	systems := js[float64](p, `(() => { dispatchEvent(new Event('beforeprint')); return document.querySelectorAll('.slice svg').length; })()`)
	require.GreaterOrEqual(t, systems, 2.0)
	require.GreaterOrEqual(t, js[float64](p, `document.querySelectorAll('.slice .vf-notehead').length`), 80.0, "every note is on paper")
	require.Zero(t, js[float64](p, `(() => { dispatchEvent(new Event('afterprint')); return document.querySelectorAll('.slice').length; })()`))

	// The choice of view is remembered.
	p.click(`input[name=shown][value=picture]`)
	require.True(t, js[bool](p, `document.querySelector('.notation').hidden && document.querySelector('.picture').checkVisibility()`))
	p.do(chromedp.Reload())
	p.until(proved + ` && document.querySelector('.picture').checkVisibility()`)
	require.True(t, js[bool](p, `document.querySelector('.notation').hidden && typeof opensheetmusicdisplay === 'undefined'`), "nothing is fetched that is not shown")
	p.click(`input[name=shown][value=notation]`)
	p.until(engraved)
	require.False(t, js[bool](p, `document.querySelector('.picture').checkVisibility()`))
	require.Empty(t, failures(), "the console's errors")
}

// Without the library the page has the picture alone, and says nothing of notation.
func TestDeskWithoutTheLibrary(t *testing.T) {
	ctx := inBrowser(t)
	d, s := newTestDesk(t, Options{})
	d.engraver = func() *engraver { return nil }
	p := tab{t, ctx}
	failures := consoleErrors(t, ctx)
	p.do(chromedp.Navigate(s.URL), chromedp.WaitVisible(chromedp.CSS(`[data-demo=drop]`)))
	p.click(`[data-demo=drop]`)
	p.until(proved + ` && document.querySelector('.picture').checkVisibility()`)
	require.True(t, js[bool](p, `!document.querySelector('.notation') && document.getElementById('shown').hidden && document.getElementById('licences').hidden`))
	p.do(chromedp.Sleep(300 * time.Millisecond))
	require.Empty(t, failures(), "the console's errors")
}

// A score that is too long to engrave has its picture, whatever was chosen.
func TestDeskTooLongToEngrave(t *testing.T) {
	if _, ok := engraving.Library(); !ok {
		t.Skip("built without the engraving library: run make engraving")
	}
	ctx := inBrowser(t)
	_, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	_, data := c.send("POST", "/api/projects", piece.SMF(piece.Options{Seconds: 420, Voices: 1, Crotchets: 240}))
	var made Project
	require.NoError(t, json.Unmarshal(data, &made))
	p := tab{t, ctx}
	p.do(chromedp.Navigate(s.URL + "/#" + made.ID))
	p.until(proved + ` && document.querySelector('.notation').textContent.includes('too many to engrave')`)
	p.click(`input[name=shown][value=notation]`)
	require.True(t, js[bool](p, `document.querySelector('.picture').checkVisibility()`))
}

// A score read with another upbeat is another page.
func TestNotationOfAnotherReading(t *testing.T) {
	d, s := newTestDesk(t, Options{})
	withEngraver(t, d, "")
	c := newClient(t, s)
	p := c.demo("drop")
	asItIs := c.notation(p.ID, p.A, "")
	side := p.A
	side.Upbeat = 1
	upbeat := c.notation(p.ID, side, asItIs.Key)
	require.NotEqual(t, asItIs.Key, upbeat.Key)
	require.NotEmpty(t, upbeat.MusicXML)
}
