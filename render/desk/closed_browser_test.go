package desk

import (
	"net"
	"net/http/httptest"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// TestClosedDesk closes the desk under its page and starts it again: the page says so in words, goes on by itself, and
// what was turned meanwhile is not forgotten.
func TestClosedDesk(t *testing.T) {
	ctx := inBrowser(t)
	dir := t.TempDir()
	open := func(address string) (*Desk, *httptest.Server) {
		d, err := New(Options{Dir: dir, Remedies: TableRemedies{}})
		require.NoError(t, err)
		l, err := net.Listen("tcp", address)
		require.NoError(t, err)
		s := httptest.NewUnstartedServer(d)
		s.Listener.Close()
		s.Listener = l
		s.Start()
		return d, s
	}
	_, s := open("127.0.0.1:0")
	p := tab{t, ctx}
	p.do(chromedp.Navigate(s.URL), chromedp.WaitVisible(chromedp.CSS(`[data-demo=drop]`)))
	p.click(`[data-demo=drop]`)
	p.until(proved + ` && document.getElementById('saved').textContent === 'saved'`)
	address := s.Listener.Addr().String()
	s.CloseClientConnections()
	s.Close()

	p.set("room", "chapel", "change")
	p.until(`document.getElementById('trouble').textContent.startsWith('The desk is closed. Start it again')`)
	d, s := open(address)
	defer s.Close()
	p.until(`document.getElementById('trouble').hidden && ` + proved + ` && document.getElementById('rt-out').textContent.startsWith('1.')`)
	p.until(`document.getElementById('saved').textContent === 'saved'`)
	list, err := d.store.List(1)
	require.NoError(t, err)
	kept, err := d.store.Get(list[0].ID)
	require.NoError(t, err)
	require.Equal(t, "chapel", kept.A.Room)
	p.click(`#play`)
	p.until(`+document.getElementById('clock').dataset.seconds > 0.3`)
	p.click(`#play`)

	// A project is deleted from the list and taken back.
	p.click(`#pieces`)
	p.until(`document.querySelectorAll('#projects li').length === 1`)
	p.click(`#projects .small`)
	p.until(`document.querySelectorAll('#projects li').length === 0 && document.getElementById('work').hidden`)
	p.click(`#removed button`)
	p.until(`document.querySelectorAll('#projects li').length === 1`)
	p.click(`#projects .go`)
	p.until(proved)
}
