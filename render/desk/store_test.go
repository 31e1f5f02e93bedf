package desk

import (
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"afterchord/sim/demos"
)

func newTestStore(t *testing.T) (*Store, *Project) {
	t.Helper()
	s, err := openStore(t.TempDir())
	require.NoError(t, err)
	data, _ := demos.Piece("drop")
	p, err := s.Create("Lesson", "drop.mid", ".mid", data)
	require.NoError(t, err)
	return s, p
}

func rename(name string) func(*Project) error {
	return func(p *Project) error { p.Name = name; return nil }
}

// errStopped is what a step returns where the process would have ended.
var errStopped = errors.New("stopped")

// TestKilledInSave ends the program at every step of a save: what opens afterwards is the state before or the
// new one, whole.
func TestKilledInSave(t *testing.T) {
	for _, at := range []string{"journal", "flush", "write project.json"} {
		t.Run(at, func(t *testing.T) {
			s, p := newTestStore(t)
			shelfOf(s).step = func(name string) error {
				if name == at {
					panic(errStopped)
				}
				return nil
			}
			func() {
				defer func() { require.Equal(t, errStopped, recover(), at) }()
				_, _ = s.Update(p.ID, p.Version, rename("after"))
			}()
			again, err := openStore(shelfOf(s).dir)
			require.NoError(t, err)
			got, err := again.Get(p.ID)
			require.NoError(t, err, at)
			want := "after"
			if at == "journal" {
				want = "Lesson"
			}
			require.Equal(t, want, got.Name, at)
			_, err = again.Update(p.ID, got.Version, rename("onwards"))
			require.NoError(t, err, "%s: and it can be saved again", at)
		})
	}
}

// TestTornFiles: a journal cut anywhere in its last line, and a project.json of any length, open as the
// last whole state.
func TestTornFiles(t *testing.T) {
	s, p := newTestStore(t)
	p, err := s.Update(p.ID, p.Version, rename("second"))
	require.NoError(t, err)
	_, err = s.Update(p.ID, p.Version, rename("third"))
	require.NoError(t, err)
	path := filepath.Join(shelfOf(s).dir, p.ID, "journal.jsonl")
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	lines := strings.SplitAfter(string(whole), "\n")
	require.Len(t, lines, 4) // the last is empty
	main := filepath.Join(shelfOf(s).dir, p.ID, "project.json")
	for cut := len(lines[0]) + len(lines[1]); cut < len(whole)-1; cut += 37 {
		require.NoError(t, os.WriteFile(path, whole[:cut], 0o644))
		require.NoError(t, os.WriteFile(main, []byte(`{"id":`), 0o644))
		got, err := s.Get(p.ID)
		require.NoError(t, err)
		require.Equal(t, "second", got.Name, "cut at %d", cut)
		got, err = s.Update(p.ID, got.Version, rename("fourth"))
		require.NoError(t, err)
		got, err = s.Get(got.ID)
		require.NoError(t, err)
		require.Equal(t, "fourth", got.Name, "saved after a cut at %d", cut)
	}
	require.NoError(t, os.Remove(path))
	got, err := s.Get(p.ID)
	require.NoError(t, err)
	require.Equal(t, "fourth", got.Name, "project.json alone is enough")
}

// TestChangedByHand: what a person wrote into a project's files stops nothing, and is named.
func TestChangedByHand(t *testing.T) {
	s, p := newTestStore(t)
	dir := filepath.Join(shelfOf(s).dir, p.ID)
	state, err := os.ReadFile(filepath.Join(dir, "project.json"))
	require.NoError(t, err)
	for name, x := range map[string]struct{ from, to, want string }{
		"a score that is not there": {`"a": {
  "score": 0`, `"a": {
  "score": 5`, "there is no score 5"},
		"a number in words":           {`"tempo": 1`, `"tempo": "fast"`, "a.tempo cannot be a string"},
		"a file in another folder":    {`"file": "score-1.mid"`, `"file": "../../score-1.mid"`, "a score cannot be called"},
		"made from what is not there": {`"from": 0`, `"from": -1`, "which is not there"},
	} {
		t.Run(name, func(t *testing.T) {
			changed := strings.Replace(string(state), x.from, x.to, 1)
			require.NotEqual(t, string(state), changed)
			require.NoError(t, os.WriteFile(filepath.Join(dir, "project.json"), []byte(changed), 0o644))
			_, err := s.Get(p.ID)
			require.NoError(t, err, "the journal has the last state that was saved here")
			require.NoError(t, os.Rename(filepath.Join(dir, "journal.jsonl"), filepath.Join(dir, "aside")))
			_, err = s.Get(p.ID)
			require.ErrorContains(t, err, x.want)
			require.NotRegexp(t, "Go |struct|json:|"+regexp.QuoteMeta(dir), err.Error())
			require.NoError(t, os.Rename(filepath.Join(dir, "aside"), filepath.Join(dir, "journal.jsonl")))
		})
	}
}

