package desk

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"path"
	"strconv"
	"strings"
	"time"

	"afterchord/acoustics/room"
	"afterchord/render/engraving"
	"afterchord/render/internal/words"
	"afterchord/render/report"
	"afterchord/sim/demos"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/score"
	"afterchord/sim/score/file"
	"afterchord/voicing"
)

// mostListed are the projects that the list of them has at most.
const mostListed = 30

// maxRequest is the largest request that is not a file, bytes.
const maxRequest = 1 << 20

func withSession(ctx context.Context, s *session) context.Context {
	return context.WithValue(ctx, sessionKey{}, s)
}

func sessionOf(r *http.Request) *session { return r.Context().Value(sessionKey{}).(*session) }

func writeJSON(w http.ResponseWriter, status int, v any) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false) // never embedded in HTML; escaping would turn each & into \u0026
	if err := e.Encode(v); err != nil {
		status = http.StatusInternalServerError
		b.Reset()
		b.WriteString(`{"error":"the answer cannot be written"}`)
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	_, _ = b.WriteTo(w)
}

// bodyWithin bounds how long the body may take; the returned function lifts the bound. (The server's own
// ReadTimeout would end long answers too.)
func bodyWithin(w http.ResponseWriter, d time.Duration) func() {
	c := http.NewResponseController(w)
	_ = c.SetReadDeadline(time.Now().Add(d))
	return func() { _ = c.SetReadDeadline(time.Time{}) }
}

// maxSave is the largest saved state that is taken, with all its earlier ones, bytes; what is kept of it is less
// ([Project.forget]).
const maxSave = 16 << 20

// readJSON reads a small request that has only fields that we know.
func readJSON(w http.ResponseWriter, r *http.Request, v any) error {
	return readJSONWithin(w, r, v, maxRequest)
}

func readJSONWithin(w http.ResponseWriter, r *http.Request, v any, limit int64) error {
	defer bodyWithin(w, time.Minute)()
	d := json.NewDecoder(http.MaxBytesReader(w, r.Body, limit))
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			return err
		}
		return problemf(http.StatusBadRequest, "the request could not be read: %w", plainJSON(err))
	}
	return nil
}

// plainJSON says what is wrong with a document without the types of the program.
func plainJSON(err error) error {
	var wrong *json.UnmarshalTypeError
	if errors.As(err, &wrong) {
		return fmt.Errorf("%s cannot be a %s", cmp.Or(wrong.Field, "the whole"), wrong.Value)
	}
	return errors.New(strings.TrimPrefix(err.Error(), "json: "))
}

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

type choice struct {
	Name  string   `json:"name"`
	Title string   `json:"title"`
	RT    float64  `json:"rt,omitempty"`
	Seats []string `json:"seats,omitempty"`
}

type overviewReply struct {
	Version  string    `json:"version"`
	Demos    []choice  `json:"demos"`
	Rooms    []choice  `json:"rooms"`
	Organs   []organ   `json:"organs"`
	Marks    []string  `json:"marks"`
	RTRange  []float64 `json:"rt_range"`
	MaxScore int64     `json:"max_score"`
	MaxResp  int64     `json:"max_response"`
	// Notation is nil where the program was built without the engraving library.
	Notation *notationAssets `json:"notation"`
}

type organ struct {
	choice
	Divisions []string `json:"divisions"`
}

// Overview is what a desk with these options answers to GET /api/desk, JSON: what there is to choose from.
func Overview(o Options) ([]byte, error) {
	o.defaults()
	var x *engraver
	if e, ok := engraving.Library(); ok {
		x = newEngraver(e)
	}
	return overviewOf(o, x)
}

