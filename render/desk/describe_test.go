package desk

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/acoustics/room"
	"afterchord/acoustics/wav"
	"afterchord/voicing"
)

// A church that is described or counted comes back as a room file that the desk takes, with its doubt.
func TestDescribeChurch(t *testing.T) {
	_, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	c.demo("drop")
	for _, x := range []struct {
		name, caution string
		in            churchRequest
	}{
		{"in words", "described in words", churchRequest{SizeM: [3]float64{30, 12, 11}, Words: map[string]string{"walls": "stone", "ceiling": "wooden vault"}, People: 50}},
		{"counted", "counted by ear", churchRequest{CountedS: 5, Organ: "village"}},
	} {
		t.Run(x.name, func(t *testing.T) {
			resp, data := c.send("POST", "/api/describe/church", x.in)
			require.Equal(t, 200, resp.StatusCode, string(data))
			var reply churchReply
			require.NoError(t, json.Unmarshal(data, &reply))
			require.Contains(t, reply.Caution, x.caution)
			hall, err := room.Parse([]byte(reply.TOML), "ours.toml")
			require.NoError(t, err)
			assert.InDelta(t, reply.RT, (hall.RT(500)+hall.RT(1000))/2, 0.01)
			assert.Len(t, hall.Cautions, 1)
		})
	}
	for name, in := range map[string]churchRequest{
		"no size": {}, "unknown word": {SizeM: [3]float64{30, 12, 11}, Words: map[string]string{"walls": "cheese"}}, "too short a count": {CountedS: 0.5},
	} {
		t.Run(name, func(t *testing.T) {
			resp, data := c.send("POST", "/api/describe/church", in)
			require.Equal(t, 422, resp.StatusCode)
			require.NotContains(t, string(data), "panic")
		})
	}
}

// The questions of the form have answers, and the first is what is assumed.
func TestDescribing(t *testing.T) {
	_, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	c.demo("drop")
	resp, data := c.send("GET", "/api/describe", nil)
	require.Equal(t, 200, resp.StatusCode)
	var reply struct {
		Questions []question
	}
	require.NoError(t, json.Unmarshal(data, &reply))
	require.Len(t, reply.Questions, 6)
	for _, q := range reply.Questions {
		require.NotEmpty(t, q.Words, q.Name)
	}
}

// A pasted stop list is read line by line; what is not understood is said and left out.
func TestDescribeOrgan(t *testing.T) {
	_, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	c.demo("drop")
	resp, data := c.send("POST", "/api/describe/organ", []byte("Great\nOpen Diapason 8\nPrincipal 4\nBrzzl 8\n\nPedal\nBourdon 16\n\nGt to Ped\n"))
	require.Equal(t, 200, resp.StatusCode, string(data))
	var reply stopListReply
	require.NoError(t, json.Unmarshal(data, &reply))
	require.Equal(t, 1, reply.Unread)
	require.Len(t, reply.Organ, 2)
	require.False(t, reply.Wind, "no pressure is shown")
	o, err := voicing.Parse([]byte(reply.TOML), "ours.toml")
	require.NoError(t, err)
	stops, _, _ := o.Count()
	require.Equal(t, 3, stops)

	_, data = c.send("POST", "/api/describe/organ", []byte("Great\nOpen Diapason 8\nPrincipal 4\nwind pressure 3 1/2 inches\n"))
	require.NoError(t, json.Unmarshal(data, &reply))
	require.True(t, reply.Wind)

	resp, _ = c.send("POST", "/api/describe/organ", []byte("nothing that is an organ"))
	require.Equal(t, 422, resp.StatusCode)
}

// Three claps in a room of 2 s (exponential noise, made here) give its time; a file without any is refused in words.
func TestMeasureClaps(t *testing.T) {
	_, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	c.demo("drop")
	resp, data := c.send("POST", "/api/describe/claps", clapsWAV(t, 2))
	require.Equal(t, 200, resp.StatusCode, string(data))
	var reply clapsReply
	require.NoError(t, json.Unmarshal(data, &reply))
	require.Len(t, reply.Takes, 3)
	assert.InEpsilon(t, 2, reply.RT, 0.05)

	var silence bytes.Buffer
	w, err := wav.Stream(&silence, wav.Options{Rate: 48000, Channels: 1, Frames: 48000})
	require.NoError(t, err)
	require.NoError(t, w.Write64(make([]float64, 48000)))
	require.NoError(t, w.Close())
	resp, data = c.send("POST", "/api/describe/claps", silence.Bytes())
	require.Equal(t, 422, resp.StatusCode, string(data))
}

// What a church is to be read with is said in the language of the page.
func TestCautionsInALanguage(t *testing.T) {
	_, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	c.demo("drop")
	resp, data := c.send("POST", "/api/describe/church", []byte(`{"counted_s": 5, "organ": "minster"}`), "X-Terms", "de")
	require.Equal(t, 200, resp.StatusCode, string(data))
	var reply churchReply
	require.NoError(t, json.Unmarshal(data, &reply))
	require.Contains(t, reply.Said[reply.Caution], "nach Gehör gezählt, nicht gemessen: 4,1 s")
}
