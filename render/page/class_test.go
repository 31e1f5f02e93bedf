package page

import (
	"context"
	"math"
	"os"
	"slices"
	"strconv"
	"testing"
	"time"

	cdpbrowser "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"afterchord/render/internal/browser"
)

// tapped measures what goes to the loudspeakers, in stretches of 43 ms.
const tapped = `(() => {
  const connect = AudioNode.prototype.connect;
  AudioNode.prototype.connect = function (to, ...rest) {
    if (to instanceof AudioDestinationNode) { window.tap = this.context.createAnalyser(); tap.fftSize = 2048; connect.call(this, tap); }
    return connect.call(this, to, ...rest);
  };
  window.level = () => { const x = new Float32Array(2048); window.tap?.getFloatTimeDomainData(x); return Math.sqrt(x.reduce((s, v) => s + v * v, 0) / 2048); };
})()`

// TestPlayingInTheBackground: the music goes on, and is made, while nobody looks at the page and the browser slows the page's timers down.
func TestPlayingInTheBackground(t *testing.T) {
	browser.Long(t)
	ctx := inChromium(t, "disable-background-timer-throttling=false", "disable-backgrounding-occluded-windows=false", "disable-renderer-backgrounding=false")
	file, _ := built(t)
	before(t, ctx, tapped)
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate("file://"+file)))
	until(t, ctx, `!!document.querySelector('[data-demo=drop]')`)
	drop(t, ctx, "long.mid", piece(t, 3))
	until(t, ctx, proved)
	js(t, ctx, `document.getElementById('play').click(), ''`)
	until(t, ctx, `+document.getElementById('clock').dataset.seconds > 0.3`)

	require.NoError(t, chromedp.Do(ctx, quietly(func(ctx context.Context, _ *chromedp.Target) (bool, error) {
		window, err := chromedp.Call(ctx, cdpbrowser.GetWindowForTarget, cdpbrowser.GetWindowForTargetParams{})
		if err != nil {
			return false, err
		}
		_, err = chromedp.Call(ctx, cdpbrowser.SetWindowBounds, cdpbrowser.SetWindowBoundsParams{WindowID: window.WindowID, Bounds: &cdpbrowser.Bounds{WindowState: cdpbrowser.WindowStateMinimized}})
		return true, err
	})))
	time.Sleep(time.Second)
	if js(t, ctx, `document.visibilityState`) != "hidden" {
		t.Skip("this browser keeps every page in the foreground")
	}
	// The place is written when the page is painted; the clock of the sound and what sounds are looked at instead.
	clock := func() float64 {
		v, err := chromedp.Run(ctx, chromedp.Evaluate[float64](`window.tap.context.currentTime`))
		require.NoError(t, err)
		return v
	}
	from, heard, looks := clock(), 0, 20
	for range looks {
		time.Sleep(500 * time.Millisecond)
		v, err := chromedp.Run(ctx, chromedp.Evaluate[float64](`level()`))
		require.NoError(t, err)
		if v > 1e-4 {
			heard++
		}
	}
	require.Equal(t, "hidden", js(t, ctx, `document.visibilityState`))
	t.Logf("hidden for %.1f s: sound in %d of %d looks", clock()-from, heard, looks)
	require.Greater(t, heard, looks/2, "the music goes on")
}

// TestPagesOfAClass opens one page after another, as many as AFTERCHORD_PAGES says, each in a store of its own, and prints
// how long each takes to be ready, to judge three minutes of music, to answer a knob, and to sound, by the clock and in processor seconds of
// the browser; and the trend of the first sound from page to page: it does not depend on how many there are.
func TestPagesOfAClass(t *testing.T) {
	pages, _ := strconv.Atoi(os.Getenv("AFTERCHORD_PAGES"))
	if pages < 3 {
		t.Skip("AFTERCHORD_PAGES does not say how many, 3 at least")
	}
	ctx := inChromium(t)
	file, _ := built(t)
	music := piece(t, 3)
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate("about:blank")))
	browsers := chromedp.FromContext(ctx).Browser.Process().Pid
	var sounds, processor []float64
	for n := range pages {
		func() {
			tab, end := chromedp.NewContext(ctx, chromedp.WithNewBrowserContext())
			defer end()
			last := time.Now()
			lap := func() time.Duration {
				d := time.Since(last).Round(10 * time.Millisecond)
				last = time.Now()
				return d
			}
			require.NoError(t, chromedp.Do(tab, chromedp.Navigate("file://"+file)))
			until(t, tab, `!!document.querySelector('[data-demo=drop]')`)
			ready := lap()
			drop(t, tab, "three.mid", music)
			until(t, tab, proved)
			found := lap()
			js(t, tab, `(() => { const e = document.getElementById('room'); e.value = 'abbey'; e.dispatchEvent(new Event('change', { bubbles: true })); document.body.dataset.proved = ''; return ''; })()`)
			until(t, tab, proved)
			knob := lap()
			before, err := processorSeconds(browsers)
			require.NoError(t, err)
			js(t, tab, `document.getElementById('play').click(), ''`)
			until(t, tab, `+document.getElementById('clock').dataset.seconds > 0.05`)
			sound := lap()
			after, err := processorSeconds(browsers)
			require.NoError(t, err)
			sounds, processor = append(sounds, sound.Seconds()), append(processor, after-before)
			t.Logf("page %d: ready %v, findings %v, after a knob %v, first sound %v (processor %.2f s)", n+1, ready, found, knob, sound, after-before)
		}()
	}
	for name, x := range map[string][]float64{"by the clock": sounds, "processor": processor} {
		slope, uncertain := trend(x)
		sorted := slices.Sorted(slices.Values(x))
		t.Logf("%d pages, first sound %s: %.2f s (median; %.2f to %.2f), from page to page %+.3f s ± %.3f (standard error)", pages, name, sorted[pages/2], sorted[0], sorted[pages-1], slope, uncertain)
	}
}

// trend is the slope of a straight line through x at 0, 1, 2 … by least squares, and its standard error.
func trend(x []float64) (slope, standardError float64) {
	n, mean := float64(len(x)), 0.0
	for _, v := range x {
		mean += v / n
	}
	var xx, xy float64
	for i, v := range x {
		d := float64(i) - (n-1)/2
		xx += d * d
		xy += d * (v - mean)
	}
	slope = xy / xx
	var rest float64
	for i, v := range x {
		r := v - mean - slope*(float64(i)-(n-1)/2)
		rest += r * r
	}
	return slope, math.Sqrt(rest / (n - 2) / xx)
}
