package desk

import (
	"net/http"
	"net/url"
	"path"
	"strings"

	"afterchord/sim/demos"
	"afterchord/sim/score"
)

// mostListed are the projects that the list of them has at most.
const mostListed = 30

// maxSave is the largest saved state that is taken, with all its earlier ones, bytes; what is kept of it is less
// ([Project.forget]).
const maxSave = 16 << 20

// shownName is the name of a file as the client has it, without folders; it is shown, never opened.
func shownName(r *http.Request, otherwise string) string {
	name, err := url.PathUnescape(r.Header.Get("X-File-Name"))
	if err != nil {
		return otherwise
	}
	name = cleanName(path.Base(strings.ReplaceAll(name, `\`, "/")))
	if name == "" || name == "." || name == "/" {
		return otherwise
	}
	return name
}

// projects lists the last projects.
func (d *Desk) projects(w http.ResponseWriter, r *http.Request) error {
	list, err := d.store.List(mostListed)
	if err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, list)
	return nil
}

// create makes a project of a demo (?demo=NAME) or of the file in the body: a score, or a whole project.
func (d *Desk) create(w http.ResponseWriter, r *http.Request) error {
	var data []byte
	var shown string
	if name := r.URL.Query().Get("demo"); name != "" {
		var ok bool
		if data, ok = demos.Piece(name); !ok {
			return problemf(http.StatusNotFound, "there is no demo %q", clip(name))
		}
		shown = demos.File(name)
	} else {
		var err error
		var done func()
		if data, done, err = d.readUpload(w, r, d.opt.MaxScore+d.opt.MaxResponse); err != nil {
			return err
		}
		defer done()
		shown = shownName(r, "score")
		if z, ok := wholeProject(data); ok {
			p, err := d.openWhole(z, shown)
			if err != nil {
				return err
			}
			return sendProject(w, http.StatusCreated, p)
		}
		if int64(len(data)) > d.opt.MaxScore {
			return &http.MaxBytesError{Limit: d.opt.MaxScore}
		}
	}
	s, ext, err := readPiece(data, shown)
	if err != nil {
		return err
	}
	p, err := d.store.Create(projectName(s, shown), shown, ext, data)
	if err != nil {
		return err
	}
	return sendProject(w, http.StatusCreated, p)
}

// projectName is what a project of a score is called at first.
func projectName(s *score.Score, shown string) string {
	if s.Title != "" {
		return s.Title
	}
	return strings.TrimSuffix(shown, path.Ext(shown))
}

// project gives a project as it was saved last.
func (d *Desk) project(w http.ResponseWriter, r *http.Request) error {
	p, err := d.store.Get(r.PathValue("id"))
	if err != nil {
		return err
	}
	return sendProject(w, http.StatusOK, p)
}

// saved is what a page may change in a project.
type saved struct {
	Name   string `json:"name"`
	A      Side   `json:"a"`
	B      *Side  `json:"b"`
	Active string `json:"active"`
	Names  Names  `json:"names"`
	Past   []Past `json:"past"`
}

// save stores a changed project. 409 says that another page was faster; the answer
// to the next GET is what that one saved.
func (d *Desk) save(w http.ResponseWriter, r *http.Request) error {
	version, err := ifMatch(r)
	if err != nil {
		return err
	}
	var in saved
	if err := readJSONWithin(w, r, &in, maxSave); err != nil {
		return err
	}
	p, err := d.store.Update(r.PathValue("id"), version, func(p *Project) error {
		p.Name, p.A, p.B, p.Active, p.Names, p.Past = in.Name, in.A, in.B, in.Active, in.Names, in.Past
		p.Removed = nil // somebody works on it
		return nil
	})
	if err != nil {
		return err
	}
	return sendVersion(w, http.StatusOK, p, map[string]any{"version": p.Version, "saved": p.Saved})
}

// remove puts a project away (DELETE), or takes it back (POST to its restore).
func (d *Desk) remove(w http.ResponseWriter, r *http.Request) error {
	if err := d.store.Remove(r.PathValue("id"), r.Method == http.MethodDelete); err != nil {
		return err
	}
	w.WriteHeader(http.StatusNoContent)
	return nil
}
