package desk

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/sim/proof"
	"afterchord/voicing"
)

const barn = `title = "A barn"
rt = 1.1
size = [24, 10, 8]
[[seat]]
name = "hay loft"
at = [1, 15, 1.2]
`

// Descriptions of a room and of an organ are taken like scores, told apart by what is in them, and go with the project.
func TestOwnDescriptions(t *testing.T) {
	d, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	p := c.demo("drop")
	send := func(name string, data []byte) (status int, reply ownReply, text string) {
		p, err := d.store.Get(p.ID)
		require.NoError(t, err)
		resp, body := c.send("POST", "/api/projects/"+p.ID+"/own", data, "If-Match", etag(p.Version), "X-File-Name", name)
		_ = json.Unmarshal(body, &reply)
		return resp.StatusCode, reply, string(body)
	}
	prove := func(side Side) (status int, title, room string) {
		resp, data := c.send("POST", "/api/projects/"+p.ID+"/proof", side)
		var r struct {
			Document struct {
				Room  struct{ Title string }
				Organ struct{ Title string }
			}
		}
		_ = json.Unmarshal(data, &r)
		return resp.StatusCode, r.Document.Organ.Title, r.Document.Room.Title
	}

	village, _ := voicing.BuiltInSource("village")
	status, reply, text := send("ours.toml", append([]byte("title = \"Ours\"\n"), withoutTitle(village)...))
	require.Equal(t, 201, status, text)
	require.Equal(t, "organ", reply.Kind)
	require.Equal(t, "Ours", reply.Project.Organ.Title)
	require.Contains(t, reply.Project.Organ.Divisions, "Pedal")
	side := p.A
	side.Organ = own
	status, organ, _ := prove(side)
	require.Equal(t, 200, status)
	require.Equal(t, "Ours", organ)

	status, reply, text = send("barn.toml", []byte(barn))
	require.Equal(t, 201, status, text)
	require.Equal(t, "room", reply.Kind)
	require.Contains(t, reply.Project.Response.Seats, "hay loft")
	side.Room, side.Seat = own, "hay loft"
	status, _, room := prove(side)
	require.Equal(t, 200, status)
	require.Equal(t, "A barn", room)
	// A computed room has ears of its own.
	resp, data := c.send("POST", "/api/projects/"+p.ID+"/loudness", loudnessRequest{Side: side, Ears: true})
	require.Equal(t, 200, resp.StatusCode, string(data))

	// Mistakes are named with their line, and nothing is taken.
	for name, bad := range map[string]string{"room.toml": "rt = \"long\"\n", "organ.toml": "[[division]]\nname = \"Great\"\nstop = 3\n", "not.toml": "= ="} {
		status, _, text := send(name, []byte(bad))
		assert.Equal(t, 422, status, name)
		assert.Contains(t, text, name+":", name)
		assert.NotContains(t, text, `\n`, "one line")
	}
	kept, err := d.store.Get(p.ID)
	require.NoError(t, err)
	require.Equal(t, "Ours", kept.Organ.Title)

	// Kept as one file, it opens with both.
	resp, whole := c.send("GET", "/api/projects/"+p.ID+"/whole", nil)
	require.Equal(t, 200, resp.StatusCode)
	resp, data = c.send("POST", "/api/projects", whole, "X-File-Name", "x.afterchord.zip")
	require.Equal(t, 201, resp.StatusCode, string(data))
	var again Project
	require.NoError(t, json.Unmarshal(data, &again))
	require.Equal(t, kept.Organ, again.Organ)
	require.Equal(t, kept.Response, again.Response)
}

// withoutTitle drops the first lines that name an organ.
func withoutTitle(source []byte) []byte {
	var tail []byte
	for line := range bytes.Lines(source) {
		if !bytes.HasPrefix(line, []byte("title")) && !bytes.HasPrefix(line, []byte("name = \"village")) {
			tail = append(tail, line...)
		}
	}
	return tail
}

// The knobs of a run are those that its changes speak of, and their orders are understood.
func TestKnobsOfARun(t *testing.T) {
	_, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	p := c.demo("vigil")
	prove := func(side Side) (knobs []string, changes []proof.ChangeInfo) {
		resp, data := c.send("POST", "/api/projects/"+p.ID+"/proof", side)
		require.Equal(t, 200, resp.StatusCode, string(data))
		var r struct {
			Knobs    []string
			Document struct{ Organ proof.OrganInfo }
		}
		require.NoError(t, json.Unmarshal(data, &r))
		return r.Knobs, r.Document.Organ.Changes
	}
	knobs, changes := prove(p.A)
	for _, x := range changes {
		require.Subset(t, knobs, append(x.On, x.Off...))
	}
	require.NotContains(t, changes[0].On, "Swell: Voix Celeste 8")
	side := p.A
	side.Stops = "bar 0: Swell + Voix Celeste 8; - Swell to Great"
	_, changes = prove(side)
	var on []string
	for _, x := range changes[:min(2, len(changes))] {
		on = append(on, x.On...)
	}
	require.Contains(t, on, "Swell: Voix Celeste 8")
}
