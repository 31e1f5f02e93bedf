package desk

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"afterchord/acoustics/lazyregexp"
)

// Store keeps projects on a [Shelf]: each has its newest state and, beside it, the scores as they came or were
// rewritten and a measured response. IDs and file names are made here, never by a client.
type Store struct {
	Most int // projects on the shelf; 0: any number

	shelf Shelf
	mu    sync.Mutex
	now   func() time.Time
}

var (
	idPattern   = lazyregexp.New(`^p[0-9]{14}-[0-9a-f]{12}$`)
	projectFile = lazyregexp.New(`^[a-z]+-[0-9]+\.[a-z]+$`) // names as Create and Add make them
)

func newStore(shelf Shelf) *Store { return &Store{shelf: shelf, now: time.Now} }

// errNoProject is the answer to an ID that is not there.
var errNoProject = problemf(http.StatusNotFound, "there is no such project; it may have been moved away from its folder")

// Create makes a project of one score file.
func (s *Store) Create(name, shown, ext string, data []byte) (*Project, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	p := &Project{Name: cleanName(name), A: firstSide(), Active: "a"}
	p.Scores = []ScoreFile{{File: "score-1" + ext, Shown: cleanName(shown)}}
	if err := s.begin(p, map[string][]byte{p.Scores[0].File: data}); err != nil {
		return nil, err
	}
	return p, nil
}

// Adopt makes a new project of one that was kept elsewhere, with its files by name. It gets an ID of its own.
func (s *Store) Adopt(p *Project, files map[string][]byte) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	p.Version = 0
	return s.begin(p, files)
}

// begin gives a new project an ID and puts it on the shelf with its files, or nothing.
func (s *Store) begin(p *Project, files map[string][]byte) error {
	if s.Most > 0 {
		all, err := s.shelf.Projects()
		if err != nil {
			return shelfError(err)
		}
		if len(all) >= s.Most {
			return problemf(http.StatusInsufficientStorage, "there are %d projects, the most there may be; move some away", len(all))
		}
	}
	p.ID = fmt.Sprintf("p%s-%s", s.now().UTC().Format("20060102150405"), newToken(6))
	if err := p.check(); err != nil {
		return problem{http.StatusUnprocessableEntity, err}
	}
	err := s.lay(p, files)
	if err != nil && s.purge(s.now().Add(time.Second)) > 0 { // what was put away had the room that is missing
		err = s.lay(p, files)
	}
	return err
}

// lay puts a new project on the shelf, or nothing of it.
func (s *Store) lay(p *Project, files map[string][]byte) error {
	if err := s.shelf.Make(p.ID); err != nil {
		return shelfError(err)
	}
	for name, data := range files {
		if err := s.shelf.Write(p.ID, name, data); err != nil {
			_ = s.shelf.Remove(p.ID)
			return shelfError(err)
		}
	}
	if err := s.put(p); err != nil {
		_ = s.shelf.Remove(p.ID)
		return err
	}
	return nil
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
	data, err := s.shelf.Read(id, file)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, problemf(http.StatusNotFound, "%s is missing from the project", file)
	}
	if err != nil {
		return nil, problemf(http.StatusInternalServerError, "%s cannot be read: %w", file, withoutPath(err))
	}
	return data, nil
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
		has, err := s.shelf.Has(id, name)
		if err == nil && !has {
			err = s.shelf.Write(id, name, data)
			has = err != nil
		}
		if err != nil {
			return "", shelfError(err)
		}
		if !has {
			return name, nil
		}
	}
	return "", problemf(http.StatusInsufficientStorage, "the project holds too many files")
}

// Summary is a project in the list of them.
type Summary struct {
	ID    string    `json:"id"`
	Name  string    `json:"name"`
	Saved time.Time `json:"saved"`
	File  string    `json:"file"` // of the score, as it came
}

// keptRemoved is how long a project that was put away can be taken back.
const keptRemoved = time.Hour

// Remove puts a project away, or takes it back.
func (s *Store) Remove(id string, away bool) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	p, err := s.get(id)
	if err != nil {
		return err
	}
	p.Removed = nil
	if away {
		now := s.now().UTC().Truncate(time.Second)
		p.Removed = &now
	}
	return s.put(p)
}

// purge lets projects go for good that were put away before a time, and says how many.
func (s *Store) purge(before time.Time) (gone int) {
	all, err := s.shelf.Projects()
	if err != nil {
		return 0
	}
	for _, x := range all {
		if p, err := s.get(x.ID); err == nil && p.Removed != nil && p.Removed.Before(before) {
			if s.shelf.Remove(x.ID) == nil {
				gone++
			}
		}
	}
	return gone
}

// List gives the projects, the last saved first. What cannot be read, and what was put away, is left out.
func (s *Store) List(most int) ([]Summary, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.purge(s.now().Add(-keptRemoved))
	all, err := s.shelf.Projects()
	if err != nil {
		return nil, shelfError(err)
	}
	slices.SortFunc(all, func(a, b Kept) int {
		if c := b.Saved.Compare(a.Saved); c != 0 {
			return c
		}
		return strings.Compare(b.ID, a.ID)
	})
	out := []Summary{}
	for _, x := range all {
		if len(out) >= most {
			break
		}
		if p, err := s.get(x.ID); err == nil && p.Removed == nil {
			out = append(out, Summary{p.ID, p.Name, p.Saved, p.Scores[0].Shown})
		}
	}
	return out, nil
}

func (s *Store) get(id string) (*Project, error) {
	if !idPattern.MatchString(id) {
		return nil, errNoProject
	}
	states, err := s.shelf.States(id)
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil, errNoProject
		}
		return nil, shelfError(err)
	}
	var best *Project
	var damage error // of the newest state that cannot be used: a file of the folder may have been changed by hand
	newest := 0
	for _, state := range states {
		var p Project
		err := json.Unmarshal(state, &p)
		if err != nil && !errors.As(err, new(*json.UnmarshalTypeError)) || p.ID != id {
			continue // torn
		}
		if err == nil {
			err = p.whole()
		}
		switch {
		case err == nil && (best == nil || p.Version > best.Version):
			best = &p
		case err != nil && p.Version >= newest:
			damage, newest = plainJSON(err), p.Version
		}
	}
	switch {
	case best == nil && damage != nil:
		return nil, problemf(http.StatusUnprocessableEntity, "the project's file was changed and cannot be read: %w", damage)
	case best == nil:
		return nil, errNoProject
	}
	return best, nil
}

// put saves a project as its next version.
func (s *Store) put(p *Project) error {
	p.Version++
	p.Saved = s.now().UTC().Truncate(time.Second)
	state, err := json.Marshal(p)
	if err == nil {
		err = shelfError(s.shelf.Save(p.ID, p.Version, state))
	}
	if err != nil {
		p.Version--
	}
	return err
}
