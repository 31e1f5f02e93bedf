package desk

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"slices"
)

// A project can be kept as one file: a ZIP archive of project.json and the files that it names. It opens at any
// desk, as a new project.
const (
	wholeExt  = ".afterchord.zip"
	stateName = "project.json"
	maxWhole  = 256 << 20 // bytes of all files of an archive, unpacked
)

// names are the files of a project.
func (p *Project) names() []string {
	var out []string
	for _, s := range p.Scores {
		out = append(out, s.File)
	}
	for _, mine := range []*OwnFile{p.Response, p.Organ} {
		if mine != nil {
			out = append(out, mine.File)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// whole gives a project as one file.
func (d *Desk) whole(w http.ResponseWriter, r *http.Request) error {
	p, err := d.store.Get(r.PathValue("id"))
	if err != nil {
		return err
	}
	if err := d.files.enter(r.Context()); err != nil {
		return err
	}
	defer d.files.leave()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	add := func(name string, data []byte) error {
		f, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: p.Saved})
		if err == nil {
			_, err = f.Write(data)
		}
		return err
	}
	state, err := json.MarshalIndent(p, "", " ")
	if err != nil {
		return err
	}
	if err := add(stateName, append(state, '\n')); err != nil {
		return err
	}
	for _, name := range p.names() {
		data, err := d.store.Read(p.ID, name)
		if err != nil {
			return err
		}
		if err := add(name, data); err != nil {
			return err
		}
	}
	if err := z.Close(); err != nil {
		return err
	}
	sendFile(w, p.Name, wholeExt, b.Bytes())
	return nil
}

// wholeProject tells whether data is a project kept as one file; a compressed score is a ZIP archive too.
func wholeProject(data []byte) (*zip.Reader, bool) {
	if !bytes.HasPrefix(data, []byte("PK")) {
		return nil, false
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, false
	}
	return z, slices.ContainsFunc(z.File, func(f *zip.File) bool { return f.Name == stateName })
}

// openWhole makes a project of one that was kept as one file.
func (d *Desk) openWhole(z *zip.Reader, shown string) (*Project, error) {
	wrong := func(err error) error {
		return problemf(http.StatusUnprocessableEntity, "%s is not a whole project: %w", shown, err)
	}
	left := int64(maxWhole)
	state, err := unzipped(z, stateName, &left)
	if err != nil {
		return nil, wrong(err)
	}
	var p Project
	if err := json.Unmarshal(state, &p); err != nil {
		return nil, wrong(plainJSON(err))
	}
	if err := p.whole(); err != nil {
		return nil, wrong(err)
	}
	files := map[string][]byte{}
	for _, name := range p.names() {
		if files[name], err = unzipped(z, name, &left); err != nil {
			return nil, wrong(err)
		}
	}
	for i, s := range p.Scores {
		if _, _, err := readPiece(files[s.File], s.Shown); err != nil {
			return nil, wrong(err)
		}
		p.Scores[i].Shown, p.Scores[i].Why = cleanName(s.Shown), cleanText(s.Why, 500)
	}
	if p.Response != nil {
		if _, err := readRoom(files[p.Response.File], p.Response.Shown); err != nil {
			return nil, wrong(err)
		}
	}
	if p.Organ != nil {
		if _, err := readOrgan(files[p.Organ.File], p.Organ.Shown); err != nil {
			return nil, wrong(err)
		}
	}
	if err := d.store.Adopt(&p, files); err != nil {
		return nil, err
	}
	return &p, nil
}

// unzipped is a file of an archive, of no more bytes than are left.
func unzipped(z *zip.Reader, name string, left *int64) ([]byte, error) {
	f, err := z.Open(name)
	if err != nil {
		return nil, fmt.Errorf("%s is missing", name)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, *left+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if *left -= int64(len(data)); *left < 0 {
		return nil, errors.New("it is larger than can be opened")
	}
	return data, nil
}
