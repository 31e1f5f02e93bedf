package desk

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"afterchord/acoustics/atomicfile"
)

// Store keeps projects as plain files: DIR/ID/project.json and, beside it, the scores
// as they came or were rewritten and a measured response. A save first goes into journal.jsonl (one
// whole project a line, flushed to the disk) and then replaces project.json by
// renaming, so that a save that was cut short leaves the last whole state: opening takes the newest whole one of
// both. IDs are made here, never by a client, and nothing else of a client names a file.
type Store struct {
	Most int // projects in the folder; 0: any number

	dir string
	mu  sync.Mutex
	now func() time.Time

	// step is called before each change on the disk, with its name; tests fail or stop there.
	step func(name string) error
}

// journalBound is the size beyond which the journal starts anew.
const journalBound = 1 << 20

var idPattern = regexp.MustCompile(`^p[0-9]{14}-[0-9a-f]{12}$`)

// OpenStore opens a folder, which it makes where it is missing.
func OpenStore(dir string) (*Store, error) {
	if dir == "" {
		return nil, errors.New("no folder for the projects")
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, fmt.Errorf("projects: %w", err)
	}
	return &Store{dir: dir, now: time.Now, step: func(string) error { return nil }}, nil
}

// errNoProject is the answer to an ID that is not there.
var errNoProject = problemf(http.StatusNotFound, "there is no such project; it may have been moved away from its folder")

// Create makes a project of one score file.
func (s *Store) Create(name, shown, ext string, data []byte) (*Project, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.Most > 0 {
		ids, err := s.ids()
		if err != nil {
			return nil, err
		}
		if len(ids) >= s.Most {
			return nil, problemf(http.StatusInsufficientStorage, "the folder holds %d projects, the most there may be; move some away", len(ids))
		}
	}
	p := &Project{ID: fmt.Sprintf("p%s-%s", s.now().UTC().Format("20060102150405"), newToken(6)), Name: cleanName(name), A: firstSide(), Active: "a"}
	p.Scores = []ScoreFile{{File: "score-1" + ext, Shown: cleanName(shown)}}
	if err := p.check(); err != nil {
		return nil, err
	}
	if err := os.Mkdir(s.path(p.ID), 0o755); err != nil {
		return nil, diskError(err)
	}
	if err := s.write(p.ID, p.Scores[0].File, data); err == nil {
		err = s.put(p)
		if err == nil {
			return p, nil
		}
		defer os.RemoveAll(s.path(p.ID))
		return nil, err
	} else {
		os.RemoveAll(s.path(p.ID))
		return nil, err
	}
}

// Get reads a project.
func (s *Store) Get(id string) (*Project, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.get(id)
}

// Update changes a project that still has the version that the caller has seen, and saves
// it. Another version answers with [http.StatusConflict].
func (s *Store) Update(id string, version int, change func(*Project) error) (*Project, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	p, err := s.get(id)
	if err != nil {
		return nil, err
	}
	if p.Version != version {
		return nil, problemf(http.StatusConflict, "the project was changed elsewhere (version %d, not %d)", p.Version, version)
	}
	if err := change(p); err != nil {
		return nil, err
	}
	if err := p.check(); err != nil {
		return nil, problem{http.StatusBadRequest, err}
	}
	if err := s.put(p); err != nil {
		return nil, err
	}
	return p, nil
}

// Read returns a file of a project by the name that project.json has for it.
func (s *Store) Read(id, file string) ([]byte, error) {
	if !idPattern.MatchString(id) || !filepath.IsLocal(file) || filepath.Base(file) != file {
		return nil, errNoProject
	}
	data, err := os.ReadFile(filepath.Join(s.path(id), file))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, problemf(http.StatusNotFound, "%s is missing from the project's folder", file)
	}
	return data, err
}

// Add writes a new file into a project, to be named by a change that follows, and returns its name.
func (s *Store) Add(id, stem, ext string, data []byte) (string, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !idPattern.MatchString(id) {
		return "", errNoProject
	}
	for n := 1; n < 10*maxScores; n++ {
		name := stem + "-" + strconv.Itoa(n) + ext
		if _, err := os.Lstat(filepath.Join(s.path(id), name)); errors.Is(err, fs.ErrNotExist) {
			return name, s.write(id, name, data)
		}
	}
	return "", problemf(http.StatusInsufficientStorage, "the project holds too many files")
}

// Summary is a project in the list of them.
type Summary struct {
	ID    string    `json:"id"`
	Name  string    `json:"name"`
	Saved time.Time `json:"saved"`
}

