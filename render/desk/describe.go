package desk

import (
	"bytes"
	"io"
	"net/http"
	"strings"

	"afterchord/acoustics/impulse"
	"afterchord/acoustics/measure"
	"afterchord/acoustics/room"
	"afterchord/sim/counted"
	"afterchord/voicing"
	"afterchord/voicing/stoplist"
)

// maxStopList is the longest printed stop list that is read, bytes.
const maxStopList = 1 << 20

type question struct {
	Name  string   `json:"name"`
	Words []string `json:"words"` // the first is assumed
}

// describing answers with what a description of a church can be made of.
func (d *Desk) describing(w http.ResponseWriter, r *http.Request) error {
	var reply struct {
		Questions []question `json:"questions"`
		Counted   []float64  `json:"counted_s"` // fewest and most seconds
	}
	for _, q := range room.Questions() {
		reply.Questions = append(reply.Questions, question{q, room.DescriptionWords(q)})
	}
	reply.Counted = []float64{counted.MinSeconds, counted.MaxSeconds}
	writeJSON(w, http.StatusOK, reply)
	return nil
}

// churchRequest describes a church by the seconds that were counted in it, or in words.
type churchRequest struct {
	CountedS float64           `json:"counted_s"` // 0: in words
	Organ    string            `json:"organ"`     // built in; of the chord after which was counted
	SizeM    [3]float64        `json:"size_m"`    // length, width, height
	Words    map[string]string `json:"words"`     // answers by question
	People   int               `json:"people"`
	Listener *[2]float64       `json:"listener"` // across and along from the organ, m
}

// churchReply is the church as a room file, with what is to be known of it.
type churchReply struct {
	Title   string  `json:"title"`
	RT      float64 `json:"rt_s"` // mean of 500 Hz and 1 kHz
	Volume  float64 `json:"volume_m3"`
	Caution string  `json:"caution"`
	TOML    string  `json:"toml"`
}

// describeChurch makes a room of what an organist can say of a church without measuring.
func (d *Desk) describeChurch(w http.ResponseWriter, r *http.Request) error {
	var in churchRequest
	if err := readJSON(w, r, &in); err != nil {
		return err
	}
	var hall *room.Room
	var text bytes.Buffer
	var err error
	if in.CountedS != 0 {
		hall, err = churchOfCount(in)
		if err == nil {
			err = hall.WriteTOML(&text)
		}
	} else {
		hall, err = churchInWords(in, &text)
	}
	if err != nil {
		return problem{http.StatusUnprocessableEntity, err}
	}
	writeJSON(w, http.StatusOK, churchReply{Title: hall.Title, RT: hall.MidRT(), Volume: hall.VolumeM3,
		Caution: strings.Join(hall.Cautions, "; "), TOML: text.String()})
	return nil
}

func churchOfCount(in churchRequest) (*room.Room, error) {
	o, ok := voicing.BuiltIn(in.Organ)
	if !ok {
		o, _ = voicing.BuiltIn(voicing.BuiltIns()[0])
	}
	hall, _, err := counted.Room(in.CountedS, 0, o)
	return hall, err
}

// churchInWords writes the plan, so that its surfaces can be corrected by hand.
func churchInWords(in churchRequest, w io.Writer) (*room.Room, error) {
	plan, err := room.Description{Name: "described", Title: "Church described in words", SizeM: in.SizeM, People: in.People, Answers: in.Words, Listener: in.Listener}.Plan()
	if err != nil {
		return nil, err
	}
	hall, err := plan.Room()
	if err != nil {
		return nil, err
	}
	return hall, plan.WriteTOML(w)
}

// stopListReply is a printed stop list as it was read.
type stopListReply struct {
	Title   string        `json:"title"`
	Lines   []stopLine    `json:"lines"`
	Assumed []string      `json:"assumed"`
	Unread  int           `json:"unread"` // pieces that were not understood and are left out
	Organ   []divisionSum `json:"divisions"`
	TOML    string        `json:"toml"`
}

