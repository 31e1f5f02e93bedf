package desk

import (
	"bytes"
	"encoding/json"
	"net/http"
	"strings"

	"afterchord/render/internal/words"
	"afterchord/render/report"
	"afterchord/render/terms"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
)

// shownFinding is a finding's words and figures as people read them.
type shownFinding struct {
	ID       int         `json:"id"`
	Kind     string      `json:"kind"`
	Place    string      `json:"place"`
	Division string      `json:"division"`
	Figures  [][3]string `json:"figures"` // label, amount, and the name of the value
	Keys     []string    `json:"keys"`
	Beside   int         `json:"beside,omitempty"` // places, where Place does not say how many
	Message  string      `json:"message"`
	Said     bool        `json:"said"`              // Message and Try are in the language that was asked for
	Meaning  string      `json:"meaning,omitempty"` // what the kind says, where Message is in another language
	Try      []string    `json:"try,omitempty"`
	Offers   []Offer     `json:"offers"`
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
		shown = append(shown, d.show(f, languageOf(r)))
	}
	whole := report.NewWholePicture(pr.Document)
	var b bytes.Buffer
	head, err := json.Marshal(struct {
		Shown []shownFinding       `json:"shown"`
		Knobs []string             `json:"knobs"`
		Whole *report.WholePicture `json:"whole,omitempty"`
		Said  map[string]string    `json:"said,omitempty"`
	}{shown, pr.Organ.Knobs(), whole, sayings(languageOf(r), p, pr.Document, whole)})
	if err != nil {
		return err
	}
	b.Write(bytes.TrimSuffix(head, []byte("}")))
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

// sayings are the texts of a run and its project that the page shows as they are, in a language: those that its tables have.
func sayings(l *terms.Language, p *Project, d *proof.Document, whole *report.WholePicture) map[string]string {
	if l == nil {
		return nil
	}
	var texts []string
	for _, m := range d.Remarks {
		texts = append(texts, m.Text)
	}
	for _, c := range d.Organ.Changes {
		texts = append(texts, strings.Split(c.Why, ", ")...)
	}
	for _, s := range p.Scores {
		texts = append(texts, s.Why)
	}
	if whole != nil {
		texts = append(texts, whole.Line, whole.Caption, whole.Alt)
	}
	return saidOf(l, append(texts, d.Room.Cautions...))
}

// saidOf are texts in a language, those that its tables have; none in English.
func saidOf(l *terms.Language, texts []string) map[string]string {
	if l == nil {
		return nil
	}
	out := map[string]string{}
	for _, text := range texts {
		if said, ok := l.Say(text); ok {
			out[text] = said
		}
	}
	return out
}

// show says a finding in a language, nil for English.
func (d *Desk) show(f finding.Finding, l *terms.Language) shownFinding {
	s := shownFinding{ID: f.ID, Kind: l.Or(words.Kind(f.Kind)), Place: l.Or(words.Place(f)), Division: l.Or(f.Division), Beside: words.Beside(f),
		Figures: [][3]string{}, Keys: []string{}, Offers: []Offer{}}
	for _, m := range words.Measured(f) {
		s.Figures = append(s.Figures, [3]string{l.Or(m.Label), l.Amount(m.Amount()), m.Key})
	}
	for _, k := range f.Keys {
		s.Keys = append(s.Keys, l.Key(k))
	}
	s.Message, s.Said = l.Say(f.Message)
	for _, t := range f.Try {
		said, ok := l.Say(t)
		s.Try, s.Said = append(s.Try, said), s.Said && ok
	}
	if !s.Said {
		s.Message, s.Try = f.Message, f.Try
		if k, ok := finding.KindOf(f.Kind); ok {
			s.Meaning = l.Or(k.Meaning)
		}
	}
	if d.opt.Remedies != nil {
		for _, o := range d.opt.Remedies.For(f.Kind) {
			s.Offers = append(s.Offers, Offer{o.Name, l.Or(o.Title)})
		}
	}
	return s
}
