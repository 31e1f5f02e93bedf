package desk

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"afterchord/sim/demos"
	"afterchord/sim/finding"
	"afterchord/sim/sound"
)

// client is a browser's part of the conversation, without the browser.
type client struct {
	t *testing.T
	s *httptest.Server
	*http.Client
}

func newClient(t *testing.T, s *httptest.Server) client {
	jar, err := cookiejar.New(nil)
	require.NoError(t, err)
	return client{t, s, &http.Client{Jar: jar}}.opened()
}

// opened has the page, and so a session.
func (c client) opened() client {
	c.t.Helper()
	c.send("GET", "/", nil)
	return c
}

func (c client) send(method, path string, body any, header ...string) (*http.Response, []byte) {
	c.t.Helper()
	var r io.Reader
	switch b := body.(type) {
	case nil:
	case []byte:
		r = bytes.NewReader(b)
	default:
		data, err := json.Marshal(b)
		require.NoError(c.t, err)
		r = bytes.NewReader(data)
	}
	q, err := http.NewRequest(method, c.s.URL+path, r)
	require.NoError(c.t, err)
	for i := 0; i+1 < len(header); i += 2 {
		if header[i] == "Host" {
			q.Host = header[i+1]
			continue
		}
		q.Header.Set(header[i], header[i+1])
	}
	resp, err := c.Do(q)
	require.NoError(c.t, err)
	defer resp.Body.Close()
	data, err := io.ReadAll(resp.Body)
	require.NoError(c.t, err)
	return resp, data
}

func (c client) demo(name string) *Project {
	c.t.Helper()
	resp, data := c.send("POST", "/api/projects?demo="+name, nil)
	require.Equal(c.t, 201, resp.StatusCode, string(data))
	var p Project
	require.NoError(c.t, json.Unmarshal(data, &p))
	return &p
}

type proofReply struct {
	Shown    []shownFinding `json:"shown"`
	Document struct {
		Findings []finding.Finding `json:"findings"`
	} `json:"document"`
}

func (c client) proof(id string, s Side) proofReply {
	c.t.Helper()
	resp, data := c.send("POST", "/api/projects/"+id+"/proof", s)
	require.Equal(c.t, 200, resp.StatusCode, string(data))
	var r proofReply
	require.NoError(c.t, json.Unmarshal(data, &r))
	return r
}

func TestRequestsFromElsewhere(t *testing.T) {
	_, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	host := strings.TrimPrefix(s.URL, "http://")
	_, port, _ := net.SplitHostPort(host)
	for _, x := range []struct {
		name, method, path string
		header             []string
		status             int
	}{
		{"the page itself", "GET", "/", nil, 200},
		{"by the name localhost", "GET", "/api/desk", []string{"Host", "localhost:" + port, "Sec-Fetch-Site", "same-origin"}, 200},
		{"own origin", "POST", "/api/projects?demo=drop", []string{"Origin", s.URL, "Sec-Fetch-Site", "same-origin"}, 201},
		{"another host (DNS rebinding)", "GET", "/api/desk", []string{"Host", "desk.example:" + port}, 421},
		{"a host that begins like ours", "GET", "/api/desk", []string{"Host", "127.0.0.1.example:" + port}, 421},
		{"another origin writes", "POST", "/api/projects?demo=drop", []string{"Origin", "http://evil.example"}, 403},
		{"another port's page writes", "POST", "/api/projects?demo=drop", []string{"Origin", "http://127.0.0.1:1"}, 403},
		{"a sandboxed page writes", "POST", "/api/projects?demo=drop", []string{"Origin", "null"}, 403},
		{"a link from another site", "GET", "/", []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "navigate", "Sec-Fetch-Dest", "document"}, 200},
		{"a frame in another site's page", "GET", "/", []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "navigate", "Sec-Fetch-Dest", "iframe"}, 403},
		{"a picture in another site's page", "GET", "/", []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "no-cors", "Sec-Fetch-Dest", "image"}, 403},
		{"a script in another site's page", "GET", "/assets/desk.js", []string{"Sec-Fetch-Site", "same-site", "Sec-Fetch-Mode", "no-cors", "Sec-Fetch-Dest", "script"}, 403},
		{"another site reads", "GET", "/api/desk", []string{"Sec-Fetch-Site", "cross-site"}, 403},
		{"a neighbouring port reads", "GET", "/api/desk", []string{"Sec-Fetch-Site", "same-site"}, 403},
		{"a form writes", "POST", "/api/projects?demo=drop", []string{"Sec-Fetch-Site", "cross-site"}, 403},
	} {
		t.Run(x.name, func(t *testing.T) {
			resp, data := c.send(x.method, x.path, nil, x.header...)
			require.Equal(t, x.status, resp.StatusCode, "%s: %s", x.name, data)
			require.Contains(t, resp.Header.Get("Content-Security-Policy"), "default-src 'none'; script-src 'self'", x.name)
			require.NotContains(t, resp.Header.Get("Content-Security-Policy"), "unsafe")
			require.Empty(t, resp.Header.Get("Access-Control-Allow-Origin"))
		})
	}
}

