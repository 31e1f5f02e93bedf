package desk

import (
	"net/http"
	"path/filepath"
	"slices"

	"afterchord/sim/score"
	"afterchord/sim/score/file"
)

// readPiece reads a score that is to be put on the desk, and gives the ending that its file gets there.
func readPiece(data []byte, shown string) (s *score.Score, ext string, err error) {
	if s, err = file.Read(data, shown); err != nil {
		return nil, "", problem{http.StatusUnprocessableEntity, err}
	}
	if len(s.Notes) == 0 {
		return nil, "", problemf(http.StatusUnprocessableEntity, "%s: the score has no notes; nothing would sound", shown)
	}
	format, _ := file.Detect(data)
	return s, format.Extension, nil
}

// asItCame says whether a state of the score is a file of the user's and no rewriting.
func (p *Project) asItCame(index int) bool { return p.Scores[index].From == index }

// newest is the score that came last from the user.
func (p *Project) newest() int {
	newest := 0
	for i, s := range p.Scores {
		if p.asItCame(i) && s.Edition >= p.Scores[newest].Edition {
			newest = i
		}
	}
	return newest
}

// free is a place in Scores for one more: the next, or, where there are too many, that of an old
// one that nothing refers to. It is -1 where there is none.
func (p *Project) free() int {
	if len(p.Scores) < maxScores {
		return len(p.Scores)
	}
	used := map[int]bool{0: true, p.newest(): true}
	use := func(sides ...*Side) {
		for _, s := range sides {
			if s != nil {
				used[s.Score] = true
			}
		}
	}
	use(&p.A, p.B)
	for _, past := range p.Past {
		use(&past.A, past.B)
	}
	for i, s := range p.Scores {
		if use(s.Side); s.From != i {
			used[s.From], used[i] = true, true
		}
	}
	for i := range p.Scores {
		if !used[i] {
			return i
		}
	}
	return -1
}

// replaced is the answer to a new version of the score: the page puts it under the knobs as they are, but for
// what is said of parts and bars that the score no longer has.
type replaced struct {
	Project *Project `json:"project"`
	Score   int      `json:"score"` // its index
	Same    bool     `json:"same"`  // it is the one that was there already
	Parts   []string `json:"parts"`
	Bars    []int    `json:"bars"`
}

// newScore takes a new version of the score into the project: the file in the body, or with ?watched the one
// that the project follows. The versions before stay, so that undo goes back to them.
func (d *Desk) newScore(w http.ResponseWriter, r *http.Request) error {
	version, err := ifMatch(r)
	if err != nil {
		return err
	}
	p, err := d.store.Get(r.PathValue("id"))
	if err != nil {
		return err
	}
	var data []byte
	var shown string
	if r.URL.Query().Has("watched") {
		path := d.watched.path(p.ID)
		if path == "" {
			return problemf(http.StatusNotFound, "this project follows no file")
		}
		shown = cleanName(filepath.Base(path))
		if data, err = readScoreFile(path, d.opt.MaxScore); err != nil {
			return err
		}
	} else {
		var done func()
		if data, done, err = d.readUpload(w, r, d.opt.MaxScore); err != nil {
			return err
		}
		defer done()
		shown = shownName(r, "score")
	}
	s, ext, err := readPiece(data, shown)
	if err != nil {
		return err
	}
	reply := replaced{Project: p, Score: p.newest()}
	for _, x := range s.Parts {
		reply.Parts = append(reply.Parts, x.Name)
	}
	for _, b := range s.Bars {
		reply.Bars = append(reply.Bars, b.Number)
	}
	if now, err := d.scoreOf(p, Side{Score: reply.Score}); err == nil && now.sum == sumOf(data) {
		reply.Same = true
		writeJSON(w, http.StatusOK, reply)
		return nil
	}
	if p.Version != version {
		return problemf(http.StatusConflict, "the project was changed elsewhere (version %d, not %d)", p.Version, version)
	}
	if p.free() < 0 {
		return problemf(http.StatusInsufficientStorage, "the project holds %d versions of the score, the most there may be", len(p.Scores))
	}
	name, err := d.store.Add(p.ID, "score", ext, data)
	if err != nil {
		return err
	}
	reply.Project, err = d.store.Update(p.ID, version, func(p *Project) error {
		reply.Score = p.free()
		edition := p.Scores[p.newest()].Edition + 1
		p.Scores = slices.Insert(slices.Delete(p.Scores, reply.Score, min(reply.Score+1, len(p.Scores))), reply.Score,
			ScoreFile{File: name, Shown: shown, From: reply.Score, Edition: edition})
		return nil
	})
	if err != nil {
		return err
	}
	return sendVersion(w, http.StatusCreated, reply.Project, reply)
}
