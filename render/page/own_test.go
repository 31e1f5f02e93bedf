package page

import (
	"os"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"afterchord/render/internal/browser"
)

// TestOwnChurchAndOrganInThePage opens files of the user's own on a phone, judges and plays with them, is told of one that is wrong,
// and finds them after a reload.
func TestOwnChurchAndOrganInThePage(t *testing.T) {
	browser.Long(t)
	ctx := inChromium(t)
	file, _ := built(t)
	own := func(file, title string) string {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		lines := strings.Split(string(data), "\n")
		for i, l := range lines {
			if strings.HasPrefix(l, "title = ") {
				lines[i] = `title = "` + title + `"`
				break
			}
		}
		return strings.Join(lines, "\n")
	}
	church, organ := own("../../acoustics/room/builtin/chapel.toml", "St Ägidi’s"), own("../../voicing/builtin/village.toml", "Our Köchin organ")
	chosen := func(id string) string {
		return js(t, ctx, `(e => e.value + ': ' + e.selectedOptions[0].textContent)(document.getElementById('`+id+`'))`)
	}
	require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(390, 844)))
	visit(t, ctx, "file://"+file, native(t))
	before := js(t, ctx, written)

	pick(t, ctx, "own", "unser Kirchenraum.toml", []byte(church))
	until(t, ctx, `document.getElementById('room').value === 'own' && `+proved)
	require.Equal(t, "own: Yours: St Ägidi’s", chosen("room"))
	require.NotEqual(t, before, js(t, ctx, written), "a chapel blurs less than the cathedral")

	pick(t, ctx, "own-organ", "orgel.toml", []byte(organ))
	until(t, ctx, `document.getElementById('organ').value === 'own' && `+proved)
	require.Equal(t, "own: Yours: Our Köchin organ", chosen("organ"))
	there := js(t, ctx, written)

	for name, text := range map[string]string{"wrong.toml": strings.Replace(organ, "wind_mm = 70", "wind_mm = -70", 1), "none.toml": "not an organ\x00"} {
		pick(t, ctx, "own-organ", name, []byte(text))
		until(t, ctx, `document.getElementById('trouble').textContent.includes('`+name+`')`)
		t.Log(js(t, ctx, `document.getElementById('trouble').textContent`))
		require.NotContains(t, js(t, ctx, `document.getElementById('trouble').textContent`), "\n")
		require.Equal(t, "own: Yours: Our Köchin organ", chosen("organ"))
	}

	js(t, ctx, `window.place = +document.getElementById('clock').dataset.seconds || 0, document.getElementById('play').click(), ''`)
	until(t, ctx, `+document.getElementById('clock').dataset.seconds > place + 0.1`)
	js(t, ctx, `document.getElementById('play').click(), ''`)
	until(t, ctx, `document.getElementById('saved').textContent === 'saved'`)
	require.Equal(t, "fits", js(t, ctx, `document.documentElement.scrollWidth <= innerWidth ? 'fits' : 'sticks out'`))
	comesBack(t, ctx, there)
	require.Equal(t, "own: Yours: St Ägidi’s", chosen("room"))
	require.Equal(t, "own: Yours: Our Köchin organ", chosen("organ"))
}