func overviewOf(o Options, x *engraver) ([]byte, error) {
	v := overviewReply{Version: proof.Version, Marks: voicing.Marks(), RTRange: []float64{room.MinRT60, room.MaxRT60},
		MaxScore: o.MaxScore, MaxResp: o.MaxResponse}
	for _, name := range demos.Names {
		data, _ := demos.Piece(name)
		s, err := file.Read(data, demos.File(name))
		if err != nil {
			return nil, err
		}
		v.Demos = append(v.Demos, choice{Name: name, Title: s.Title})
	}
	for _, name := range room.BuiltIns() {
		x, _ := room.BuiltIn(name)
		c := choice{Name: name, Title: x.Title, RT: x.MidRT()}
		for _, s := range x.Seats {
			c.Seats = append(c.Seats, s.Name)
		}
		v.Rooms = append(v.Rooms, c)
	}
	for _, name := range voicing.BuiltIns() {
		x, _ := voicing.BuiltIn(name)
		c := organ{choice: choice{Name: name, Title: x.Title}}
		for _, d := range x.Divisions {
			c.Divisions = append(c.Divisions, d.Name)
		}
		v.Organs = append(v.Organs, c)
	}
	if x != nil {
		v.Notation = &x.notationAssets
	}
	return json.Marshal(v)
}

// overview answers with what there is to choose from, which stays the same as long as the desk runs.
func (d *Desk) overview(w http.ResponseWriter, r *http.Request) error {
	data, err := d.choices()
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	_, err = w.Write(data)
	return err
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

func sendProject(w http.ResponseWriter, status int, p *Project) error {
	return sendVersion(w, status, p, p)
}

// sendVersion answers with what goes with the version of a project that it says.
func sendVersion(w http.ResponseWriter, status int, p *Project, reply any) error {
	w.Header().Set("ETag", etag(p.Version))
	writeJSON(w, status, reply)
	return nil
}

func etag(version int) string { return fmt.Sprintf(`"%d"`, version) }

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

// ifMatch is the version that the client has seen.
func ifMatch(r *http.Request) (int, error) {
	tag := r.Header.Get("If-Match")
	if tag == "" {
		return 0, problemf(http.StatusPreconditionRequired, "If-Match must name the version that was changed")
	}
	v, err := strconv.Atoi(strings.Trim(tag, `"`))
	if err != nil {
		return 0, problemf(http.StatusBadRequest, "If-Match %q is not a version", clip(tag))
	}
	return v, nil
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

// shownFinding is a finding's words and figures as people read them.
type shownFinding struct {
	ID      int         `json:"id"`
	Kind    string      `json:"kind"`
	Place   string      `json:"place"`
	Figures [][2]string `json:"figures"`
	Offers  []Offer     `json:"offers"`
}

// proof runs a side and gives the document, with the findings in words and the knobs of its organ.
func (d *Desk) proof(w http.ResponseWriter, r *http.Request) error {
	p, err := d.store.Get(r.PathValue("id"))
	if err != nil {
		return err
	}
	var s Side
	if err := readJSON(w, r, &s); err != nil {
		return err
	}
	leave, err := sessionOf(r).enterRun(r.Context())
	if err != nil {
		return err
	}
	defer leave()
	pr, _, err := d.run(r.Context(), p, s)
	if err != nil {
		return err
	}
	shown := []shownFinding{}
	for _, f := range words.WorstFirst(pr.Document.Findings) {
		shown = append(shown, d.show(f))
	}
	var b bytes.Buffer
	said, err := json.Marshal(struct {
		Shown []shownFinding       `json:"shown"`
		Knobs []string             `json:"knobs"`
		Whole *report.WholePicture `json:"whole,omitempty"`
	}{shown, pr.Organ.Knobs(), report.NewWholePicture(pr.Document)})
	if err != nil {
		return err
	}
	b.Write(bytes.TrimSuffix(said, []byte("}")))
	b.WriteString(`,"document":`)
	if err := report.WriteJSON(&b, pr.Document); err != nil {
		return err
	}
	b.WriteString("}")
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	_, err = b.WriteTo(w)
	return err
}

func (d *Desk) show(f finding.Finding) shownFinding {
	s := shownFinding{ID: f.ID, Kind: words.Kind(f.Kind), Place: words.Place(f), Figures: [][2]string{}, Offers: []Offer{}}
	for _, m := range words.Measured(f) {
		s.Figures = append(s.Figures, [2]string{m.Label, m.Amount()})
	}
	if d.opt.Remedies != nil {
		if o := d.opt.Remedies.For(f.Kind); o != nil {
			s.Offers = o
		}
	}
	return s
}
