package desk

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// untilIn has the page promise the ms until a condition holds.
const untilIn = `const until = condition => new Promise(done => { const from = performance.now(); (function look() { if (condition()) done(performance.now() - from); else requestAnimationFrame(look); })(); });`

// TestHowSoon prints how long a reader waits: from a knob to the findings and to the sound, from a dropped file to its notation, and
// what a first visit transfers. It asserts no time.
func TestHowSoon(t *testing.T) {
	ctx := inBrowser(t)
	_, s := newTestDesk(t, Options{})
	p := tab{t, ctx}
	took := func(what, script string) {
		ms, err := chromedp.Run(ctx, chromedp.Evaluate[float64](`(async () => { `+untilIn+script+` })()`, chromedp.EvalAwaitPromise))
		require.NoError(t, err, what)
		t.Logf("%s: %.0f ms", what, ms)
	}
	const settled = `document.body.dataset.proved === 'yes' && !document.body.classList.contains('proving')`
	turn := func(seconds string) string {
		return `const rt = document.getElementById('rt'); rt.value = Math.round(1000 * Math.log(` + seconds + ` / 0.2) / Math.log(15 / 0.2)); rt.dispatchEvent(new Event('input', { bubbles: true }));`
	}
	p.do(chromedp.Navigate(s.URL), chromedp.WaitVisible(chromedp.CSS(`[data-demo=drop]`)))
	p.click(`[data-demo=drop]`)
	p.until(proved + ` && (!document.querySelector('.notation') || document.querySelector('.notation').dataset.shows === 'this')`)
	t.Logf("first visit: %.2f MB", js[float64](p, `[...performance.getEntriesByType('navigation'), ...performance.getEntriesByType('resource')].reduce((sum, e) => sum + e.encodedBodySize, 0) / 1e6`))
	t.Logf("asked more than once: %s", js[string](p, `(() => { const n = {}; for (const e of performance.getEntriesByType('resource')) n[new URL(e.name).pathname.replace(/p\d{14}-\w+/, 'ID')] = (n[new URL(e.name).pathname.replace(/p\d{14}-\w+/, 'ID')] || 0) + 1; return Object.entries(n).filter(([, k]) => k > 1).map(([k, v]) => v + ' × ' + k).join(', '); })()`))
	for _, seconds := range []string{"3.0", "4.0"} {
		took("knob to findings", turn(seconds)+`await until(() => document.body.dataset.proved !== 'yes'); return await until(() => `+settled+`);`)
	}
	js[bool](p, tapped)
	p.click(`#play`)
	p.until(`+document.getElementById('clock').dataset.seconds > 1 && document.getElementById('preparing').hidden`)
	took("knob to sound", turn("2.0")+`const from = performance.now(); await until(() => !document.getElementById('preparing').hidden || performance.now() - from > 3000); await until(() => document.getElementById('preparing').hidden); return performance.now() - from;`)
	p.click(`#play`)

	took("drop of 67 bars to notation", `const data = new DataTransfer(); data.items.add(new File([`+"`"+longScore(67)+"`"+`], 'long.musicxml'));
		performance.clearMarks(); performance.clearResourceTimings(); performance.mark('dropped');
		const file = document.getElementById('file'); file.files = data.files; document.getElementById('pieces').click();
		file.dispatchEvent(new Event('change', { bubbles: true }));
		return await until(() => document.title.startsWith('Long') && document.querySelectorAll('.paper svg').length > 0 && ['the beginning', 'this'].includes(document.querySelector('.notation').dataset.shows));`)
	took("and the rest of it", `return await until(() => document.querySelector('.notation').dataset.shows === 'this');`)
	t.Logf("after the drop: %s", js[string](p, `(() => { const [from] = performance.getEntriesByName('dropped'), after = t => Math.round(t - from.startTime);
		return [...performance.getEntriesByType('mark').map(m => [m.startTime, m.name + ' ' + after(m.startTime)]),
			...performance.getEntriesByType('resource').map(r => [r.startTime, new URL(r.name).pathname.replace(/p\d{14}-\w+/, 'ID') + ' ' + after(r.startTime) + '–' + after(r.responseEnd)])].sort((a, b) => a[0] - b[0]).map(x => x[1]).join(' ms; ') + ' ms'; })()`))
}

// longScore is organ music of so many bars on three staves, MusicXML.
func longScore(bars int) string {
	var b strings.Builder
	b.WriteString(`<?xml version="1.0"?><score-partwise version="4.0"><work><work-title>Long</work-title></work><part-list><score-part id="P1"><part-name>Organ</part-name></score-part></part-list><part id="P1">`)
	for bar := range bars {
		fmt.Fprintf(&b, `<measure number="%d">`, bar+1)
		if bar == 0 {
			b.WriteString(`<attributes><divisions>2</divisions><key><fifths>0</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time><staves>3</staves>` +
				`<clef number="1"><sign>G</sign><line>2</line></clef><clef number="2"><sign>F</sign><line>4</line></clef><clef number="3"><sign>F</sign><line>4</line></clef></attributes>`)
		}
		for staff, notes := range [3][2]int{{8, 1}, {4, 2}, {2, 4}} { // how many, how long
			if staff > 0 {
				b.WriteString(`<backup><duration>8</duration></backup>`)
			}
			for i := range notes[0] {
				fmt.Fprintf(&b, `<note><pitch><step>%c</step><octave>%d</octave></pitch><duration>%d</duration><voice>%d</voice><type>%s</type><staff>%d</staff></note>`,
					"CDEFGAB"[(bar+i)%7], 5-staff, notes[1], staff+1, [3]string{"eighth", "quarter", "half"}[staff], staff+1)
			}
		}
		b.WriteString(`</measure>`)
	}
	b.WriteString(`</part></score-partwise>`)
	return b.String()
}