func TestNoPathReachesTheDisk(t *testing.T) {
	d, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	p := c.demo("drop")
	for _, path := range []string{
		"/assets/..%2fdesk.go", "/assets/%2e%2e%2fdesk.go", "/assets/desk.go", "/api/projects/..", "/api/projects/%2e%2e", "/api/projects/..%2f..%2fetc",
		"/api/projects/" + p.ID + "%2fproject.json", "/api/projects/" + p.ID + "/files/a/project.json", "/api/projects/" + p.ID + "/files/a/..%2fproject.json",
		"/api/projects/p00000000000000-000000000000", "/api/projects/" + p.ID + "/files/b/score.mid", "/etc/passwd",
	} {
		t.Run(path, func(t *testing.T) {
			resp, data := c.send("GET", path, nil)
			require.Equal(t, 404, resp.StatusCode, "%s: %s", path, data)
			require.NotContains(t, string(data), d.opt.Dir, path)
		})
	}
	// A file's name is shown and never used.
	data, _ := demos.Piece("drop")
	resp, body := c.send("POST", "/api/projects", data, "X-File-Name", "..%2F..%2F..%2Ftmp%2Fevil%00.mid")
	require.Equal(t, 201, resp.StatusCode, string(body))
	var q Project
	require.NoError(t, json.Unmarshal(body, &q))
	require.Equal(t, "score-1.mid", q.Scores[0].File)
	require.Equal(t, "evil .mid", q.Scores[0].Shown)
	// Nor do files that a page names in the state.
	resp, body = c.send("PUT", "/api/projects/"+q.ID, map[string]any{"name": "x", "scores": []any{map[string]string{"file": "../../secret"}}}, "If-Match", `"1"`)
	require.Equal(t, 400, resp.StatusCode, string(body))
}

func TestLimitsOfUploads(t *testing.T) {
	d, s := newTestDesk(t, Options{MaxScore: 100 << 10, MaxResponse: 1 << 20, MaxProjects: 3})
	c := newClient(t, s)
	post := func(data []byte) (int, string) {
		resp, body := c.send("POST", "/api/projects", data, "X-File-Name", "piece.mid")
		return resp.StatusCode, string(body)
	}
	status, text := post(bytes.Repeat([]byte("x"), 100<<10+1))
	require.Equal(t, 413, status, text)
	status, text = post(nil)
	require.Equal(t, 400, status, text)
	status, text = post([]byte("this is no music"))
	require.Equal(t, 422, status, text)
	require.Contains(t, text, "piece.mid")
	require.NotContains(t, text, d.opt.Dir)
	demo, _ := demos.Piece("drop")
	status, text = post(demo[:len(demo)/3])
	require.NotEqual(t, 500, status, text)

	// A body that breaks off leaves nothing behind.
	before, err := d.store.shelf.Projects()
	require.NoError(t, err)
	conn, err := net.Dial("tcp", s.Listener.Addr().String())
	require.NoError(t, err)
	fmt.Fprintf(conn, "POST /api/projects HTTP/1.1\r\nHost: %s\r\nSec-Fetch-Site: same-origin\r\nContent-Length: %d\r\n\r\n", s.Listener.Addr(), len(demo))
	_, _ = conn.Write(demo[:len(demo)/2])
	require.NoError(t, conn.(*net.TCPConn).CloseWrite())
	answer, _ := io.ReadAll(conn)
	conn.Close()
	require.Contains(t, string(answer), "400 Bad Request")
	require.Contains(t, string(answer), "broke off")
	after, err := d.store.shelf.Projects()
	require.NoError(t, err)
	require.Equal(t, before, after)

	// The folder does not grow without end.
	for len(after) < 3 {
		c.demo("solo")
		after, _ = d.store.shelf.Projects()
	}
	resp, body := c.send("POST", "/api/projects?demo=solo", nil)
	require.Equal(t, 507, resp.StatusCode, string(body))
}

