package desk

import (
	"encoding/json"
	"net/http"

	"afterchord/acoustics/room"
	"afterchord/render/report"
	"afterchord/sim/demos"
	"afterchord/sim/proof"
	"afterchord/sim/score/file"
	"afterchord/voicing"
)

type choice struct {
	Name  string   `json:"name"`
	Title string   `json:"title"`
	RT    float64  `json:"rt,omitempty"`
	Seats []string `json:"seats,omitempty"`
}

type overviewReply struct {
	Version  string            `json:"version"`
	Demos    []choice          `json:"demos"`
	Rooms    []choice          `json:"rooms"`
	Organs   []organ           `json:"organs"`
	Marks    []string          `json:"marks"`
	Terms    map[string]string `json:"terms"` // what they mean
	RTRange  []float64         `json:"rt_range"`
	MaxScore int64             `json:"max_score"`
	MaxResp  int64             `json:"max_response"`
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
	return overviewOf(o, builtInEngraver())
}

func overviewOf(o Options, x *engraver) ([]byte, error) {
	v := overviewReply{Version: proof.Version, Marks: voicing.Marks(), Terms: report.Terms, RTRange: []float64{room.MinRT60, room.MaxRT60},
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
