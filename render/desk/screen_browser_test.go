package desk

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"

	"afterchord/render/internal/browser"
)

// TestWorkingScreen measures the page while a piece is on the desk: score, findings and player are seen at once, and
// nothing is wider than the screen.
func TestWorkingScreen(t *testing.T) {
	browser.Quick(t)
	ctx := newTab(t)
	_, s := newTestDesk(t, Options{})
	p := tab{t, ctx}
	size := func(w, h int64) {
		p.do(chromedp.EmulateViewport(w, h))
	}
	size(1280, 720)
	p.do(chromedp.Navigate(s.URL), chromedp.WaitVisible(chromedp.CSS(`[data-demo=vigil]`)))
	p.click(`[data-demo=vigil]`)
	p.until(proved)
	p.until(`!document.querySelector('.notation') || !!document.querySelector('.paper svg')`)
	for _, x := range []struct {
		w, h  int64
		share float64 // of the page that the score has at least
	}{{1280, 720, 0.5}, {1024, 768, 0.4}, {1920, 1080, 0.5}} {
		size(x.w, x.h)
		p.until(fmt.Sprintf(`innerWidth === %d && innerHeight === %d`, x.w, x.h))
		share := js[float64](p, `(() => { const b = document.querySelector('.view').getBoundingClientRect(); return b.width * b.height / (innerWidth * innerHeight); })()`)
		assert.GreaterOrEqual(t, share, x.share, "%d x %d: share of the score", x.w, x.h)
		for _, part := range []string{".view", "#work > .found", ".transport"} {
			box := js[string](p, `(() => { const b = document.querySelector('`+part+`').getBoundingClientRect(); return b.top >= 0 && b.bottom <= innerHeight + 1 && b.height > 40 ? '' : `+"`${b.top} to ${b.bottom}`"+`; })()`)
			assert.Empty(t, box, "%d x %d: %s is on the screen", x.w, x.h, part)
		}
		if x.h == 768 && js[bool](p, `!!document.querySelector('.paper svg')`) {
			p.until(`(() => { const { bottom } = document.querySelector('.paper').getBoundingClientRect(); return [...document.querySelectorAll('.paper g.staffline')].filter(g => g.getBoundingClientRect().bottom <= bottom).length >= 6; })()`) // two systems of three staves
		}
		look(t, ctx, fmt.Sprintf("%dx%d", x.w, x.h))
	}
	// A finding opens in its place, in the list and in the music, and the page stays.
	p.click(`.finding:nth-of-type(2) .line`)
	p.until(`document.querySelectorAll('.finding.open').length === 1 && !document.querySelector('.finding.open .more').hidden && scrollY === 0`)
	size(1280, 720)
	look(t, ctx, "open")
	p.click(`.finding.open .line`)
	p.until(`!document.querySelector('.finding.open')`)
	p.do(chromedp.KeyEvent("k"))
	p.until(`!document.getElementById('controls').hidden`)
	share := js[float64](p, `(() => { const b = document.querySelector('.view').getBoundingClientRect(); return b.width * b.height / (innerWidth * innerHeight); })()`)
	assert.GreaterOrEqual(t, share, 0.5, "the score keeps its place beside the knobs")
	look(t, ctx, "knobs")
	p.do(chromedp.KeyEvent("k"), chromedp.KeyEvent("?"))
	p.until(`document.getElementById('keys').open`)
	look(t, ctx, "keys")
	p.click(`#keys button`)

	size(390, 844)
	p.until(`innerWidth === 390`)
	assert.LessOrEqual(t, js[float64](p, `document.documentElement.scrollWidth`), 390.0, "no page wider than a phone")
	assert.LessOrEqual(t, js[float64](p, `document.querySelector('.transport').getBoundingClientRect().height`), 844.0/6, "the player leaves the screen to the music")
	look(t, ctx, "390x844")
}
