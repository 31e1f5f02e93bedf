package room

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"afterchord/acoustics/impulse"
	"afterchord/acoustics/internal/limited"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/tomlread"
)

// MaxFile is the largest room file that is read, bytes: a minute of stereo sound inside.
const MaxFile = 24 << 20

// Load reads a room file (TOML) or a measured impulse response (WAV). A room file's
// response is looked for beside the file.
func Load(path string) (*Room, error) {
	if strings.EqualFold(filepath.Ext(path), ".wav") {
		resp, err := impulse.Read(path)
		if err != nil {
			return nil, err
		}
		r, err := FromResponse(resp, strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		r.ResponseFile = path
		return r, nil
	}
	data, err := limited.ReadFile(path, MaxFile)
	if err != nil {
		return nil, err
	}
	r, response, err := parseRoom(data, path)
	if err != nil || response == "" {
		return r, err
	}
	wav := beside(path, response)
	resp, err := impulse.Read(wav)
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			err = fmt.Errorf("response: there is no %s; put the recording there, or name it as it is called", wav)
		}
		return nil, &FormatError{path, lineOf(data, "", 0, "response"), err}
	}
	measured, err := FromResponse(resp, r.Name)
	if err != nil {
		return nil, &FormatError{path, lineOf(data, "", 0, "response"), fmt.Errorf("%s: %w", wav, err)}
	}
	return r.withMeasured(measured, response), nil
}

// Recording is the recording that the room file at path names, "" where it names none or is no room file.
func Recording(path string) string {
	data, err := limited.ReadFile(path, MaxFile)
	if err != nil {
		return ""
	}
	_, response, err := parseRoom(data, path)
	if err != nil || response == "" {
		return ""
	}
	return beside(path, response)
}

// beside is a file as the room file at path names it.
func beside(path, name string) string {
	if filepath.IsAbs(name) {
		return name
	}
	return filepath.Join(filepath.Dir(path), name)
}

// Parse reads a room description (see FORMAT.md); file is its name in
// messages, which are one line, "file:line: what is wrong". It reads no other file: a description
// that names a response is for [Load].
func Parse(data []byte, file string) (*Room, error) {
	r, response, err := parseRoom(data, file)
	if err == nil && response != "" {
		return nil, &FormatError{file, lineOf(data, "", 0, "response"),
			errors.New("response: a measured response can be used only from a room file on disk")}
	}
	return r, err
}

// Check names every mistake in a room description, in the order of its lines; none where [Parse] takes it. The
// response that a description names is not read.
func Check(data []byte, file string) []*FormatError {
	_, _, faults := examine(data, file)
	slices.SortStableFunc(faults, func(a, b *FormatError) int { return cmp.Compare(a.Line, b.Line) })
	return faults
}

// parseRoom gives the first mistake.
func parseRoom(data []byte, file string) (*Room, string, error) {
	r, response, faults := examine(data, file)
	if len(faults) > 0 {
		return nil, "", faults[0]
	}
	return r, response, nil
}

// examine reads a room description as far as its mistakes let it; the room is nil where there are any.
func examine(data []byte, file string) (*Room, string, []*FormatError) {
	if len(data) > MaxFile {
		return nil, "", []*FormatError{{file, 0, fmt.Errorf("larger than %d bytes", MaxFile)}}
	}
	var doc roomDoc
	faults, readable := decode(data, file, &doc)
	if !readable {
		return nil, "", faults
	}
	at := func(table string, n int, key string, err error) {
		faults = append(faults, &FormatError{file, lineOf(data, table, n, key), err})
	}
	if doc.Name == "" {
		doc.Name = strings.TrimSuffix(filepath.Base(file), filepath.Ext(file))
	}
	before := len(faults)
	plan := doc.plan(at)
	sound := len(faults) == before
	r, table, key, err := doc.room(plan)
	if err != nil {
		if sound || table != "surface" { // what surfaces give follows from what is wrong above
			at(table, 0, key, err)
		}
		sound = false
		r, _ = FromRT(2) // the rest of the file is looked at all the same
	}
	if !sound {
		r.SizeM = [3]float64{500, 1000, 500} // no seat lies outside a room of which the size is not known
	}
	doc.seats(r, at)
	if doc.Noise != nil {
		if r.NoiseDB, err = bandsOf(doc.Noise, "noise", -20, 110); err != nil {
			at("", 0, keyOf(err, "noise"), err)
		}
	}
	if doc.Slow != nil {
		if err := doc.Slow.apply(r); err != nil {
			at("slow", 0, "", err)
		}
	}
	switch doc.Kind {
	case "", "church":
	case "hall":
		r.ConcertHall = true
	default:
		at("", 0, "kind", fmt.Errorf("kind %q: give \"church\" or \"hall\"", doc.Kind))
	}
	r.Cautions = append(slices.Clip(doc.Cautions), r.Cautions...)
	for _, hz := range doc.Unsure {
		if !slices.Contains(octave.Centres[:], hz) {
			at("", 0, "unsure", fmt.Errorf("unsure: %g Hz is no octave band; give some of 31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000", hz))
		}
	}
	r.UnsureHz = doc.Unsure
	if doc.Recording != nil && doc.Response != "" {
		at("", 0, "response", errors.New("response: the file has a [recording]; leave out one of the two"))
	}
	r.Seed = defaultSeed
	if doc.Seed != nil {
		r.Seed = *doc.Seed
	}
	if len(faults) > 0 {
		return nil, "", faults
	}
	if doc.Recording == nil {
		return r, doc.Response, nil
	}
	measured, err := doc.Recording.room(r.Name)
	if err != nil {
		at("recording", 0, "wav", err)
		return nil, "", faults
	}
	return r.withMeasured(measured, ""), "", nil
}

// decode fills doc; readable says whether what is in it can be looked at further.
func decode(data []byte, file string, doc *roomDoc) (faults []*FormatError, readable bool) {
	readable = true
	for _, e := range tomlread.Mistakes(data, doc) {
		faults = append(faults, &FormatError{file, e.Line, errors.New(e.Text())})
		readable = readable && e.Key != "" // a key that is not known is no obstacle
	}
	return faults, readable
}
