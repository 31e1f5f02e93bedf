package desk

import (
	"bytes"
	"fmt"
	"net/http"
	"path/filepath"
	"strings"

	"afterchord/acoustics/impulse"
	"afterchord/acoustics/room"
	"afterchord/acoustics/tomlread"
	"afterchord/acoustics/wav"
	"afterchord/voicing"
)

// ownReply is the answer to a file of the user's.
type ownReply struct {
	Project *Project `json:"project"`
	Kind    string   `json:"kind"` // "room" or "organ"
}

// ownFile takes a building or an organ of the user's into the project (in the body): an impulse response (WAV), or a
// description of a room or an organ (TOML), told by what is in it.
func (d *Desk) ownFile(w http.ResponseWriter, r *http.Request) error {
	version, err := ifMatch(r)
	if err != nil {
		return err
	}
	id := r.PathValue("id")
	if _, err := d.store.Get(id); err != nil {
		return err
	}
	data, done, err := d.readUpload(w, r, d.opt.MaxResponse)
	if err != nil {
		return err
	}
	defer done()
	reply := ownReply{Kind: "room"}
	mine := &OwnFile{Shown: shownName(r, "own")}
	stem, ext := "response", ".wav"
	var hall *room.Room
	switch recorded := wav.Is(data) || strings.EqualFold(filepath.Ext(mine.Shown), ".wav"); {
	case recorded:
		if err := d.findings.enter(r.Context()); err != nil {
			return err
		}
		hall, err = readRoom(data, mine.Shown)
		d.findings.leave()
	case describesOrgan(data):
		reply.Kind, stem, ext = "organ", "organ", ".toml"
		var organ *voicing.Organ
		if organ, err = readOrgan(data, mine.Shown); err == nil {
			mine.Title = organ.Title
			for _, x := range organ.Divisions {
				mine.Divisions = append(mine.Divisions, x.Name)
			}
		}
	default:
		stem, ext = "room", ".toml"
		hall, err = readRoom(data, mine.Shown)
	}
	if err != nil {
		return err
	}
	if hall != nil {
		mine.Title = hall.Title
		for _, s := range hall.Seats {
			mine.Seats = append(mine.Seats, s.Name)
		}
	}
	if mine.File, err = d.store.Add(id, stem, ext, data); err != nil {
		return err
	}
	if hall != nil {
		d.rooms.put(id+"/"+mine.File, &measured{hall, sumOf(data)})
	}
	reply.Project, err = d.store.Update(id, version, func(p *Project) error {
		if reply.Kind == "organ" {
			p.Organ = mine
		} else {
			p.Response = mine
		}
		return nil
	})
	if err != nil {
		return err
	}
	return sendVersion(w, http.StatusCreated, reply.Project, reply)
}

// describesOrgan tells a description of an organ from one of a room: it has divisions, or says that it means to.
func describesOrgan(data []byte) bool {
	tree, err := tomlread.Tree(data)
	if err != nil {
		return bytes.Contains(data, []byte("[[division]]"))
	}
	_, divisions := tree["division"]
	_, couplers := tree["coupler"]
	_, pistons := tree["pistons"]
	return divisions || couplers || pistons
}

// readRoom makes a room of a measured response or of a description.
func readRoom(data []byte, shown string) (*room.Room, error) {
	if !wav.Is(data) && !strings.EqualFold(filepath.Ext(shown), ".wav") {
		hall, err := room.Parse(data, shown)
		if err != nil {
			return nil, problem{http.StatusUnprocessableEntity, err}
		}
		return hall, nil
	}
	resp, err := impulse.Decode(data)
	if err == nil {
		var hall *room.Room
		if hall, err = room.FromResponse(resp, strings.TrimSuffix(shown, ".wav")); err == nil {
			return hall, nil
		}
	}
	return nil, problemf(http.StatusUnprocessableEntity, "%s: %w", shown, err)
}

// readOrgan makes an organ of its description. Of several mistakes it names the first and counts the others.
func readOrgan(data []byte, shown string) (*voicing.Organ, error) {
	organ, err := voicing.Parse(data, shown)
	if err == nil {
		return organ, nil
	}
	if all, ok := err.(voicing.Problems); ok && len(all) > 1 {
		err = fmt.Errorf("%w (and %d more; afterchord organ check names them all)", all[:1], len(all)-1)
	}
	return nil, problem{http.StatusUnprocessableEntity, err}
}

// roomOf is the room of a side with the people in it, and its cache key.
func (d *Desk) roomOf(p *Project, s Side) (*room.Room, string, error) {
	hall, key, err := d.emptyRoomOf(p, s)
	if err != nil || s.People == "" || s.People == "empty" {
		return hall, key, err
	}
	people, err := hall.ParsePeople(s.People)
	if err != nil {
		return nil, "", problem{http.StatusUnprocessableEntity, err}
	}
	if hall, err = hall.WithPeople(people); err != nil {
		return nil, "", problem{http.StatusUnprocessableEntity, err}
	}
	return hall, key + " " + s.People, nil
}

// emptyRoomOf is the room of a side as it is built, and its cache key.
func (d *Desk) emptyRoomOf(p *Project, s Side) (*room.Room, string, error) {
	switch s.Room {
	case "rt":
		r, err := room.FromRT(s.RT)
		return r, fmt.Sprintf("rt %g", s.RT), err
	case own:
		key := p.ID + "/" + p.Response.File
		if x, ok := d.rooms.get(key); ok {
			return x.room, x.sum, nil
		}
		data, err := d.store.Read(p.ID, p.Response.File)
		if err != nil {
			return nil, "", err
		}
		hall, err := readRoom(data, p.Response.Shown)
		if err != nil {
			return nil, "", err
		}
		x := &measured{hall, sumOf(data)}
		d.rooms.put(key, x)
		return x.room, x.sum, nil
	}
	r, _ := room.BuiltIn(s.Room)
	return r, s.Room, nil
}

// organOf is the organ of a side, and its cache key.
func (d *Desk) organOf(p *Project, s Side) (*voicing.Organ, string, error) {
	if s.Organ != own {
		organ, _ := voicing.BuiltIn(s.Organ)
		return organ, s.Organ, nil
	}
	key := p.ID + "/" + p.Organ.File
	if x, ok := d.organs.get(key); ok {
		return x, key, nil
	}
	data, err := d.store.Read(p.ID, p.Organ.File)
	if err != nil {
		return nil, "", err
	}
	organ, err := readOrgan(data, p.Organ.Shown)
	if err != nil {
		return nil, "", err
	}
	d.organs.put(key, organ)
	return organ, key, nil
}
