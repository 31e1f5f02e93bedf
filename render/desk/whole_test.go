package desk

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestWholeProject keeps a project as one file and opens it at another desk, where it sounds the same.
func TestWholeProject(t *testing.T) {
	d, s := newTestDesk(t, Options{})
	c := newClient(t, s)
	p := c.demo("drop")
	_, err := d.store.Update(p.ID, p.Version, func(p *Project) error {
		p.Name, p.A.Room = "Lesson 3", "abbey"
		return nil
	})
	require.NoError(t, err)
	resp, file := c.send("GET", "/api/projects/"+p.ID+"/whole", nil)
	require.Equal(t, 200, resp.StatusCode)
	require.Contains(t, resp.Header.Get("Content-Disposition"), `"Lesson 3.afterchord.zip"`)

	_, other := newTestDesk(t, Options{})
	there := newClient(t, other)
	resp, data := there.send("POST", "/api/projects", file, "X-File-Name", "Lesson%203.afterchord.zip")
	require.Equal(t, 201, resp.StatusCode, string(data))
	var got Project
	require.NoError(t, json.Unmarshal(data, &got))
	require.NotEqual(t, p.ID, got.ID)
	require.Equal(t, "Lesson 3", got.Name)
	require.Equal(t, "abbey", got.A.Room)
	require.Equal(t, c.proof(p.ID, got.A).Document.Findings, there.proof(got.ID, got.A).Document.Findings)

	for _, x := range []struct {
		name   string
		change func(state map[string]any, files map[string][]byte)
		says   string
	}{
		{"a file outside", func(state map[string]any, _ map[string][]byte) {
			state["scores"].([]any)[0].(map[string]any)["file"] = "../../etc/passwd"
		}, "cannot be called"},
		{"a missing file", func(_ map[string]any, files map[string][]byte) { delete(files, "score-1.mid") }, "is missing"},
		{"a room that is not there", func(state map[string]any, _ map[string][]byte) {
			state["a"].(map[string]any)["room"] = "palace"
		}, `there is no room "palace"`},
		{"a score that is none", func(_ map[string]any, files map[string][]byte) { files["score-1.mid"] = []byte("MThd") }, "Lesson.zip"},
		{"a score made from one that is not there", func(state map[string]any, _ map[string][]byte) {
			state["scores"].([]any)[0].(map[string]any)["from"] = 7
		}, "was made from score 7"},
		{"no scores", func(state map[string]any, _ map[string][]byte) { state["scores"] = []any{} }, "names 0 scores"},
	} {
		t.Run(x.name, func(t *testing.T) {
			resp, data := there.send("POST", "/api/projects", changed(t, file, x.change), "X-File-Name", "Lesson.zip")
			require.Equal(t, 422, resp.StatusCode, string(data))
			require.Contains(t, string(data), jsonText(x.says))
			require.NotContains(t, string(data), `\n`)
		})
	}
}

// jsonText is a text as it is in JSON.
func jsonText(s string) string {
	b, _ := json.Marshal(s)
	return string(b[1 : len(b)-1])
}

// changed is an archive with another state or other files.
func changed(t *testing.T, file []byte, change func(map[string]any, map[string][]byte)) []byte {
	z, err := zip.NewReader(bytes.NewReader(file), int64(len(file)))
	require.NoError(t, err)
	left := int64(maxWhole)
	files := map[string][]byte{}
	for _, f := range z.File {
		files[f.Name], err = unzipped(z, f.Name, &left)
		require.NoError(t, err)
	}
	var state map[string]any
	require.NoError(t, json.Unmarshal(files[stateName], &state))
	change(state, files)
	files[stateName], err = json.Marshal(state)
	require.NoError(t, err)
	var b bytes.Buffer
	out := zip.NewWriter(&b)
	for name, data := range files {
		w, err := out.Create(name)
		require.NoError(t, err)
		_, err = w.Write(data)
		require.NoError(t, err)
	}
	require.NoError(t, out.Close())
	return b.Bytes()
}