// TestLargestProject: stops and undo steps that are allowed can be saved, and what is kept of them is bounded.
func TestLargestProject(t *testing.T) {
	_, server := newTestDesk(t, Options{})
	c := newClient(t, server)
	p := c.demo("drop")
	stops := strings.Repeat("# a remark on the stops\n", maxStops/24)
	p.A.Stops = stops
	in := saved{Name: p.Name, A: p.A, B: &p.A, Active: "b"}
	for i := range maxPast {
		in.Past = append(in.Past, Past{What: strconv.Itoa(i), A: p.A, B: &p.A})
	}
	resp, data := c.send("PUT", "/api/projects/"+p.ID, in, "If-Match", etag(p.Version))
	require.Equal(t, 200, resp.StatusCode, string(data))
	_, data = c.send("GET", "/api/projects/"+p.ID, nil)
	require.Less(t, len(data), 1<<20)
	got := into[Project](t, data)
	require.Equal(t, stops, got.A.Stops)
	require.NotEmpty(t, got.Past)
	require.Equal(t, strconv.Itoa(maxPast-1), got.Past[len(got.Past)-1].What, "the newest are kept")

	for range 2000 {
		p.A.Dynamics = append(p.A.Dynamics, Mark{Part: strings.Repeat("x", 300), Bar: 1, Dynamic: "f"})
	}
	resp, data = c.send("PUT", "/api/projects/"+p.ID, saved{Name: p.Name, A: p.A, Active: "a"}, "If-Match", etag(got.Version))
	require.Equal(t, 400, resp.StatusCode)
	require.Contains(t, string(data), "take some of the dynamics or lines of stops out")
}

// TestLinksInAProject: nothing is read or written through a link.
func TestLinksInAProject(t *testing.T) {
	s, p := newTestStore(t)
	dir := filepath.Join(shelfOf(s).dir, p.ID)
	secret := filepath.Join(t.TempDir(), "secret")
	require.NoError(t, os.WriteFile(secret, []byte("private"), 0o644))
	for _, name := range []string{p.Scores[0].File, "journal.jsonl"} {
		require.NoError(t, os.Remove(filepath.Join(dir, name)))
		if err := os.Symlink(secret, filepath.Join(dir, name)); err != nil {
			t.Skip(err)
		}
	}
	_, err := s.Read(p.ID, p.Scores[0].File)
	require.ErrorContains(t, err, "it is a link")
	require.NotContains(t, err.Error(), dir)
	got, err := s.Get(p.ID)
	require.NoError(t, err, "project.json is still there")
	_, err = s.Update(p.ID, got.Version, rename("through the link"))
	require.Error(t, err)
	left, err := os.ReadFile(secret)
	require.NoError(t, err)
	require.Equal(t, "private", string(left))
	require.NoError(t, os.Symlink(dir, filepath.Join(shelfOf(s).dir, "p20200101000000-000000000000")))
	_, err = s.Get("p20200101000000-000000000000")
	require.Error(t, err)
}

