package desk

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/demos"
)

// FuzzOpenWhole opens projects whose state was changed by anybody: they are refused in one line, or can be worked on.
func FuzzOpenWhole(f *testing.F) {
	score, _ := demos.Piece("drop")
	d, err := New(Options{Dir: f.TempDir()})
	require.NoError(f, err)
	p := &Project{Name: "a", A: firstSide(), Active: "a", Scores: []ScoreFile{{File: "score-1.mid", Shown: "drop.mid"}}}
	for _, change := range []func(){
		func() {},
		func() { b := p.A; b.Room, b.RT, b.Tempo, p.B = "rt", 3.5, 0.8, &b },
		func() { p.A.Stops, p.A.Assign = "bar 1: Gt 8' flutes", map[string]string{"Great": "Swell"} },
		func() { p.A.Dynamics = []Mark{{Part: "Great", Bar: 3, Dynamic: "pp"}} },
		func() {
			p.Past = []Past{{A: firstSide()}}
			p.Scores = append(p.Scores, ScoreFile{File: "score-1.mid", From: 0})
		},
	} {
		change()
		state, err := json.Marshal(p)
		require.NoError(f, err)
		f.Add(state)
	}
	f.Fuzz(func(t *testing.T, state []byte) {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		for name, data := range map[string][]byte{stateName: state, "score-1.mid": score} {
			w, err := z.Create(name)
			require.NoError(t, err)
			_, err = w.Write(data)
			require.NoError(t, err)
		}
		require.NoError(t, z.Close())
		archive, ok := wholeProject(b.Bytes())
		require.True(t, ok)
		p, err := d.openWhole(archive, "a.zip")
		if err != nil {
			refusedInALine(t, err)
			return
		}
		defer func() { require.NoError(t, d.store.shelf.Remove(p.ID)) }()
		for _, side := range []*Side{&p.A, p.B} {
			if side == nil {
				continue
			}
			if _, _, err := d.input(p, *side); err != nil {
				refusedInALine(t, err)
			}
		}
	})
}

func refusedInALine(t *testing.T, err error) {
	t.Helper()
	require.NotContains(t, err.Error(), "\n")
	var whose problem
	require.ErrorAs(t, err, &whose)
	require.Less(t, whose.status, http.StatusInternalServerError)
}
