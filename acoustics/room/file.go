package room

import (
	"bytes"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"afterchord/acoustics/impulse"
	"afterchord/acoustics/internal/limited"

	"github.com/pelletier/go-toml/v2"
)

const maxRoomFile = 1 << 20 // bytes, far beyond any room description

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
	data, err := limited.ReadFile(path, maxRoomFile)
	if err != nil {
		return nil, err
	}
	r, response, err := parseRoom(data, path)
	if err != nil || response == "" {
		return r, err
	}
	wav := response
	if !filepath.IsAbs(wav) {
		wav = filepath.Join(filepath.Dir(path), wav)
	}
	resp, err := impulse.Read(wav)
	if err != nil {
		return nil, &FormatError{path, lineOf(data, "", 0, "response"), err}
	}
	measured, err := FromResponse(resp, r.Name)
	if err != nil {
		return nil, &FormatError{path, lineOf(data, "", 0, "response"), fmt.Errorf("%s: %w", wav, err)}
	}
	return r.withMeasured(measured, response), nil
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

func parseRoom(data []byte, file string) (*Room, string, error) {
	if len(data) > maxRoomFile {
		return nil, "", &FormatError{file, 0, fmt.Errorf("larger than %d bytes", maxRoomFile)}
	}
	var doc roomDoc
	dec := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields()
	if err := dec.Decode(&doc); err != nil {
		return nil, "", tomlError(file, err)
	}
	at := func(table string, n int, key string, err error) error {
		return &FormatError{file, lineOf(data, table, n, key), err}
	}
	if doc.Name == "" {
		doc.Name = strings.TrimSuffix(filepath.Base(file), filepath.Ext(file))
	}
	plan := Plan{Name: doc.Name, Title: doc.Title, People: doc.People,
		TempC: value(doc.Temperature, defaultTempC), Humidity: value(doc.Humidity, defaultHumidity)}
	if plan.Title == "" {
		plan.Title = doc.Name
	}
	if err := checkClimate(plan.TempC, plan.Humidity); err != nil {
		return nil, "", at("", 0, keyOf(err, "name"), err)
	}
	switch doc.Formula {
	case "", "sabine":
	case "eyring":
		plan.Eyring = true
	default:
		return nil, "", at("", 0, "formula", fmt.Errorf("formula %q: give \"sabine\" or \"eyring\"", doc.Formula))
	}
	if err := doc.size(&plan); err != nil {
		return nil, "", at("", 0, keyOf(err, "size"), err)
	}
	for i, s := range doc.Surface {
		surface, err := s.surface()
		if err != nil {
			return nil, "", at("surface", i, "material", err)
		}
		plan.Surfaces = append(plan.Surfaces, surface)
	}
	r, key, err := doc.room(plan)
	if err != nil {
		table := ""
		if key == "rt60" {
			table, key = "rt60", ""
		}
		if key == "surface" {
			table, key = "surface", ""
		}
		return nil, "", at(table, 0, key, err)
	}
	if err := doc.seats(r, at); err != nil {
		return nil, "", err
	}
	if doc.Noise != nil {
		if r.NoiseDB, err = bandsOf(doc.Noise, "noise", -20, 110); err != nil {
			return nil, "", at("noise", 0, "", err)
		}
	}
	if doc.Slow != nil {
		if err := doc.Slow.apply(r); err != nil {
			return nil, "", at("slow", 0, "", err)
		}
	}
	r.Cautions = doc.Cautions
	r.Seed = defaultSeed
	if doc.Seed != nil {
		r.Seed = *doc.Seed
	}
	return r, doc.Response, nil
}