func TestSessionsAreLimited(t *testing.T) {
	d, s := newTestDesk(t, Options{MaxSessions: 2})
	now := time.Now()
	d.sessions.now = func() time.Time { now = now.Add(time.Second); return now }
	a, b := newClient(t, s), newClient(t, s)
	for _, x := range []client{a, b, a} {
		resp, _ := x.send("GET", "/api/desk", nil)
		require.Equal(t, 200, resp.StatusCode)
	}
	mine := func(c client) *session {
		u, err := url.Parse(s.URL)
		require.NoError(t, err)
		for _, k := range c.Jar.Cookies(u) {
			if x := d.sessions.by[k.Value]; x != nil {
				return x
			}
		}
		return nil
	}
	newClient(t, s)
	require.NotNil(t, mine(a))
	require.Nil(t, mine(b), "the one that has been idle longest goes")
	resp, _ := b.send("GET", "/api/desk", nil)
	require.Equal(t, 200, resp.StatusCode, "its page goes on with a new one")
	require.NotNil(t, mine(b))

	// Those at work stay.
	for _, x := range d.sessions.by {
		require.True(t, x.openStream())
	}
	late := newClient(t, s)
	resp, page := late.send("GET", "/", nil, "Accept", "text/html,*/*")
	require.Equal(t, 503, resp.StatusCode)
	require.NotEmpty(t, resp.Header.Get("Retry-After"))
	require.Contains(t, string(page), "<p>Too many browsers")
	resp, _ = b.send("GET", "/api/desk", nil)
	require.Equal(t, 200, resp.StatusCode)
}

// What another site's page can send begins no session and takes no one's place.
func TestNoSessionForOthers(t *testing.T) {
	d, s := newTestDesk(t, Options{})
	for _, x := range []struct {
		name, path string
		header     []string
	}{
		{"a picture", "/", []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "no-cors", "Sec-Fetch-Dest", "image"}},
		{"a link", "/", []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "navigate", "Sec-Fetch-Dest", "document"}},
		{"no cookie", "/api/desk", nil},
		{"another desk's cookie", "/api/desk", []string{"Cookie", "afterchord-desk-1=00112233"}},
		{"an asset", "/assets/desk.js", nil},
	} {
		t.Run(x.name, func(t *testing.T) {
			c := client{t, s, &http.Client{}}
			resp, _ := c.send("GET", x.path, nil, x.header...)
			require.Empty(t, resp.Cookies())
			require.Empty(t, d.sessions.by)
		})
	}
	resp, _ := client{t, s, &http.Client{}}.send("GET", "/api/desk", nil, "Sec-Fetch-Site", "same-origin")
	require.Equal(t, 200, resp.StatusCode, "the page of this desk, after a link to it from elsewhere")
	require.Len(t, resp.Cookies(), 1)
}

func TestFindingsFollowTheRoom(t *testing.T) {
	_, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	p := c.demo("drop")
	kinds := func(s Side) map[string]bool {
		out := map[string]bool{}
		for _, f := range c.proof(p.ID, s).Document.Findings {
			out[f.Kind] = true
		}
		return out
	}
	wet := p.A
	require.True(t, kinds(wet)[finding.KindCoveredEntry])
	dry := p.A
	dry.Room, dry.RT = "rt", 0.4
	require.False(t, kinds(dry)[finding.KindCoveredEntry])
	// Equally loud on both sides of the drop there is nothing to cover.
	level := p.A
	level.Dynamics = []Mark{{"Great", 1, "p"}, {"Pedal", 1, "p"}, {"Swell", 1, "p"}}
	require.False(t, kinds(level)[finding.KindCoveredEntry])
	for _, bad := range []func(*Side){
		func(s *Side) { s.Room = "../x" }, func(s *Side) { s.Room = "own" }, func(s *Side) { s.Organ = "none" }, func(s *Side) { s.Tempo = 0 },
		func(s *Side) { s.Seat = "roof" }, func(s *Side) { s.Room, s.RT = "rt", 99 }, func(s *Side) { s.Score = 1 }, func(s *Side) { s.Score = -1 },
		func(s *Side) { s.Dynamics = []Mark{{"Great", 1, "loud"}} }, func(s *Side) { s.Dynamics = []Mark{{"Nobody", 1, "p"}} }, func(s *Side) { s.Stops = "nonsense" },
	} {
		x := p.A
		bad(&x)
		resp, data := c.send("POST", "/api/projects/"+p.ID+"/proof", x)
		require.Equal(t, 400, resp.StatusCode, "%+v: %s", x, data)
	}
}

