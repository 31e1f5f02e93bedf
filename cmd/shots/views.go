package main

import (
	"fmt"
	"time"

	"github.com/chromedp/chromedp"

	"afterchord/render/engraving"
)

type step = chromedp.Action[chromedp.Void]

// view is one picture: the size of the window, and what is done in it beforehand. Each goes on from the one before.
type view struct {
	name          string
	width, height int64
	dark          bool
	full          bool // the whole page, not what the window shows of it
	do            []step
}

// views are the pictures of the desk at an address.
func views(desk string) []view {
	_, notation := engraving.Library()
	proved := settled(notation)
	out := []view{
		{"welcome", 1280, 800, false, false, []step{chromedp.Navigate(desk), chromedp.WaitVisible(chromedp.CSS(`.demo`))}},
		{"desk-light", 1280, 900, false, false, then(demo(desk, "drop"), proved)},
		{"desk-light-whole", 1280, 900, false, true, proved},
		{"desk-dark", 1280, 900, true, false, proved},
		{"mended", 1280, 900, false, false, then(demo(desk, "drop"), proved, []step{click("[data-kind=covered-entry] [data-remedy=release-early]"),
			chromedp.WaitVisible(chromedp.CSS(`.why`)), pause(500)}, proved)},
		{"compare", 1280, 900, false, true, then([]step{click("#compare"), pause(300), choose("room", "chapel"), pause(700)}, proved)},
		{"phone", 390, 844, false, true, then(demo(desk, "solo"), proved)},
		{"phone-top", 390, 844, true, false, proved},
		{"phone-menu", 390, 844, true, false, []step{js(`document.getElementById('keep').open = true`)}},
		{"vigil", 1280, 900, false, false, then(demo(desk, "vigil"), proved)},
	}
	if !notation {
		return out
	}
	return append(out,
		view{"notation-light", 1280, 900, false, false, then(demo(desk, "vigil"), proved, []step{shown("notation")}, proved,
			[]step{js(`document.querySelectorAll('.paper .tag')[1].click()`), pause(700), js(`scrollTo(0, 0)`)})},
		view{"notation-dark", 1280, 900, true, false, proved},
		view{"notation-midi", 1280, 900, false, false, then(demo(desk, "drop"), proved)},
		view{"notation-narrow", 390, 844, false, false, then(proved, []step{toNotation()})},
		view{"notation-projector", 1600, 900, false, false, then([]step{choose("size", "large"), pause(600)}, proved)},
		view{"picture-alone", 1280, 900, false, false, []step{choose("size", ""), shown("picture"), pause(400)}},
	)
}

// settled waits until the findings are there, and the notation, which is engraved when it is looked at.
func settled(notation bool) []step {
	steps := []step{quietly(chromedp.Poll[bool](`document.body.dataset.proved === 'yes' && !document.body.classList.contains('proving')`)), pause(400)}
	if notation {
		steps = append(steps, toNotation(),
			quietly(chromedp.Poll[bool](`document.querySelector('.notation').dataset.shows === 'this' || document.querySelector('.notation').hidden`)),
			js(`scrollTo(0, 0)`), pause(300))
	}
	return steps
}

// demo opens a demo at a desk as if for the first time: what is kept is cleared where no desk is open that would keep it again.
func demo(desk, name string) []step {
	card := fmt.Sprintf("[data-demo=%s]", name)
	return []step{chromedp.Navigate("about:blank"), chromedp.Navigate(desk + "/assets/desk.css"), js(`sessionStorage.clear(); localStorage.clear()`),
		chromedp.Navigate(desk + "/?" + name), chromedp.WaitVisible(chromedp.CSS(card)), click(card)}
}

func then(stretches ...[]step) (all []step) {
	for _, s := range stretches {
		all = append(all, s...)
	}
	return all
}

func js(expression string) step { return quietly(chromedp.Evaluate[bool](expression + "; true")) }
func click(selector string) step {
	return js(fmt.Sprintf(`document.querySelector('%s').click()`, selector))
}
func pause(ms time.Duration) step { return chromedp.Sleep(ms * time.Millisecond) }
func toNotation() step            { return js(`document.querySelector('.notation').scrollIntoView()`) }
func shown(value string) step {
	return js(`document.querySelector('[name=shown][value=` + value + `]')?.click()`)
}
func choose(id, value string) step {
	return js(fmt.Sprintf(`{const s = document.getElementById('%s'); s.value = '%s'; s.dispatchEvent(new Event('change'))}`, id, value))
}
