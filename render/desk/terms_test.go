package desk

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Findings, rewritings and reports come in American terms where the page asks for them; keys and saved projects stay as they are.
func TestAmericanTerms(t *testing.T) {
	_, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	p := c.demo("drop")
	at := "/api/projects/" + p.ID
	resp, british := c.send("POST", at+"/proof", p.A)
	require.Equal(t, 200, resp.StatusCode)
	require.Contains(t, string(british), "bar 7")
	resp, american := c.send("POST", at+"/proof", p.A, "X-Terms", "american")
	require.Equal(t, 200, resp.StatusCode)
	require.Contains(t, string(american), "measure 7")
	require.NotContains(t, string(american), "bar 7")
	require.Contains(t, string(american), `"bars":`)

	resp, page := c.send("GET", at+"/files/a/report.html?terms=american", nil)
	require.Equal(t, 200, resp.StatusCode)
	require.Contains(t, string(page), "quarter notes a minute")
	resp, page = c.send("GET", at+"/files/a/report.html", nil)
	require.Equal(t, 200, resp.StatusCode)
	require.Contains(t, string(page), "crotchets a minute")
}