// List gives the projects, the last saved first. What cannot be read is left out.
func (s *Store) List(most int) ([]Summary, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	ids, err := s.ids()
	if err != nil {
		return nil, err
	}
	type dated struct {
		id string
		at time.Time
	}
	var all []dated
	for _, id := range ids {
		if st, err := os.Stat(filepath.Join(s.path(id), "journal.jsonl")); err == nil {
			all = append(all, dated{id, st.ModTime()})
		}
	}
	slices.SortFunc(all, func(a, b dated) int {
		if c := b.at.Compare(a.at); c != 0 {
			return c
		}
		return strings.Compare(b.id, a.id)
	})
	out := []Summary{}
	for _, x := range all {
		if len(out) >= most {
			break
		}
		if p, err := s.get(x.id); err == nil {
			out = append(out, Summary{p.ID, p.Name, p.Saved})
		}
	}
	return out, nil
}

func (s *Store) path(id string) string { return filepath.Join(s.dir, id) }

func (s *Store) ids() ([]string, error) {
	entries, err := os.ReadDir(s.dir)
	if err != nil {
		return nil, diskError(err)
	}
	var out []string
	for _, e := range entries {
		if e.IsDir() && idPattern.MatchString(e.Name()) {
			out = append(out, e.Name())
		}
	}
	return out, nil
}

func (s *Store) get(id string) (*Project, error) {
	if !idPattern.MatchString(id) {
		return nil, errNoProject
	}
	var best *Project
	take := func(line []byte) {
		var p Project
		if json.Unmarshal(line, &p) == nil && p.ID == id && len(p.Scores) > 0 && (best == nil || p.Version > best.Version) {
			best = &p
		}
	}
	data, err := os.ReadFile(filepath.Join(s.path(id), "project.json"))
	if err == nil {
		take(data)
	}
	journal, jerr := os.ReadFile(filepath.Join(s.path(id), "journal.jsonl"))
	if jerr == nil {
		lines := bufio.NewScanner(bytes.NewReader(journal))
		lines.Buffer(nil, 2*journalBound)
		for lines.Scan() {
			take(lines.Bytes())
		}
	}
	if best == nil {
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, diskError(err)
		}
		return nil, errNoProject
	}
	return best, nil
}

// put saves a project as its next version.
func (s *Store) put(p *Project) error {
	p.Version++
	p.Saved = s.now().UTC().Truncate(time.Second)
	line, err := json.Marshal(p)
	if err != nil {
		return err
	}
	if err := s.journal(p.ID, append(line, '\n')); err != nil {
		p.Version--
		return err
	}
	whole, err := json.MarshalIndent(p, "", " ")
	if err != nil {
		return err
	}
	// The state is safe in the journal: a failure from here on loses nothing.
	if s.write(p.ID, "project.json", append(whole, '\n')) == nil {
		s.trim(p.ID, line)
	}
	return nil
}

// journal appends a line. What a cut-short save left without its line end is ended first.
func (s *Store) journal(id string, line []byte) error {
	if err := s.step("journal"); err != nil {
		return diskError(err)
	}
	f, err := os.OpenFile(filepath.Join(s.path(id), "journal.jsonl"), os.O_RDWR|os.O_CREATE, 0o644)
	if err != nil {
		return diskError(err)
	}
	defer f.Close()
	end, err := f.Seek(0, 2)
	if err != nil {
		return diskError(err)
	}
	if end > 0 {
		last := make([]byte, 1)
		if _, err := f.ReadAt(last, end-1); err == nil && last[0] != '\n' {
			line = append([]byte{'\n'}, line...)
		}
	}
	if _, err := f.WriteAt(line, end); err != nil {
		_ = f.Truncate(end) // half a line is of no use
		return diskError(err)
	}
	err = s.step("flush")
	if err == nil {
		err = f.Sync()
	}
	if err != nil {
		_ = f.Truncate(end)
		return diskError(err)
	}
	return nil
}

// trim starts the journal anew with the state just saved once it has grown.
func (s *Store) trim(id string, line []byte) {
	if st, err := os.Stat(filepath.Join(s.path(id), "journal.jsonl")); err == nil && st.Size() > journalBound {
		_ = s.write(id, "journal.jsonl", append(line, '\n'))
	}
}

// write puts a whole file in place or none.
func (s *Store) write(id, file string, data []byte) error {
	if err := s.step("write " + file); err != nil {
		return diskError(err)
	}
	if err := atomicfile.WriteFile(filepath.Join(s.path(id), file), data); err != nil {
		return diskError(err)
	}
	return nil
}

// diskError keeps paths of the server's disk away from the page.
func diskError(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		err = pe.Err
	}
	var le *os.LinkError
	if errors.As(err, &le) {
		err = le.Err
	}
	return problemf(http.StatusInsufficientStorage, "the project cannot be saved: %v", err)
}