// readTracks reads a stream to its end: the samples of each track and the frame they begin at.
func readTracks(t *testing.T, r io.Reader, tracks int) (sound [][]float32, first []int64) {
	sound, first = make([][]float32, tracks), make([]int64, tracks)
	ended := 0
	for {
		var head [16]byte
		_, err := io.ReadFull(r, head[:])
		if err == io.EOF {
			require.Equal(t, tracks, ended, "every track says that it ends")
			return sound, first
		}
		require.NoError(t, err)
		k, frames, at := binary.LittleEndian.Uint32(head[:]), binary.LittleEndian.Uint32(head[4:]), int64(binary.LittleEndian.Uint64(head[8:]))
		require.Less(t, k, uint32(tracks))
		if frames == 0 {
			ended++
			continue
		}
		if sound[k] == nil {
			first[k] = at
		}
		require.Equal(t, first[k]+int64(len(sound[k])/2), at, "no gap")
		data := make([]byte, 8*frames)
		_, err = io.ReadFull(r, data)
		require.NoError(t, err)
		for i := 0; i < len(data); i += 4 {
			sound[k] = append(sound[k], math.Float32frombits(binary.LittleEndian.Uint32(data[i:])))
		}
	}
}

// TestStreamIsTheSound compares the stream with a rendering, from the beginning and from the middle.
func TestStreamIsTheSound(t *testing.T) {
	d, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	p := c.demo("dotted")
	p.A.Room = "chapel"
	pr, _, err := d.run(context.Background(), p, p.A)
	require.NoError(t, err)
	var want []float32
	_, err = sound.Render(context.Background(), pr.Job(streamRate, false), func(b []float32) error { want = append(want, b...); return nil }, nil)
	require.NoError(t, err)
	resp, data := c.send("POST", "/api/projects/"+p.ID+"/sound", listenRequest{[]track{{Side: p.A, From: 0}, {Side: p.A, Dry: true, From: 0}, {Side: p.A, From: 15.3}}})
	require.Equal(t, 200, resp.StatusCode)
	got, first := readTracks(t, bytes.NewReader(data), 3)
	require.True(t, slices.Equal(want, got[0]), "the same samples")
	require.Equal(t, int64(15.0*streamRate), first[2], "begins at the half second before")
	// From the middle: the noise of the wind is another, and the room is filled by the lead alone, so the samples are alike, not the same.
	// Their level is, within half a decibel over a second.
	for k := range 3 {
		from := 2 * (first[2] + int64(k*streamRate))
		a, b := meanSquare(want[from:from+2*streamRate]), meanSquare(got[2][2*k*streamRate:2*(k+1)*streamRate])
		require.InDelta(t, 0, 10*math.Log10(a/b), 0.5, "second %d", k)
	}
}

func meanSquare(x []float32) float64 {
	sum := 0.0
	for _, v := range x {
		sum += float64(v) * float64(v)
	}
	return sum / float64(len(x))
}

// TestListenerLeaves: the rendering ends with its listener, and its place in the queue is free.
func TestListenerLeaves(t *testing.T) {
	d, s := newTestDesk(t, Options{MaxStreams: 1, Workers: 1})
	c := newClient(t, s)
	p := c.demo("solo")
	for range 3 {
		ctx, leave := context.WithCancel(context.Background())
		body, _ := json.Marshal(listenRequest{[]track{{Side: p.A, From: 0}, {Side: p.A, Dry: true, From: 0}}})
		q, err := http.NewRequestWithContext(ctx, "POST", s.URL+"/api/projects/"+p.ID+"/sound", bytes.NewReader(body))
		require.NoError(t, err)
		resp, err := c.Do(q)
		require.NoError(t, err)
		_, err = io.ReadFull(resp.Body, make([]byte, 1000))
		require.NoError(t, err)
		refused, _ := c.send("POST", "/api/projects/"+p.ID+"/sound", listenRequest{[]track{{Side: p.A, From: 0}}})
		require.Equal(t, 503, refused.StatusCode, "one at a time here")
		leave()
		resp.Body.Close()
		require.Eventually(t, func() bool { return len(d.streams.slots) == 0 && len(d.sounds.slots) == 0 }, 10*time.Second, 10*time.Millisecond)
	}
}

