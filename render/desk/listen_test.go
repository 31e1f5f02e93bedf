package desk

import (
	"bytes"
	"encoding/json"
	"math"
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/longtest"
)

// Where there is memory for one rendering, a listener who takes nothing makes room for another, and hears on from where
// they were: the same but for the noise of the wind, with no seam.
func TestListenersTakeTurns(t *testing.T) {
	longtest.Only(t, "renders two minutes of sound; TestThirtyPupils takes turns too")
	_, s := newTestDesk(t, Options{Renderings: 1, Workers: 1})
	c := newClient(t, s)
	p := c.demo("vigil")
	p.A.Room = "chapel"
	body, err := json.Marshal(listenRequest{[]track{{Side: p.A}}})
	require.NoError(t, err)
	address := "/api/projects/" + p.ID + "/sound"
	slow, err := c.Post(s.URL+address, "application/json", bytes.NewReader(body))
	require.NoError(t, err)
	defer slow.Body.Close()
	require.Equal(t, http.StatusOK, slow.StatusCode)

	resp, data := c.send("POST", address, json.RawMessage(body))
	require.Equal(t, http.StatusOK, resp.StatusCode)
	whole, _ := readTracks(t, bytes.NewReader(data), 1)
	turns, _ := readTracks(t, slow.Body, 1)

	require.InDelta(t, len(whole[0]), len(turns[0]), 2*3*streamRate, "both to the end, which is 100 dB below the loudest of what was rendered at a time")
	const second = 2 * streamRate
	for i := 0; i+second <= min(len(whole[0]), len(turns[0])); i += second / 2 {
		a, b := whole[0][i:i+second], turns[0][i:i+second]
		if energy := meanSquare(a); energy > 1e-8 {
			require.Greater(t, correlation(a, b), 0.998, "at %.1f s", float64(i)/second)
			require.InDelta(t, 0, 10*math.Log10(meanSquare(b)/energy), 0.2, "at %.1f s", float64(i)/second)
		}
	}
}

func correlation(a, b []float32) float64 {
	sum := 0.0
	for i := range a {
		sum += float64(a[i]) * float64(b[i])
	}
	return sum / float64(len(a)) / math.Sqrt(meanSquare(a)*meanSquare(b))
}
