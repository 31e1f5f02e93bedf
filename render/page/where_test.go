package page

import (
	"context"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/tracing"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"afterchord/render/internal/browser"
)

// watched counts the sound that workers hand to the page (made, s), tells since when they have had nothing to do (rest, ms),
// and when the page was first there (readyAt, s).
const watched = `(() => {
  const Plain = Worker;
  let asked = 1, since = 0;
  window.made = 0;
  window.rest = () => asked ? 0 : performance.now() - since;
  const less = () => { if (!--asked) since = performance.now(); };
  window.Worker = class extends Plain {
    constructor(...args) {
      super(...args);
      asked++;
      this.addEventListener('message', e => {
        if (e.data.what === 'part' && e.data.bytes.length > 1e5) made += e.data.bytes.length / 8 / 48000;
        if (e.data.what === 'end' || e.data.what === 'ready') less();
      });
    }
    postMessage(m, ...more) {
      if (m.what === 'ask') asked++;
      super.postMessage(m, ...more);
    }
  };
  addEventListener('load', less);
  new MutationObserver((_, o) => {
    if (!document.querySelector('[data-demo=drop]')) return;
    window.readyAt = performance.now() / 1000;
    o.disconnect();
  }).observe(document, { childList: true, subtree: true });
})()`

// TestWhereTheTimeGoes opens the page, judges three minutes of music in the cathedral, turns knobs, plays, and prints how long each
// takes: by the clock, and in processor seconds of the whole browser, which on one core that it has to itself are the same
// (taskset -c 0 go test …). AFTERCHORD_TRACE names a file for what each thread did, which the browser's own tools open.
func TestWhereTheTimeGoes(t *testing.T) {
	browser.Long(t)
	if _, err := processorSeconds(os.Getpid()); err != nil {
		t.Skip("no /proc:", err)
	}
	ctx := inChromium(t)
	file, _ := built(t)
	before(t, ctx, watched)
	trace := os.Getenv("AFTERCHORD_TRACE")
	if trace != "" {
		defer traced(t, ctx, trace)()
	}
	parent := chromedp.FromContext(ctx).Browser.Process().Pid
	clock, used := time.Now(), 0.0
	lap := func(what string, marks ...any) {
		now, err := processorSeconds(parent)
		require.NoError(t, err)
		t.Logf("%-32s %5.2f s, processor %5.2f s"+strings.Repeat(" %v", len(marks)), append([]any{what, time.Since(clock).Seconds(), now - used}, marks...)...)
		js(t, ctx, "performance.mark("+strconv.Quote(what)+"), ''")
		clock, used = time.Now(), now
	}
	turn := func(what, to string) {
		js(t, ctx, `(() => { const e = document.getElementById('`+what+`'); e.value = '`+to+`'; e.dispatchEvent(new Event('change', { bubbles: true })); document.body.dataset.proved = ''; return ''; })()`)
		until(t, ctx, proved)
	}
	// The workers have nothing to do, and the browser has compiled what ran often.
	rest := func() {
		until(t, ctx, `rest() > 1500`)
		was, _ := processorSeconds(parent)
		for calm, looks := 0, 0; calm < 3 && looks < 60; looks++ {
			time.Sleep(500 * time.Millisecond)
			now, _ := processorSeconds(parent)
			if calm++; now-was > 0.03 {
				calm = 0
			}
			was = now
		}
	}
	play := func(what string) {
		js(t, ctx, `window.place = +document.getElementById('clock').dataset.seconds || 0, document.getElementById('play').click(), ''`)
		until(t, ctx, `+document.getElementById('clock').dataset.seconds > window.place + 0.02`)
		lap(what)
	}
	stop := func() { js(t, ctx, `document.getElementById('play').click(), ''`) }
	used, _ = processorSeconds(parent)
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate("file://"+file)))
	until(t, ctx, `!!document.querySelector('[data-demo=drop]')`)
	lap("page ready", js(t, ctx, `'by its own clock ' + readyAt.toFixed(2)`))
	rest()
	lap("program started and rehearsed")
	drop(t, ctx, "three.mid", piece(t, 3))
	until(t, ctx, proved)
	lap("findings of the file")
	play("first sound, Play at once")
	stop()
	rest()
	lap("engraved, first seconds made")
	turn("seat", "back")
	lap("findings of another seat")
	play("first sound there, at once")
	stop()
	turn("seat", "front")
	lap("findings of a third seat")
	rest()
	lap("first seconds made")
	play("first sound after a pause")
	js(t, ctx, `made = 0, ''`)
	until(t, ctx, `made > 20`)
	lap("20 s of sound")
	stop()
	rest()
	lap("rest")
	turn("room", "abbey")
	lap("findings of another church")
	play("first sound there, at once")
}

// traced has the browser write down what it does, until the function that is returned is called.
func traced(t *testing.T, ctx context.Context, file string) (end func()) {
	t.Helper()
	var events []json.RawMessage
	over := make(chan bool, 1)
	require.NoError(t, chromedp.Listen(ctx, func(ev any) {
		switch e := ev.(type) {
		case *tracing.EventDataCollected:
			for _, v := range e.Value {
				events = append(events, json.RawMessage(v))
			}
		case *tracing.EventTracingComplete:
			over <- true
		}
	}))
	do := func(act func(context.Context) error) {
		require.NoError(t, chromedp.Do(ctx, chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error { return act(ctx) })))
	}
	do(func(ctx context.Context) error {
		_, err := chromedp.Call(ctx, tracing.Start, tracing.StartParams{TraceConfig: &tracing.TraceConfig{IncludedCategories: strings.Split(
			"-*,devtools.timeline,toplevel,v8,v8.wasm,blink.user_timing,disabled-by-default-v8.compile,disabled-by-default-v8.gc", ",")}})
		return err
	})
	return func() {
		do(func(ctx context.Context) error {
			_, err := chromedp.Call(ctx, tracing.End, cdp.Empty{})
			return err
		})
		<-over
		data, err := json.Marshal(map[string]any{"traceEvents": events})
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(file, data, 0o644))
	}
}

// processorSeconds is what a process and those that it started have used.
func processorSeconds(pid int) (float64, error) {
	const ticks = 100 // of the kernel's clock in a second, as its programs see it
	stats, err := filepath.Glob("/proc/[0-9]*/stat")
	if err != nil || len(stats) == 0 {
		return 0, errors.New("no /proc")
	}
	used, parent := map[int]float64{}, map[int]int{}
	for _, file := range stats {
		data, err := os.ReadFile(file)
		if err != nil {
			continue // it has ended
		}
		// The name, in brackets, may hold anything (man 5 proc).
		fields := strings.Fields(string(data[strings.LastIndexByte(string(data), ')')+1:]))
		id, _ := strconv.Atoi(filepath.Base(filepath.Dir(file)))
		parent[id], _ = strconv.Atoi(fields[1])
		for _, f := range fields[11:15] { // utime, stime, cutime, cstime
			n, _ := strconv.ParseFloat(f, 64)
			used[id] += n / ticks
		}
	}
	sum := 0.0
	for id := range used {
		for at := id; at > 1; at = parent[at] {
			if at == pid {
				sum += used[id]
				break
			}
		}
	}
	return sum, nil
}