// TestFullDisk: a save that finds no room says so and leaves the last state.
func TestFullDisk(t *testing.T) {
	s, p := newTestStore(t)
	for _, at := range []string{"journal", "flush"} {
		t.Run(at, func(t *testing.T) {
			shelfOf(s).step = func(name string) error {
				if name == at {
					return &os.PathError{Op: "write", Path: "/secret/place", Err: syscall.ENOSPC}
				}
				return nil
			}
			_, err := s.Update(p.ID, p.Version, rename("lost"))
			require.ErrorContains(t, err, "no space left on device")
			require.NotContains(t, err.Error(), "/secret")
			shelfOf(s).step = func(string) error { return nil }
			got, err := s.Get(p.ID)
			require.NoError(t, err)
			require.Equal(t, "Lesson", got.Name, at)
			require.Equal(t, p.Version, got.Version)
		})
	}
	shelfOf(s).step = func(name string) error {
		if strings.HasPrefix(name, "write") {
			return syscall.ENOSPC
		}
		return nil
	}
	_, err := s.Create("New", "x.mid", ".mid", []byte("x"))
	require.Error(t, err)
	ids, err := s.shelf.Projects()
	require.NoError(t, err)
	require.Len(t, ids, 1, "nothing half made stays")
	// Room in the journal but not for project.json: the state is kept all the same.
	got, err := s.Update(p.ID, p.Version, rename("in the journal"))
	require.NoError(t, err)
	again, err := s.Get(got.ID)
	require.NoError(t, err)
	require.Equal(t, "in the journal", again.Name)
}

// TestOneWinner: of saves made from the same version only one is taken.
func TestOneWinner(t *testing.T) {
	s, p := newTestStore(t)
	var wg sync.WaitGroup
	var mu sync.Mutex
	taken := 0
	for range 8 {
		wg.Go(func() {
			if _, err := s.Update(p.ID, p.Version, rename("mine")); err == nil {
				mu.Lock()
				taken++
				mu.Unlock()
			}
		})
	}
	wg.Wait()
	require.Equal(t, 1, taken)
}

func TestJournalStartsAnew(t *testing.T) {
	s, p := newTestStore(t)
	long := strings.Repeat("# a long file of stops\n", 2800)
	for range 20 {
		var err error
		p, err = s.Update(p.ID, p.Version, func(p *Project) error { p.A.Stops = long; return nil })
		require.NoError(t, err)
	}
	st, err := os.Stat(filepath.Join(shelfOf(s).dir, p.ID, "journal.jsonl"))
	require.NoError(t, err)
	require.Less(t, st.Size(), int64(journalBound+100<<10))
	got, err := s.Get(p.ID)
	require.NoError(t, err)
	require.Equal(t, p.Version, got.Version)
}

func shelfOf(s *Store) *folder { return s.shelf.(*folder) }

// openStore opens a folder, which it makes where it is missing.
func openStore(dir string) (*Store, error) {
	f, err := openFolder(dir)
	if err != nil {
		return nil, err
	}
	return newStore(f), nil
}

// A project that is put away can be taken back for an hour, goes on when somebody works on it, and gives its room up
// to one that needs it.
func TestProjectsArePutAway(t *testing.T) {
	d, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	now := time.Now()
	d.store.now = func() time.Time { return now }
	names := func() (out []string) {
		list, err := d.store.List(10)
		require.NoError(t, err)
		for _, x := range list {
			out = append(out, x.Name)
		}
		return out
	}
	drop, solo := c.demo("drop"), c.demo("solo")
	require.ElementsMatch(t, []string{drop.Name, solo.Name}, names())
	ask := func(method, path string, status int) {
		t.Helper()
		resp, data := c.send(method, "/api/projects/"+path, nil)
		require.Equal(t, status, resp.StatusCode, string(data))
	}
	ask("DELETE", drop.ID, 204)
	require.Equal(t, []string{solo.Name}, names())
	ask("POST", drop.ID+"/restore", 204)
	require.ElementsMatch(t, []string{drop.Name, solo.Name}, names())

	ask("DELETE", drop.ID, 204)
	now = now.Add(keptRemoved + time.Minute)
	require.Equal(t, []string{solo.Name}, names())
	ask("POST", drop.ID+"/restore", 404)

	// Another window still works on it.
	ask("DELETE", solo.ID, 204)
	p, err := d.store.Get(solo.ID)
	require.NoError(t, err)
	resp, _ := c.send("PUT", "/api/projects/"+p.ID, saved{Name: "Mine", A: p.A, Active: "a"}, "If-Match", etag(p.Version))
	require.Equal(t, 200, resp.StatusCode)
	require.Equal(t, []string{"Mine"}, names())

	// A full disk.
	ask("DELETE", solo.ID, 204)
	f := d.store.shelf.(*folder)
	f.step = func(string) error {
		if _, err := os.Stat(f.path(solo.ID)); err == nil {
			return errors.New("no space left on device")
		}
		return nil
	}
	next := c.demo("dotted")
	require.Equal(t, []string{next.Name}, names())
}
