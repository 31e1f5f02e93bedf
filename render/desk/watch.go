package desk

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"sync"
	"time"

	"afterchord/acoustics/atomicfile"
)

const (
	watchEvery = 150 * time.Millisecond // between looks at a file that is followed
	watchHold  = 20 * time.Second       // that a question about it may stay unanswered
)

// watched are the files of scores that projects follow: Store's folder/watched.json, by project. The page never
// learns or gives a path.
type watched struct {
	mu   sync.Mutex
	file string
	by   map[string]string // path by project
}

func openWatched(dir string) *watched {
	w := &watched{file: filepath.Join(dir, "watched.json"), by: map[string]string{}}
	if dir == "" { // where projects are kept elsewhere nothing is watched
		return w
	}
	if data, err := os.ReadFile(w.file); err == nil {
		_ = json.Unmarshal(data, &w.by) // a list that is lost costs a new project at the next opening
	}
	return w
}

func (w *watched) path(project string) string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.by[project]
}

// project is the newest one that follows a path, "" where none does. IDs begin with their time.
func (w *watched) project(path string) string {
	w.mu.Lock()
	defer w.mu.Unlock()
	newest := ""
	for id, p := range w.by {
		if p == path && id > newest {
			newest = id
		}
	}
	return newest
}

func (w *watched) put(project, path string) error {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.by[project] = path
	data, err := json.MarshalIndent(w.by, "", " ")
	if err != nil {
		return err
	}
	return atomicfile.WriteFile(w.file, append(data, '\n'))
}

// readScoreFile reads a regular file of at most limit bytes. Errors name the file without its folders.
func readScoreFile(path string, limit int64) ([]byte, error) {
	name := filepath.Base(path)
	plain := func(err error) error {
		var pe *fs.PathError
		if errors.As(err, &pe) {
			err = pe.Err
		}
		return problem{http.StatusUnprocessableEntity, fmt.Errorf("%s: %w", name, err)}
	}
	st, err := os.Stat(path)
	if err != nil {
		return nil, plain(err)
	}
	if !st.Mode().IsRegular() {
		return nil, problemf(http.StatusUnprocessableEntity, "%s: not a file; give a MIDI or MusicXML file", name)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, plain(err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, limit+1))
	switch {
	case err != nil:
		return nil, plain(err)
	case int64(len(data)) > limit:
		return nil, problemf(http.StatusRequestEntityTooLarge, "%s: larger than the %d MB that are taken", name, limit>>20)
	case len(data) == 0:
		return nil, problemf(http.StatusUnprocessableEntity, "%s: the file is empty", name)
	}
	return data, nil
}

// Follow gives the project that follows the score file at path, with its knobs as they were; it makes one where
// there is none. What is later written to the file, the project's page takes by itself.
func (d *Desk) Follow(path string) (id string, err error) {
	path, err = filepath.Abs(path)
	if err != nil {
		return "", err
	}
	data, err := readScoreFile(path, d.opt.MaxScore)
	if err != nil {
		return "", err
	}
	shown := cleanName(filepath.Base(path))
	s, ext, err := readPiece(data, shown)
	if err != nil {
		return "", err
	}
	if id := d.watched.project(path); id != "" {
		if _, err := d.store.Get(id); err == nil {
			return id, nil
		}
	}
	p, err := d.store.Create(projectName(s, shown), shown, ext, data)
	if err != nil {
		return "", err
	}
	return p.ID, d.watched.put(p.ID, path)
}

// watchReply says what the file that a project follows holds now.
type watchReply struct {
	Watched bool   `json:"watched"`
	File    string `json:"file,omitempty"`
	Sum     string `json:"sum,omitempty"`
}

// watch answers when the file that the project follows holds something else than what the page has seen (?seen, a
// sum that was given before; without it the newest score of the project), or after a while with what was seen.
func (d *Desk) watch(w http.ResponseWriter, r *http.Request) error {
	p, err := d.store.Get(r.PathValue("id"))
	if err != nil {
		return err
	}
	path := d.watched.path(p.ID)
	if path == "" {
		writeJSON(w, http.StatusOK, watchReply{})
		return nil
	}
	seen := r.URL.Query().Get("seen")
	if seen == "" {
		if x, err := d.scoreOf(p, Side{Score: p.newest()}); err == nil {
			seen = x.sum
		}
	}
	ctx, cancel := context.WithTimeout(r.Context(), watchHold)
	defer cancel()
	sum := d.awaitChange(ctx, path, seen)
	if r.Context().Err() != nil {
		return r.Context().Err()
	}
	writeJSON(w, http.StatusOK, watchReply{Watched: true, File: cleanName(filepath.Base(path)), Sum: sum})
	return nil
}

// awaitChange gives the sum of the file once it is another than seen, and seen when ctx ends. A file that is just
// being written is left until it has stayed the same between two looks; one that is away, as programs have it
// while they replace it, is waited for.
func (d *Desk) awaitChange(ctx context.Context, path, seen string) string {
	type look struct {
		size int64
		at   time.Time
	}
	var read, before look
	tick := time.NewTicker(watchEvery)
	defer tick.Stop()
	for {
		if st, err := os.Stat(path); err == nil {
			now := look{st.Size(), st.ModTime()}
			if now == before && now != read {
				if data, err := readScoreFile(path, d.opt.MaxScore); err == nil {
					if sum := sumOf(data); sum != seen {
						return sum
					}
					read = now
				}
			}
			before = now
		}
		select {
		case <-ctx.Done():
			return seen
		case <-tick.C:
		}
	}
}
