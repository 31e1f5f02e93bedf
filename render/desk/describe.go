package desk

import (
	"bytes"
	"fmt"
	"io"
	"mime"
	"mime/multipart"
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

	Said     map[string]string `json:"said,omitempty"` // the caution in the language that was asked for
	Fillings []filling         `json:"fillings"`       // empty, half full and full
}

// describeChurch makes a room of what an organist can say of a church without measuring.
func (d *Desk) describeChurch(w http.ResponseWriter, r *http.Request) error {
	var in churchRequest
	if err := readJSON(w, r, &in); err != nil {
		return err
	}
	var hall *room.Room
	var text bytes.Buffer
	var times []filling
	var err error
	if in.CountedS != 0 {
		hall, err = churchOfCount(in)
		if err == nil {
			times = filled(hall)
			err = hall.WriteTOML(&text)
		}
	} else {
		hall, times, err = churchInWords(in, &text)
	}
	if err != nil {
		return problem{http.StatusUnprocessableEntity, err}
	}
	writeJSON(w, http.StatusOK, churchReply{Title: hall.Title, RT: hall.MidRT(), Volume: hall.VolumeM3,
		Caution: strings.Join(hall.Cautions, "; "), TOML: text.String(), Fillings: times, Said: saidOf(languageOf(r), hall.Cautions)})
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

// filled are the times of a room as it is and with people.
func filled(hall *room.Room) (out []filling) {
	for _, f := range hall.Fillings() {
		out = append(out, filling{f.People, f.Mid()})
	}
	return out
}

// churchInWords writes the plan, so that its surfaces can be corrected by hand, and gives its times empty, half full and full.
func churchInWords(in churchRequest, w io.Writer) (*room.Room, []filling, error) {
	plan, err := room.Description{Name: "described", Title: "Church described in words", SizeM: in.SizeM, People: in.People, Answers: in.Words, Listener: in.Listener}.Plan()
	if err != nil {
		return nil, nil, err
	}
	hall, err := plan.Room()
	if err != nil {
		return nil, nil, err
	}
	empty := plan
	empty.People = 0
	without, err := empty.Room()
	if err != nil {
		return nil, nil, err
	}
	return hall, filled(without), plan.WriteTOML(w)
}

// stopListReply is a printed stop list as it was read.
type stopListReply struct {
	Title   string        `json:"title"`
	Lines   []stopLine    `json:"lines"`
	Assumed []string      `json:"assumed"`
	Doubts  []string      `json:"doubts,omitempty"` // what makes the reading unlikely as a whole
	Wind    bool          `json:"wind,omitempty"`   // a pressure is among the readings
	Unread  int           `json:"unread"`           // pieces that were not understood and are left out
	Organ   []divisionSum `json:"divisions"`
	TOML    string        `json:"toml"`

	Said map[string]string `json:"said,omitempty"` // the readings, questions and what was assumed in the language that was asked for
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
	reply := stopListReply{Title: o.Title, Assumed: list.Supposed(), Doubts: list.Doubts(), TOML: string(source), Lines: []stopLine{}, Said: sayList(languageOf(r), list)}
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
	reply.Wind = list.Facts.WindMM > 0 || list.Facts.PedalWindMM > 0
	for _, x := range list.Divisions {
		reply.Wind = reply.Wind || x.WindMM > 0
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
	RT       float64    `json:"rt_s"`               // mean of 500 Hz and 1 kHz, or the one that is sure; 0 where neither is
	Fillings []filling  `json:"fillings,omitempty"` // as measured, then with people
	Cautions []string   `json:"cautions"`
	TOML     string     `json:"toml"` // the church as one file, the best clap inside; empty where nothing can be told of it

	Said map[string]string `json:"said,omitempty"` // the cautions, those of the takes too, in the language that was asked for
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

// recordingsOf reads the WAV files of a form, or the one that the data are.
func recordingsOf(data []byte, contentType string) ([]*impulse.Response, error) {
	kind, fields, _ := mime.ParseMediaType(contentType)
	if kind != "multipart/form-data" {
		recording, err := impulse.Decode(data)
		return []*impulse.Response{recording}, err
	}
	var out []*impulse.Response
	parts := multipart.NewReader(bytes.NewReader(data), fields["boundary"])
	for {
		part, err := parts.NextPart()
		if err == io.EOF {
			return out, nil
		}
		if err != nil {
			return nil, fmt.Errorf("the recordings did not come whole: %w", err)
		}
		one, err := io.ReadAll(part)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", part.FileName(), err)
		}
		recording, err := impulse.Decode(one)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", part.FileName(), err)
		}
		out = append(out, recording)
	}
}

// measureClaps looks at recordings of claps (WAV, the body or parts of a form) before they are taken as a building.
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
	recordings, err := recordingsOf(data, r.Header.Get("Content-Type"))
	if err != nil {
		return problem{http.StatusUnprocessableEntity, err}
	}
	joined, err := measure.Takes(recordings)
	if err != nil {
		return problem{http.StatusUnprocessableEntity, err}
	}
	reply := clapsReply{Cautions: append([]string{}, joined.Cautions...), Takes: []clapTake{}}
	var sure bool
	if hall, err := room.FromTakes(joined, recordings, "our-church"); err == nil {
		if reply.RT, sure = joined.Result.MidTime(); sure {
			reply.Fillings = filled(hall)
		}
		hall.Title = "Church of the claps"
		var text strings.Builder
		if err := hall.WriteTOML(&text); err != nil {
			return err
		}
		reply.TOML = text.String()
	}
	for _, t := range joined.Takes {
		rt, _ := t.Result.MidTime()
		reply.Takes = append(reply.Takes, clapTake{t.AtS, rt, t.Used, append([]string{}, t.Cautions...)})
	}
	texts := reply.Cautions
	for _, t := range reply.Takes {
		texts = append(texts, t.Cautions...)
	}
	reply.Said = saidOf(languageOf(r), texts)
	writeJSON(w, http.StatusOK, reply)
	return nil
}
