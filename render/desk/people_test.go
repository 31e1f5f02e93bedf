package desk

import (
	"cmp"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/room"
)

// A full building rings shorter than an empty one, as the command line has it too; a recording is given people, too.
func TestPeopleInTheBuilding(t *testing.T) {
	_, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	p := c.demo("drop")
	hall, _ := room.BuiltIn(p.A.Room)
	for filling, people := range map[string]int{"": 0, "empty": 0, "half": hall.Capacity() / 2, "full": hall.Capacity()} {
		t.Run(cmp.Or(filling, "as it is"), func(t *testing.T) {
			side := p.A
			side.People = filling
			with, err := hall.WithPeople(people)
			require.NoError(t, err)
			resp, data := c.send("POST", "/api/projects/"+p.ID+"/proof", side)
			require.Equal(t, 200, resp.StatusCode, string(data))
			var r struct {
				Document struct {
					Room struct {
						RT60 map[string]float64 `json:"rt60_s"`
					} `json:"room"`
				} `json:"document"`
			}
			require.NoError(t, json.Unmarshal(data, &r))
			require.InDelta(t, with.RT(1000), r.Document.Room.RT60["1000"], 0.001)
		})
	}
	side := p.A
	side.People = "crowded"
	resp, data := c.send("POST", "/api/projects/"+p.ID+"/proof", side)
	require.Equal(t, 400, resp.StatusCode, string(data))
	resp, data = c.send("POST", "/api/projects/"+p.ID+"/own", decayWAV(2), "If-Match", `"1"`, "X-File-Name", "x.wav")
	require.Equal(t, 201, resp.StatusCode, string(data))
	side.Room = "own"
	for _, side.People = range []string{"", "full"} {
		resp, data = c.send("POST", "/api/projects/"+p.ID+"/proof", side)
		require.Equal(t, 200, resp.StatusCode, string(data))
	}
	require.Contains(t, string(data), "the people are computed")
}
