package desk

import (
	"bytes"
	"context"
	"net/http"
	"slices"
	"strings"

	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/remedy"
	"afterchord/sim/score"
	"afterchord/sim/score/file"
)

// Offer is a rewriting that may help against a finding.
type Offer struct {
	Name  string `json:"name"`
	Title string `json:"title"` // what it does, in the imperative
}

// Rewriting is a score rewritten against a finding, and what that was worth when it was run.
type Rewriting struct {
	Score   *score.Score // nil where nothing could be written
	What    string       // what was changed, in a sentence
	Verdict string       // what it was worth, in a sentence
	Helps   bool
}

// Remedies rewrites scores. Implementations must be safe for concurrent use and must not
// change what they are given.
type Remedies interface {
	// For lists what may be tried against a kind of finding.
	For(kind string) []Offer
	// Write rewrites the score of a run against one of its findings and proves it.
	Write(ctx context.Context, in proof.Input, f finding.Finding, name string) (Rewriting, error)
}

// TableRemedies are the remedies of [remedy.Table].
type TableRemedies struct{}

// For lists them by the kind of finding that they may cure.
func (TableRemedies) For(kind string) []Offer {
	out := []Offer{}
	for _, r := range remedy.For(kind) {
		out = append(out, Offer{r.Name, r.Does})
	}
	return out
}

// Write tries one on a finding.
func (TableRemedies) Write(ctx context.Context, in proof.Input, f finding.Finding, name string) (Rewriting, error) {
	r, ok := remedy.Find(name)
	if !ok {
		return Rewriting{}, problemf(http.StatusNotFound, "there is no remedy %q", clip(name))
	}
	results, err := remedy.Mend(ctx, in, f, []remedy.Remedy{r})
	if err != nil {
		return Rewriting{}, problem{http.StatusUnprocessableEntity, err}
	}
	x := results[0]
	return Rewriting{Score: x.Score, What: x.What, Verdict: x.Verdict, Helps: x.Helps}, nil
}

type mendRequest struct {
	Side    Side   `json:"side"`
	Finding int    `json:"finding"`
	Remedy  string `json:"remedy"`
	Anyway  bool   `json:"anyway"` // keep it though it does not help
}

type mendReply struct {
	What    string   `json:"what"`
	Verdict string   `json:"verdict"`
	Said    bool     `json:"said"` // both are in the language that was asked for
	Helps   bool     `json:"helps"`
	Written bool     `json:"written"`           // whether there is anything to keep
	Score   int      `json:"score"`             // index of the rewritten score, where it was kept
	Project *Project `json:"project,omitempty"` // as it is now, where it was kept
}

// mend proves a rewriting. One that helps is added to the project as a score of its own, which the page
// then looks at by its index; the score before stays, so that undo is going back to it.
func (d *Desk) mend(w http.ResponseWriter, r *http.Request) error {
	version, err := ifMatch(r)
	if err != nil {
		return err
	}
	var in mendRequest
	if err := readJSON(w, r, &in); err != nil {
		return err
	}
	p, err := d.store.Get(r.PathValue("id"))
	if err != nil {
		return err
	}
	switch {
	case d.opt.Remedies == nil:
		return problemf(http.StatusNotFound, "this desk has no remedies")
	case p.Version != version:
		return problemf(http.StatusConflict, "the project was changed elsewhere (version %d, not %d)", p.Version, version)
	case len(p.Scores) >= maxScores:
		return problemf(http.StatusInsufficientStorage, "the project holds %d versions of the score, the most there may be", len(p.Scores))
	}
	pr, _, err := d.run(r.Context(), p, in.Side)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(pr.Document.Findings, func(f finding.Finding) bool { return f.ID == in.Finding })
	if i < 0 {
		return problemf(http.StatusNotFound, "there is no finding %d any more", in.Finding)
	}
	input, _, err := d.input(p, in.Side)
	if err != nil {
		return err
	}
	if err := d.findings.enter(r.Context()); err != nil {
		return err
	}
	x, err := d.opt.Remedies.Write(r.Context(), input, pr.Document.Findings[i], in.Remedy)
	d.findings.leave()
	if err != nil {
		return err
	}
	reply := mendReply{What: x.What, Verdict: x.Verdict, Helps: x.Helps, Written: x.Score != nil}
	what, ok := languageOf(r).Say(x.What)
	verdict, too := languageOf(r).Say(x.Verdict)
	if reply.Said = (ok || x.What == "") && too; reply.Said {
		reply.What, reply.Verdict = what, verdict
	}
	if x.Score == nil || !x.Helps && !in.Anyway {
		writeJSON(w, http.StatusOK, reply)
		return nil
	}
	if p, err = d.keep(p, version, in, x); err != nil {
		return err
	}
	reply.Project, reply.Score = p, len(p.Scores)-1
	return sendVersion(w, http.StatusCreated, p, reply)
}

// keep writes a rewritten score into the project. It holds the user's dynamics as marks, so the side that
// looks at it need not repeat them.
func (d *Desk) keep(p *Project, version int, in mendRequest, x Rewriting) (*Project, error) {
	var b bytes.Buffer
	ext := file.Extension(x.Score)
	if err := file.Write(&b, x.Score); err != nil {
		return nil, problem{http.StatusUnprocessableEntity, err}
	}
	name, err := d.store.Add(p.ID, "rewritten", ext, b.Bytes())
	if err != nil {
		return nil, err
	}
	shown := p.Scores[0].Shown
	if i := strings.LastIndexByte(shown, '.'); i > 0 {
		shown = shown[:i]
	}
	return d.store.Update(p.ID, version, func(p *Project) error {
		p.Scores = append(p.Scores, ScoreFile{File: name, Shown: shown + ext, From: in.Side.Score, Why: cleanText(x.What, 500),
			Finding: in.Finding, Side: &in.Side})
		return nil
	})
}
