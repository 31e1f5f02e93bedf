package desk

import (
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// TestOwnChurchAndOrganAtTheDesk describes a church in words, counts in another, and pastes a stop list; each is then on the desk.
func TestOwnChurchAndOrganAtTheDesk(t *testing.T) {
	ctx := browser(t)
	_, s := newTestDesk(t, Options{})
	p := tab{t, ctx}
	failures := consoleErrors(t, ctx)
	p.do(chromedp.EmulateViewport(1280, 900), chromedp.Navigate(s.URL), chromedp.WaitVisible(chromedp.CSS(`[data-demo=drop]`)))
	p.click(`[data-demo=drop]`)
	p.until(proved)
	js[bool](p, `[...document.querySelectorAll('#knobs, #own-church, #own-pipes')].every(d => { d.open = true; return true; })`)

	p.click(`#own-words`)
	p.until(`!!document.querySelector('dialog.own[open] .plan svg')`)
	p.set("own-walls", "stone", "change")
	p.click(`dialog.own section:first-child > button`)
	p.until(`!!document.querySelector('dialog.own .answer b')`)
	look(t, ctx, "own-church")
	require.Contains(t, js[string](p, `document.querySelector('dialog.own .answer').textContent`), "described in words, not measured")
	p.click(`dialog.own .answer button`)
	p.until(`!document.querySelector('dialog.own') && document.getElementById('room').value === 'own'`)
	p.until(proved)

	p.click(`#own-stops`)
	p.set("own-list", `Great\nOpen Diapason 8\nPrincipal 4\nBrzzl 8\n\nPedal\nBourdon 16\nGt to Ped`, "input")
	p.click(`dialog.own > button`)
	p.until(`!!document.querySelector('dialog.own .answer table')`)
	look(t, ctx, "own-organ")
	require.Contains(t, js[string](p, `document.querySelector('dialog.own .answer').textContent`), "1 not understood and left out")
	p.click(`dialog.own .answer button`)
	p.until(`!document.querySelector('dialog.own') && document.getElementById('organ').value === 'own'`)
	p.until(proved)

	p.click(`#own-claps`)
	p.until(`!!document.querySelector('dialog.own meter')`)
	look(t, ctx, "own-claps")
	require.Empty(t, failures())
}
