package desk

import (
	"bytes"
	"context"
	"crypto/subtle"
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"time"

	"afterchord/acoustics/atomicfile"
)

// announcement is Store's folder/running.json: where the desk on this folder answers. Who can read the folder may
// have that desk open a score, which takes the key; a page in a browser never can.
type announcement struct {
	Address string `json:"address"` // ends in /
	Key     string `json:"key"`
	Owner
}

// Owner is a desk that has a folder.
type Owner struct {
	Host    string    `json:"host,omitempty"`
	Process int       `json:"process,omitempty"`
	Since   time.Time `json:"since,omitzero"`
}

const (
	runningFile = "running.json"
	keyHeader   = "X-Desk-Key"
)

// Announce lets [Running] find this desk at address. Call end when the desk no longer answers.
func (d *Desk) Announce(address string) (end func(), err error) {
	a := announcement{Address: address, Key: newToken(16), Owner: Owner{Process: os.Getpid(), Since: time.Now().UTC().Truncate(time.Second)}}
	a.Host, _ = os.Hostname()
	data, err := json.Marshal(a)
	if err != nil {
		return nil, err
	}
	file := filepath.Join(d.opt.Dir, runningFile)
	// An empty file that only its owner may read comes first: what replaces it is as private.
	if f, err := os.OpenFile(file, os.O_CREATE, 0o600); err == nil {
		f.Close()
	}
	if err := atomicfile.WriteFile(file, append(data, '\n'), atomicfile.Recomputable); err != nil {
		return nil, shelfError(err)
	}
	d.key = a.Key
	return func() {
		if now, err := readAnnouncement(d.opt.Dir); err == nil && now.Key == a.Key {
			os.Remove(file)
		}
	}, nil
}

func readAnnouncement(dir string) (a announcement, err error) {
	data, err := os.ReadFile(filepath.Join(dir, runningFile))
	if err == nil {
		err = json.Unmarshal(data, &a)
	}
	return a, err
}

// openRequest asks a running desk for a page.
type openRequest struct {
	Score string `json:"score"` // path of a score to follow; "" for none
}

// Running looks for a desk that answers for the folder dir and has it follow the score ("" for none). It gives
// the address of the page to look at. A desk that was killed is not found.
func Running(ctx context.Context, dir, score string) (page string, found bool, err error) {
	a, err := readAnnouncement(dir)
	if err != nil || !strings.HasPrefix(a.Address, "http://127.0.0.1:") {
		return "", false, nil
	}
	body, err := json.Marshal(openRequest{Score: score})
	if err != nil {
		return "", false, err
	}
	ctx, cancel := context.WithTimeout(ctx, 5*time.Second)
	defer cancel()
	q, err := http.NewRequestWithContext(ctx, http.MethodPost, a.Address+"api/open", bytes.NewReader(body))
	if err != nil {
		return "", false, nil
	}
	q.Header.Set(keyHeader, a.Key)
	r, err := http.DefaultClient.Do(q)
	if err != nil {
		return "", false, nil // nobody there
	}
	defer r.Body.Close()
	var reply struct {
		Page  string `json:"page"`
		Error string `json:"error"`
	}
	if json.NewDecoder(r.Body).Decode(&reply) != nil || r.StatusCode == http.StatusForbidden || r.StatusCode == http.StatusNotFound {
		return "", false, nil // another program has the port now
	}
	if r.StatusCode != http.StatusOK {
		return "", false, fmt.Errorf("the running desk: %s", reply.Error)
	}
	return a.Address + reply.Page, true, nil
}

// leave is how another start of the program takes the projects over: who runs this desk ends it (see [Desk.Left]).
func (d *Desk) leave(w http.ResponseWriter, r *http.Request) error {
	if err := d.known(r); err != nil {
		return err
	}
	d.leaving.Do(func() { close(d.left) })
	writeJSON(w, http.StatusOK, map[string]bool{"left": true})
	return nil
}

// Left is closed when another start of the program has taken the projects over.
func (d *Desk) Left() <-chan struct{} { return d.left }

// known refuses who does not have the key of this desk.
func (d *Desk) known(r *http.Request) error {
	if d.key == "" || subtle.ConstantTimeCompare([]byte(r.Header.Get(keyHeader)), []byte(d.key)) != 1 {
		return problemf(http.StatusForbidden, "that is not the key of this desk")
	}
	return nil
}

// openFile is how another start of the program opens a score here.
func (d *Desk) openFile(w http.ResponseWriter, r *http.Request) error {
	if err := d.known(r); err != nil {
		return err
	}
	var in openRequest
	if err := readJSON(w, r, &in); err != nil {
		return err
	}
	page := ""
	if in.Score != "" {
		id, err := d.Follow(in.Score)
		if err != nil {
			return err
		}
		page = "#" + id
	}
	writeJSON(w, http.StatusOK, map[string]string{"page": page})
	return nil
}