type stopLine struct {
	Number   int           `json:"number"` // from 1
	Text     string        `json:"text"`
	Readings []stopReading `json:"readings"`
}

type stopReading struct {
	Text   string `json:"text"`
	Ask    string `json:"ask,omitempty"` // assumed
	Unread bool   `json:"unread,omitempty"`
}

type divisionSum struct {
	Name  string `json:"name"`
	Stops int    `json:"stops"`
}

// describeOrgan reads a printed stop list (the body, text) and answers with how each line was read and the organ
// description that came of it.
func (d *Desk) describeOrgan(w http.ResponseWriter, r *http.Request) error {
	data, done, err := d.readUpload(w, r, maxStopList)
	if err != nil {
		return err
	}
	defer done()
	list := stoplist.Read(stoplist.Decode(data))
	if list.Title == "" {
		list.Title = "Organ from its stop list"
	}
	source, o, err := list.Organ("own")
	if err != nil {
		return problem{http.StatusUnprocessableEntity, err}
	}
	reply := stopListReply{Title: o.Title, Assumed: list.Assumed, TOML: string(source), Lines: []stopLine{}}
	for _, l := range list.Lines {
		line := stopLine{Number: l.Number, Text: l.Text}
		for _, x := range l.Readings {
			if x.What == stoplist.IsProse || x.What == stoplist.IsExtra {
				continue
			}
			unread := x.What == stoplist.IsUnread
			if unread {
				reply.Unread++
			}
			line.Readings = append(line.Readings, stopReading{x.Text, x.Ask, unread})
		}
		if len(line.Readings) > 0 {
			reply.Lines = append(reply.Lines, line)
		}
	}
	for _, x := range o.Divisions {
		reply.Organ = append(reply.Organ, divisionSum{x.Name, len(x.Stops)})
	}
	writeJSON(w, http.StatusOK, reply)
	return nil
}

// clapsReply is what a recording of claps or bursts gives.
type clapsReply struct {
	Takes    []clapTake `json:"takes"`
	RT       float64    `json:"rt_s"`               // mean of 500 Hz and 1 kHz; 0 where it is not sure
	Fillings []filling  `json:"fillings,omitempty"` // as measured, then with people
	Cautions []string   `json:"cautions"`
}

type filling struct {
	People int     `json:"people"`
	RT     float64 `json:"rt_s"`
}

type clapTake struct {
	AtS      float64  `json:"at_s"`
	RT       float64  `json:"rt_s"` // 0 where it cannot be told
	Used     bool     `json:"used"`
	Cautions []string `json:"cautions"`
}

// measureClaps looks at a recording (WAV, the body) before it is taken as a building.
func (d *Desk) measureClaps(w http.ResponseWriter, r *http.Request) error {
	data, done, err := d.readUpload(w, r, d.opt.MaxResponse)
	if err != nil {
		return err
	}
	defer done()
	if err := d.findings.enter(r.Context()); err != nil {
		return err
	}
	defer d.findings.leave()
	recording, err := impulse.Decode(data)
	if err != nil {
		return problem{http.StatusUnprocessableEntity, err}
	}
	joined, err := measure.Takes([]*impulse.Response{recording})
	if err != nil {
		return problem{http.StatusUnprocessableEntity, err}
	}
	reply := clapsReply{Cautions: append([]string{}, joined.Cautions...), Takes: []clapTake{}}
	var sure bool
	if reply.RT, sure = joined.Result.MidTime(); sure {
		if hall, err := room.FromMeasures(joined.Result, "claps"); err == nil {
			for _, f := range hall.Fillings() {
				reply.Fillings = append(reply.Fillings, filling{f.People, f.Mid()})
			}
		}
	}
	for _, t := range joined.Takes {
		rt, _ := t.Result.MidTime()
		reply.Takes = append(reply.Takes, clapTake{t.AtS, rt, t.Used, append([]string{}, t.Cautions...)})
	}
	writeJSON(w, http.StatusOK, reply)
	return nil
}