func TestMendKeepsBothScores(t *testing.T) {
	_, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	p := c.demo("drop")
	var id int
	for _, f := range c.proof(p.ID, p.A).Document.Findings {
		if f.Kind == finding.KindCoveredEntry {
			id = f.ID
		}
	}
	require.NotZero(t, id)
	resp, data := c.send("POST", "/api/projects/"+p.ID+"/mend", mendRequest{Side: p.A, Finding: id, Remedy: "release-early"}, "If-Match", `"1"`)
	require.Equal(t, 201, resp.StatusCode, string(data))
	var m mendReply
	require.NoError(t, json.Unmarshal(data, &m))
	require.True(t, m.Helps)
	require.Len(t, m.Project.Scores, 2)
	side := p.A
	side.Score = m.Score
	for _, f := range c.proof(p.ID, side).Document.Findings {
		require.False(t, f.Kind == finding.KindCoveredEntry && f.Severity == finding.Fail, "cleared: %s", f.Message)
	}
	resp, written := c.send("GET", "/api/projects/"+p.ID+"/files/a/score.mid", nil)
	require.Equal(t, 200, resp.StatusCode)
	demo, _ := demos.Piece("drop")
	require.Equal(t, demo, written, "side A still looks at the score as it came, byte by byte")
	for _, name := range []string{"report.html", "report.json", "sheet.html", "score.musicxml", "annotated", "heard.wav", "dry.wav"} {
		t.Run(name, func(t *testing.T) {
			resp, data := c.send("GET", "/api/projects/"+p.ID+"/files/a/"+name, nil)
			require.Equal(t, 200, resp.StatusCode, "%s: %.200s", name, data)
			require.Contains(t, resp.Header.Get("Content-Disposition"), "attachment")
			require.Greater(t, len(data), 1000)
		})
	}
	resp, _ = c.send("POST", "/api/projects/"+p.ID+"/mend", mendRequest{Side: p.A, Finding: id, Remedy: "release-early"}, "If-Match", `"1"`)
	require.Equal(t, 409, resp.StatusCode, "made from a state that is no longer the last")
}

// TestOwnChurch drops an exponential decay of 2 s as a measured response.
func TestOwnChurch(t *testing.T) {
	_, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	p := c.demo("drop")
	resp, data := c.send("POST", "/api/projects/"+p.ID+"/own", []byte("RIFFnothing"), "If-Match", `"1"`, "X-File-Name", "x.wav")
	require.Equal(t, 422, resp.StatusCode, string(data))
	resp, data = c.send("POST", "/api/projects/"+p.ID+"/own", decayWAV(2), "If-Match", `"1"`, "X-File-Name", "St%20Nowhere.wav")
	require.Equal(t, 201, resp.StatusCode, string(data))
	side := p.A
	side.Room = "own"
	resp, data = c.send("POST", "/api/projects/"+p.ID+"/proof", side)
	require.Equal(t, 200, resp.StatusCode, string(data))
	var r struct {
		Document struct {
			Room struct {
				RT60 map[string]float64 `json:"rt60_s"`
			} `json:"room"`
		} `json:"document"`
	}
	require.NoError(t, json.Unmarshal(data, &r))
	require.InDelta(t, 2, r.Document.Room.RT60["1000"], 0.1)
}

// decayWAV is noise that falls by 60 dB in rt s, 16 bits mono at 24 kHz.
func decayWAV(rt float64) []byte {
	const rate = 24000
	n := int(1.2 * rt * rate)
	data := make([]byte, 0, 44+2*n)
	data = append(data, "RIFF"...)
	data = binary.LittleEndian.AppendUint32(data, uint32(36+2*n))
	data = append(data, "WAVEfmt "...)
	for _, v := range []uint32{16, 1 | 1<<16, rate, 2 * rate, 2 | 16<<16} {
		data = binary.LittleEndian.AppendUint32(data, v)
	}
	data = append(data, "data"...)
	data = binary.LittleEndian.AppendUint32(data, uint32(2*n))
	state := uint32(1)
	for i := range n {
		state = state*1664525 + 1013904223
		noise := float64(int32(state)) / (1 << 31)
		data = binary.LittleEndian.AppendUint16(data, uint16(int16(30000*noise*math.Pow(10, -3*float64(i)/rate/rt))))
	}
	return data
}
