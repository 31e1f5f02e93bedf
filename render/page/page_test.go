package page

import (
	"bytes"
	"context"
	"encoding/json"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"afterchord/render/desk"
	"afterchord/render/internal/browser"
)

func TestPageWantsItsParts(t *testing.T) {
	var b bytes.Buffer
	_, err := Write(&b, Parts{})
	require.ErrorContains(t, err, "missing")
}

// TestPolicy: nothing but what the page holds, by hash.
func TestPolicy(t *testing.T) {
	root, err := filepath.Abs("../..")
	require.NoError(t, err)
	var b bytes.Buffer
	policy, err := Write(&b, Parts{Program: []byte("\x00asm"), Vectors: []byte("\x00asm"), WasmExec: []byte("// Go"), Root: root})
	require.NoError(t, err)
	p := string(policy)
	require.True(t, strings.HasPrefix(p, "default-src 'none'; script-src 'sha256-"), p)
	for _, never := range []string{"unsafe-inline", " 'unsafe-eval'", "http", "*", "data: blob"} {
		t.Run(never, func(t *testing.T) {
			require.NotContains(t, p, never)
		})
	}
	require.Contains(t, b.String(), p)
	require.NotContains(t, b.String(), "src=\"/", "nothing is fetched")
}

// TestPageInABrowser opens the page from a disk with the network off, on a phone, and compares what it finds with what the
// desk of this program finds.
func TestPageInABrowser(t *testing.T) {
	browser.Quick(t)
	ctx := inChromium(t)
	file, _ := built(t)
	want := native(t)
	require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(390, 844), quietly(func(ctx context.Context, _ *chromedp.Target) (bool, error) {
		_, err := chromedp.Call(ctx, network.OverrideNetworkState, network.OverrideNetworkStateParams{Offline: true})
		return true, err
	})))
	visit(t, ctx, "file://"+file, want)
	for _, name := range []string{"report.html", "sheet.html"} { // their templates find all they call, see withoutMethodsByName
		require.Equal(t, "whole", keeps(t, ctx, name), name)
	}
	comesBack(t, ctx, want)
}

// keeps is what a web page to keep is: "whole", or its beginning.
func keeps(t *testing.T, ctx context.Context, name string) string {
	t.Helper()
	js(t, ctx, `(() => {
	  const make = URL.createObjectURL;
	  window.kept = '';
	  URL.createObjectURL = blob => {
	    URL.createObjectURL = make;
	    blob.text().then(text => { window.kept = text.trimEnd().endsWith('</html>') ? 'whole' : text.slice(0, 200); });
	    return make.call(URL, blob);
	  };
	  document.querySelector('#keep-list [data-file="`+name+`"]').click();
	  return '';
	})()`)
	until(t, ctx, `window.kept !== ''`)
	return js(t, ctx, `window.kept`)
}

// TestPageFromAServer opens the page from a static server that sends its policy as a header, on a larger screen.
func TestPageFromAServer(t *testing.T) {
	browser.Long(t)
	ctx := inChromium(t)
	require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(1280, 800)))
	visit(t, ctx, served(t), native(t))
}

// inChromium starts a browser, with more flags than it has anyway.
func inChromium(t *testing.T, flags ...string) context.Context {
	t.Helper()
	browser.Quick(t)
	var options []chromedp.ExecAllocatorOption
	for _, f := range flags {
		name, value, _ := strings.Cut(f, "=")
		options = append(options, chromedp.Flag(name, value))
	}
	ctx, end := browser.Start(options...)
	t.Cleanup(end)
	ctx, cancel := context.WithTimeout(ctx, 40*time.Minute) // each condition has its own
	t.Cleanup(cancel)
	return ctx
}

const (
	proved  = `document.body.dataset.proved === 'yes' && !document.body.classList.contains('proving')`
	written = `JSON.stringify([...document.querySelectorAll('#list .message')].map(e => e.textContent))`
)

func until(t *testing.T, ctx context.Context, condition string) {
	t.Helper()
	_, err := chromedp.Run(ctx, chromedp.Poll[bool](condition, chromedp.WithPollingInterval(20*time.Millisecond), chromedp.WithPollingTimeout(3*time.Minute))) // at each frame, it would draw frames
	require.NoError(t, err, condition)
}

func js(t *testing.T, ctx context.Context, expression string) string {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[string](expression))
	require.NoError(t, err, expression)
	return v
}

// visit opens a demo, compares the findings and hears it.
func visit(t *testing.T, ctx context.Context, address, want string) {
	t.Helper()
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate(address)))
	until(t, ctx, `!!document.querySelector('[data-demo=drop]')`)
	js(t, ctx, `document.querySelector('[data-demo=drop]').click(), ''`)
	until(t, ctx, proved)
	require.Equal(t, want, js(t, ctx, written))
	js(t, ctx, `document.getElementById('play').click(), ''`)
	until(t, ctx, `+document.getElementById('clock').dataset.seconds > 0.2`)
	js(t, ctx, `document.getElementById('play').click(), ''`)
	until(t, ctx, `document.getElementById('saved').textContent === 'saved'`)
	require.Equal(t, "fits", js(t, ctx, `document.documentElement.scrollWidth <= innerWidth ? 'fits' : 'sticks out'`))
}

// comesBack loads the page again: the project is still there.
func comesBack(t *testing.T, ctx context.Context, want string) {
	t.Helper()
	require.NoError(t, chromedp.Do(ctx, chromedp.Reload()))
	until(t, ctx, proved)
	require.Equal(t, want, js(t, ctx, written))
}

// native is what this program's desk finds in the same piece: the sentences, the worst first.
func native(t *testing.T) string {
	d, err := desk.New(desk.Options{Dir: t.TempDir(), Remedies: desk.TableRemedies{}})
	require.NoError(t, err)
	post := func(path string, body any, reply any) {
		data, err := json.Marshal(body)
		require.NoError(t, err)
		w := httptest.NewRecorder()
		r := httptest.NewRequest("POST", "http://localhost"+path, bytes.NewReader(data))
		r.Header.Set("Sec-Fetch-Site", "same-origin")
		d.ServeHTTP(w, r)
		require.Less(t, w.Code, 300, w.Body.String())
		require.NoError(t, json.Unmarshal(w.Body.Bytes(), reply))
	}
	var p desk.Project
	post("/api/projects?demo=drop", nil, &p)
	var run struct {
		Shown    []struct{ ID int }
		Document struct {
			Findings []struct {
				ID      int
				Message string
			}
		}
	}
	post("/api/projects/"+p.ID+"/proof", p.A, &run)
	messages := []string{}
	for _, s := range run.Shown {
		for _, f := range run.Document.Findings {
			if f.ID == s.ID {
				messages = append(messages, f.Message)
			}
		}
	}
	require.NotEmpty(t, messages)
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	require.NoError(t, e.Encode(messages))
	return strings.TrimSpace(b.String())
}

// quietly drops the value of an action.
func quietly[T any](a chromedp.Action[T]) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := a(ctx, t)
		return err
	})
}
