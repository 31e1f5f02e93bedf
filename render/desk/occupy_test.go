package desk

import (
	"net/http"
	"net/http/httptest"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestOneDeskHasTheProjects(t *testing.T) {
	dir := t.TempDir()
	leave, err := Occupy(dir)
	require.NoError(t, err)
	_, err = Occupy(dir)
	var occupied *OccupiedError
	require.ErrorAs(t, err, &occupied)

	d, err := New(Options{Dir: dir})
	require.NoError(t, err)
	s := httptest.NewServer(d)
	defer s.Close()
	end, err := d.Announce(s.URL + "/")
	require.NoError(t, err)
	defer end()
	_, err = Occupy(dir)
	require.ErrorAs(t, err, &occupied)
	require.Equal(t, os.Getpid(), occupied.Owner.Process)
	require.Contains(t, err.Error(), "--take-over")

	r, err := http.Post(s.URL+"/api/leave", "application/json", nil)
	require.NoError(t, err)
	r.Body.Close()
	require.Equal(t, http.StatusForbidden, r.StatusCode, "without the key")

	go func(leave func()) {
		<-d.Left()
		leave()
	}(leave)
	leave, err = TakeOver(t.Context(), dir)
	require.NoError(t, err)
	leave()
	leave, err = Occupy(dir)
	require.NoError(t, err)
	leave()
}
