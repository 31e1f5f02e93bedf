package desk

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/score/file"
)

// A score that came with the findings of an earlier proof in it is kept without them, and is the same music.
func TestCleanScore(t *testing.T) {
	_, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	p := c.demo("vigil")
	get := func(p *Project, name string) []byte {
		resp, data := c.send("GET", "/api/projects/"+p.ID+"/files/a/"+name, nil)
		require.Equal(t, 200, resp.StatusCode, string(data))
		return data
	}
	annotated := get(p, "annotated")
	require.Contains(t, string(annotated), `color="#`)
	resp, data := c.send("POST", "/api/projects", annotated, "X-File-Name", "again.musicxml")
	require.Equal(t, 201, resp.StatusCode, string(data))
	var again Project
	require.NoError(t, json.Unmarshal(data, &again))
	clean := get(&again, "score.musicxml")
	require.NotContains(t, string(clean), `color="#`)
	want, err := file.Read(get(p, "score.musicxml"), "a.musicxml")
	require.NoError(t, err)
	got, err := file.Read(clean, "b.musicxml")
	require.NoError(t, err)
	require.Equal(t, want.Notes, got.Notes)
	require.Equal(t, want.Bars, got.Bars)
	require.Len(t, got.Words, len(want.Words), "no words of the proof")
}
