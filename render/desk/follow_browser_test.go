package desk

import (
	"context"
	"encoding/base64"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// TestSavedAgainInTheNotationProgram follows a file: what is saved there is on the page, under the knobs as they
// were, with what it changed; and undo goes back.
func TestSavedAgainInTheNotationProgram(t *testing.T) {
	ctx := inBrowser(t)
	d, s := newTestDesk(t, Options{})
	p := tab{t, ctx}
	failures := consoleErrors(t, ctx)
	file := filepath.Join(t.TempDir(), "Übung.mid")
	require.NoError(t, os.WriteFile(file, demoPiece(t, "drop"), 0o644))
	id, err := d.Follow(file)
	require.NoError(t, err)
	p.do(chromedp.Navigate(s.URL + "/#" + id))
	p.until(proved + ` && ` + covered)
	p.until(`document.getElementById('followed').textContent === 'follows Übung.mid'`)
	p.set("room", "abbey", "change")
	p.until(proved + ` && document.getElementById('rt-out').textContent.startsWith('4.')`)

	require.NoError(t, os.WriteFile(file, demoPiece(t, "solo"), 0o644))
	p.until(proved + ` && document.getElementById('renewed').textContent.includes('gone: covered entry')`)
	require.False(t, js[bool](p, covered))
	require.Equal(t, "abbey", js[string](p, `document.getElementById('room').value`))
	look(t, ctx, "renewed")
	p.click(`#undo`)
	p.until(proved + ` && ` + covered)
	require.Empty(t, failures(), "the console's errors")
}

// look keeps a picture of the page in the folder AFTERCHORD_LOOK, if there is one.
func look(t *testing.T, ctx context.Context, name string) {
	dir := os.Getenv("AFTERCHORD_LOOK")
	if dir == "" {
		return
	}
	png, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "desk-"+name+".png"), png, 0o644))
}

// TestDroppedFileIsReadAgain drops a file that the browser can read again; its own private files stand in for the disk.
func TestDroppedFileIsReadAgain(t *testing.T) {
	ctx := inBrowser(t)
	_, s := newTestDesk(t, Options{})
	p := tab{t, ctx}
	failures := consoleErrors(t, ctx)
	p.do(chromedp.Navigate(s.URL), chromedp.WaitVisible(chromedp.CSS(`[data-demo=drop]`)))
	bytesOf := func(name string) string { return base64.StdEncoding.EncodeToString(demoPiece(t, name)) }
	js[bool](p, `(() => {
	  window.write = async text => {
	    const w = await handle.createWritable();
	    await w.write(Uint8Array.from(atob(text), c => c.charCodeAt(0)));
	    await w.close();
	  };
	  window.dropped = (async () => {
	    window.handle = await (await navigator.storage.getDirectory()).getFileHandle('Etude.mid', { create: true });
	    await write('`+bytesOf("drop")+`');
	    DataTransferItem.prototype.getAsFileSystemHandle = async () => handle;
	    const taken = new DataTransfer();
	    taken.items.add(await handle.getFile());
	    document.body.dispatchEvent(new DragEvent('drop', { dataTransfer: taken, bubbles: true, cancelable: true }));
	  })();
	  return true; })()`)
	p.until(proved + ` && ` + covered + ` && document.getElementById('followed').textContent === 'follows Etude.mid'`)
	js[bool](p, `write('`+bytesOf("solo")+`'), true`)
	p.until(proved + ` && document.getElementById('renewed').textContent.includes('gone: covered entry')`)
	require.Empty(t, failures(), "the console's errors")
}
