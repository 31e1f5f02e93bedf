package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The page offers every export, and each can be made.
func TestEveryExportIsOffered(t *testing.T) {
	page, err := assets.ReadFile("assets/keep.js")
	require.NoError(t, err)
	_, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	p := c.demo("drop")
	resp, _ := c.send("GET", "/api/projects/"+p.ID+"/files/a/beside.html", nil)
	assert.Equal(t, 404, resp.StatusCode, "one version alone")
	resp, data := c.send("PUT", "/api/projects/"+p.ID, saved{Name: p.Name, A: p.A, B: &p.A, Active: "a"}, "If-Match", etag(p.Version))
	require.Equal(t, 200, resp.StatusCode, string(data))
	seen := map[string]bool{}
	for _, x := range exports {
		t.Run(x.name, func(t *testing.T) {
			assert.False(t, seen[x.name], "a second row")
			seen[x.name] = true
			assert.Contains(t, string(page), "['"+x.name+"', ", "its words in keep.js")
			resp, data := c.send("GET", "/api/projects/"+p.ID+"/files/a/"+x.name, nil)
			assert.Equal(t, 200, resp.StatusCode, string(data[:min(len(data), 200)]))
			assert.NotEqual(t, "", resp.Header.Get("Content-Type"))
		})
	}
}
