package desk

import (
	"bytes"
	"encoding/json"
	"net/http"

	"afterchord/render/internal/words"
	"afterchord/render/report"
	"afterchord/sim/finding"
)

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
