package desk

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"regexp"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// TestForeignPage opens a page of another site beside the desk, which asks for every address of it in every way that a page
// has. It learns nothing, changes nothing, and begins no session.
func TestForeignPage(t *testing.T) {
	ctx := inBrowser(t)
	d, err := New(Options{Dir: t.TempDir(), Remedies: TableRemedies{}})
	require.NoError(t, err)
	var mu sync.Mutex
	answered := map[string]bool{} // what was not refused
	asked := 0
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		rec := httptest.NewRecorder()
		d.ServeHTTP(rec, r)
		for k, v := range rec.Header() {
			w.Header()[k] = v
		}
		w.WriteHeader(rec.Code)
		_, _ = w.Write(rec.Body.Bytes())
		mu.Lock()
		defer mu.Unlock()
		if strings.Contains(r.Referer(), "localhost") || strings.Contains(r.Header.Get("Origin"), "localhost") || r.Header.Get("Sec-Fetch-Site") == "cross-site" {
			asked++
			if rec.Code < 400 {
				answered[r.Method+" "+r.URL.Path+" for "+r.Header.Get("Sec-Fetch-Dest")] = true
			}
		}
	}))
	defer s.Close()

	// A user is at work at the desk: their cookie is in the browser.
	p := tab{t, ctx}
	p.do(chromedp.Navigate(s.URL), chromedp.WaitVisible(chromedp.CSS(`[data-demo=drop]`)))
	p.click(`[data-demo=drop]`)
	p.until(proved + ` && document.getElementById('saved').textContent === 'saved'`)
	list, err := d.store.List(1)
	require.NoError(t, err)
	id := list[0].ID
	before, err := d.store.Get(id)
	require.NoError(t, err)
	sessions := len(d.sessions.by)

	var ways []string
	for _, x := range addresses(t) {
		x = strings.NewReplacer("{$}", "", "{id}", id, "{side}", "a", "{name}", "desk.js").Replace(x)
		method, path, _ := strings.Cut(x, " ")
		ways = append(ways, fmt.Sprintf(`[%q, %q]`, method, s.URL+path))
	}
	foreign := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html")
		fmt.Fprintf(w, foreignPage, strings.Join(ways, ",\n"))
	}))
	defer foreign.Close()
	p.do(chromedp.Navigate(strings.Replace(foreign.URL, "127.0.0.1", "localhost", 1)))
	p.until(`document.title === 'done'`)
	learnt := js[string](p, `JSON.stringify(window.learnt)`)
	require.Equal(t, "[]", learnt)
	mu.Lock()
	defer mu.Unlock()
	require.Greater(t, asked, 3*len(ways), "the page did ask")
	require.Empty(t, answered)
	after, err := d.store.Get(id)
	require.NoError(t, err)
	was, _ := json.Marshal(before)
	is, _ := json.Marshal(after)
	require.JSONEq(t, string(was), string(is))
	all, err := d.store.List(10)
	require.NoError(t, err)
	require.Len(t, all, 1)
	require.Len(t, d.sessions.by, sessions)
	t.Logf("%d requests for %d addresses", asked, len(ways))
}

// addresses are the patterns that the desk answers to, from its source.
func addresses(t *testing.T) []string {
	source, err := os.ReadFile("desk.go")
	require.NoError(t, err)
	var out []string
	for _, m := range regexp.MustCompile(`"((?:GET|POST|PUT|DELETE) /[^"]*)"`).FindAllStringSubmatch(string(source), -1) {
		out = append(out, m[1])
	}
	require.Greater(t, len(out), 20)
	return out
}

const foreignPage = `<!DOCTYPE html><meta charset="utf-8"><title>foreign</title><body><script type="module">
const ways = [%s];
window.learnt = [];
const learn = (how, url) => window.learnt.push(how + ' ' + url);
const element = (name, set) => new Promise((resolve) => {
  const e = document.createElement(name);
  const over = (how) => () => { resolve(how); };
  e.onload = over('load'); e.onerror = over('error');
  set(e);
  document.body.append(e);
  setTimeout(over('nothing'), 3000);
});
const one = async ([method, url]) => {
  for (const credentials of ['include', 'omit']) {
    for (const mode of ['cors', 'no-cors']) {
      const m = mode === 'no-cors' && method !== 'GET' ? 'POST' : method;
      try {
        const r = await fetch(url, { method: m, mode, credentials, body: m === 'GET' || m === 'DELETE' ? undefined : '{}' });
        if (r.type !== 'opaque') learn('fetch ' + mode, url + ' ' + r.status);
      } catch { /* refused by the browser */ }
    }
  }
  if (method !== 'GET') {
    const frame = document.createElement('iframe');
    frame.name = 'f' + Math.random();
    document.body.append(frame);
    const form = document.createElement('form');
    form.method = 'POST'; form.action = url; form.target = frame.name; form.enctype = 'text/plain';
    document.body.append(form);
    await new Promise((resolve) => { frame.onload = resolve; form.submit(); setTimeout(resolve, 2000); });
    return;
  }
  const [image, script, style] = await Promise.all([
    element('img', (e) => { e.src = url; }),
    element('script', (e) => { e.src = url; }),
    element('link', (e) => { e.rel = 'stylesheet'; e.href = url; }),
    element('iframe', (e) => { e.src = url; }),
    element('audio', (e) => { e.src = url; }),
    element('object', (e) => { e.data = url; }),
  ]);
  for (const [how, what] of [['img', image], ['script', script], ['style', style]]) if (what === 'load') learn(how, url);
};
await Promise.all(ways.map(one));
document.title = 'done';
</script>`
