package desk

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/sim/demos"
)

func demoPiece(t *testing.T, name string) []byte {
	data, ok := demos.Piece(name)
	require.True(t, ok)
	return data
}

func into[T any](t *testing.T, data []byte) (v T) {
	require.NoError(t, json.Unmarshal(data, &v), "%s", data)
	return v
}

func TestNewVersionOfTheScore(t *testing.T) {
	_, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	c.send("GET", "/", nil)
	_, body := c.send("POST", "/api/projects", demoPiece(t, "drop"), "X-File-Name", "study.mid")
	p := into[Project](t, body)
	address := "/api/projects/" + p.ID

	r, body := c.send("POST", address+"/score", demoPiece(t, "drop"), "If-Match", etag(p.Version), "X-File-Name", "study.mid")
	require.Equal(t, http.StatusOK, r.StatusCode, "%s", body)
	assert.True(t, into[replaced](t, body).Same)

	r, body = c.send("POST", address+"/score", demoPiece(t, "solo"), "If-Match", etag(p.Version), "X-File-Name", "study (1).mid")
	require.Equal(t, http.StatusCreated, r.StatusCode, "%s", body)
	done := into[replaced](t, body)
	assert.Equal(t, 1, done.Score)
	assert.Len(t, done.Project.Scores, 2)
	assert.Equal(t, 0, done.Project.A.Score, "the page moves its sides to it")
	assert.NotEmpty(t, done.Parts)
	assert.NotEmpty(t, done.Bars)

	for name, bad := range map[string]struct {
		data   []byte
		match  int
		status int
	}{
		"no music":      {[]byte("what"), done.Project.Version, http.StatusUnprocessableEntity},
		"older version": {demoPiece(t, "dotted"), p.Version, http.StatusConflict},
	} {
		r, body = c.send("POST", address+"/score", bad.data, "If-Match", etag(bad.match))
		assert.Equal(t, bad.status, r.StatusCode, "%s: %s", name, body)
	}
}

// A day of saving does not fill a project: what nothing refers to any more gives way.
func TestScoresGiveWay(t *testing.T) {
	p := &Project{}
	for i := range maxScores {
		p.Scores = append(p.Scores, ScoreFile{From: i, Edition: i})
	}
	p.A.Score, p.Past = 3, []Past{{A: Side{Score: 1}}}
	p.Scores[5].From = 2 // a rewriting
	assert.Equal(t, 4, p.free())
	p.Scores = p.Scores[:10]
	assert.Equal(t, 10, p.free())
}

func TestFollowsAFile(t *testing.T) {
	d, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	c.send("GET", "/", nil)
	file := filepath.Join(t.TempDir(), "Präludium in D.mid")
	require.NoError(t, os.WriteFile(file, demoPiece(t, "drop"), 0o644))
	id, err := d.Follow(file)
	require.NoError(t, err)
	again, err := d.Follow(file)
	require.NoError(t, err)
	assert.Equal(t, id, again, "the knobs are those that were left")

	asked := make(chan watchReply, 1)
	go func() {
		_, body := c.send("GET", "/api/projects/"+id+"/watch?seen=", nil)
		asked <- into[watchReply](t, body)
	}()
	// as notation programs save: the old file is moved away, a new one comes in its place
	require.NoError(t, os.Rename(file, file+".bak"))
	require.NoError(t, os.WriteFile(file, demoPiece(t, "solo"), 0o644))
	reply := <-asked
	assert.True(t, reply.Watched)
	assert.Equal(t, "Präludium in D.mid", reply.File)
	assert.Equal(t, sumOf(demoPiece(t, "solo")), reply.Sum)

	p, err := d.store.Get(id)
	require.NoError(t, err)
	_, body := c.send("POST", "/api/projects/"+id+"/score?watched", nil, "If-Match", etag(p.Version))
	assert.Equal(t, 1, into[replaced](t, body).Score)

	_, body = c.send("POST", "/api/projects", demoPiece(t, "drop"))
	_, body = c.send("GET", "/api/projects/"+into[Project](t, body).ID+"/watch", nil)
	assert.False(t, into[watchReply](t, body).Watched)
}

func TestFollowRefusesInOneLine(t *testing.T) {
	d, _ := newTestDesk(t, Options{})
	dir := t.TempDir()
	empty := filepath.Join(dir, "empty.mid")
	require.NoError(t, os.WriteFile(empty, nil, 0o644))
	for path, want := range map[string]string{
		filepath.Join(dir, "none.mid"): "none.mid: ",
		dir:                            "not a file",
		empty:                          "the file is empty",
	} {
		t.Run(path, func(t *testing.T) {
			_, err := d.Follow(path)
			require.Error(t, err)
			assert.Contains(t, err.Error(), want)
			assert.NotContains(t, err.Error(), dir+string(filepath.Separator), "no folders of this machine")
		})
	}
}

func TestRunningDeskIsFound(t *testing.T) {
	dir := t.TempDir()
	d, err := New(Options{Dir: dir})
	require.NoError(t, err)
	s := httptest.NewServer(d)
	_, found, err := Running(t.Context(), dir, "")
	require.NoError(t, err)
	assert.False(t, found)

	end, err := d.Announce(s.URL + "/")
	require.NoError(t, err)
	st, err := os.Stat(filepath.Join(dir, runningFile))
	require.NoError(t, err)
	assert.Zero(t, st.Mode().Perm()&0o077, "the key is the owner's")
	file := filepath.Join(dir, "a.mid")
	require.NoError(t, os.WriteFile(file, demoPiece(t, "drop"), 0o644))
	page, found, err := Running(t.Context(), dir, file)
	require.NoError(t, err)
	require.True(t, found)
	assert.Regexp(t, `^`+s.URL+`/#p\d{14}-[0-9a-f]{12}$`, page)
	_, _, err = Running(t.Context(), dir, filepath.Join(dir, "none.mid"))
	assert.ErrorContains(t, err, "none.mid")

	r, err := http.Post(s.URL+"/api/open", "application/json", nil)
	require.NoError(t, err)
	r.Body.Close()
	assert.Equal(t, http.StatusForbidden, r.StatusCode, "without the key")

	s.Close() // as after a kill: the file is there, the desk is not
	_, found, err = Running(t.Context(), dir, "")
	require.NoError(t, err)
	assert.False(t, found)
	end()
	_, err = os.Stat(filepath.Join(dir, runningFile))
	assert.ErrorIs(t, err, os.ErrNotExist)
}
