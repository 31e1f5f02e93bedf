package acoustics

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"afterchord/acoustics/geometry"
	"afterchord/acoustics/octave"

	"github.com/pelletier/go-toml/v2"
)

// maxRoomFile is far beyond any room description, bytes.
const maxRoomFile = 1 << 20

// roomDoc is a room file as FORMAT.md describes it.
type roomDoc struct {
	Name        string             `toml:"name"`
	Title       string             `toml:"title"`
	Volume      *float64           `toml:"volume"`
	Size        []float64          `toml:"size"`
	Temperature *float64           `toml:"temperature"`
	Humidity    *float64           `toml:"humidity"`
	RT          *float64           `toml:"rt"`
	RT60        map[string]float64 `toml:"rt60"`
	People      int                `toml:"people"`
	Formula     string             `toml:"formula"`
	Response    string             `toml:"response"`
	Seed        *int64             `toml:"seed"`
	Noise       map[string]float64 `toml:"noise"`
	Surface     []surfaceDoc       `toml:"surface"`
	Seat        []seatDoc          `toml:"seat"`
	Slow        *slowDoc           `toml:"slow"`
}

type surfaceDoc struct {
	Material   string             `toml:"material"`
	Area       float64            `toml:"area"`
	Absorption map[string]float64 `toml:"absorption"`
}

type seatDoc struct {
	Name string    `toml:"name"`
	At   []float64 `toml:"at"`
}

type slowDoc struct {
	Level float64            `toml:"level"`
	RT    *float64           `toml:"rt"`
	RT60  map[string]float64 `toml:"rt60"`
}

// LoadRoom reads a room file (TOML) or a measured impulse response (WAV). A room file's
// response is looked for beside the file.
func LoadRoom(path string) (*Room, error) {
	if strings.EqualFold(filepath.Ext(path), ".wav") {
		resp, err := ReadResponse(path)
		if err != nil {
			return nil, err
		}
		r, err := RoomFromResponse(resp, strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		r.ResponseFile = path
		return r, nil
	}
	data, err := readLimited(path, maxRoomFile)
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
	resp, err := ReadResponse(wav)
	if err != nil {
		return nil, fmt.Errorf("%s:%d: %w", path, lineOf(data, "", 0, "response"), err)
	}
	measured, err := RoomFromResponse(resp, r.Name)
	if err != nil {
		return nil, fmt.Errorf("%s:%d: %s: %w", path, lineOf(data, "", 0, "response"), wav, err)
	}
	return r.withMeasured(measured, response), nil
}

// readLimited reads a file of at most limit bytes.
func readLimited(path string, limit int64) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fileError(path, err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, limit+1))
	if err != nil {
		return nil, fileError(path, err)
	}
	if int64(len(data)) > limit {
		return nil, fmt.Errorf("%s: larger than %d bytes", path, limit)
	}
	return data, nil
}

// fileError says a file error with the path once: "x.toml: no such file or directory".
func fileError(path string, err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		err = pe.Err
	}
	return fmt.Errorf("%s: %w", path, err)
}

// ParseRoom reads a room description (see FORMAT.md); file is its name in
// messages, which are one line, "file:line: what is wrong". It reads no other file: a description
// that names a response is for [LoadRoom].
func ParseRoom(data []byte, file string) (*Room, error) {
	r, response, err := parseRoom(data, file)
	if err == nil && response != "" {
		return nil, fmt.Errorf("%s:%d: response: a measured response can be used only from a room file on disk",
			file, lineOf(data, "", 0, "response"))
	}
	return r, err
}

func parseRoom(data []byte, file string) (*Room, string, error) {
	if len(data) > maxRoomFile {
		return nil, "", fmt.Errorf("%s: larger than %d bytes", file, maxRoomFile)
	}
	var doc roomDoc
	dec := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields()
	if err := dec.Decode(&doc); err != nil {
		return nil, "", tomlError(file, err)
	}
	at := func(table string, n int, key string, err error) error {
		return fmt.Errorf("%s:%d: %w", file, lineOf(data, table, n, key), err)
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
		return nil, "", at("", 0, strings.Fields(err.Error())[0], err)
	}
	switch doc.Formula {
	case "", "sabine":
	case "eyring":
		plan.Eyring = true
	default:
		return nil, "", at("", 0, "formula", fmt.Errorf("formula %q: give \"sabine\" or \"eyring\"", doc.Formula))
	}
	if err := doc.size(&plan); err != nil {
		key := "size"
		if strings.HasPrefix(err.Error(), "volume") {
			key = "volume"
		}
		return nil, "", at("", 0, key, err)
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
	r.Seed = defaultSeed
	if doc.Seed != nil {
		r.Seed = *doc.Seed
	}
	return r, doc.Response, nil
}

// size takes volume and size, either of which gives the other.
func (doc *roomDoc) size(plan *Plan) error {
	if doc.Size != nil {
		if len(doc.Size) != 3 {
			return fmt.Errorf("size: %d numbers: give length, width and height in m", len(doc.Size))
		}
		copy(plan.SizeM[:], doc.Size)
		if err := checkSize(plan.SizeM); err != nil {
			return err
		}
		plan.VolumeM3 = plan.SizeM[0] * plan.SizeM[1] * plan.SizeM[2]
	}
	if doc.Volume != nil {
		if err := checkVolume(*doc.Volume); err != nil {
			return err
		}
		plan.VolumeM3 = *doc.Volume
	}
	return nil
}

// room is made from surfaces, from a time per octave band or from one time, in that order of
// detail; giving two of them is an error. The string names the key at fault.
func (doc *roomDoc) room(plan Plan) (*Room, string, error) {
	ways := 0
	for _, given := range []bool{len(doc.Surface) > 0, doc.RT60 != nil, doc.RT != nil} {
		if given {
			ways++
		}
	}
	if ways > 1 {
		return nil, "rt", errors.New("give surfaces, [rt60] or rt, one of the three")
	}
	switch {
	case len(doc.Surface) > 0:
		if plan.VolumeM3 == 0 {
			return nil, "surface", errors.New("surfaces need a volume or a size")
		}
		r, err := plan.Room()
		return r, "surface", err
	case doc.RT60 != nil:
		t, err := bandsOf(doc.RT60, "rt60", 0.05, 2*MaxRT60)
		if err != nil {
			return nil, "rt60", err
		}
		r, err := FromRT(min(MaxRT60, max(MinRT60, (t[4]+t[5])/2)))
		if err != nil {
			return nil, "rt60", err
		}
		plan.dress(r)
		r.RT60 = t
		return r, "", nil
	case doc.RT != nil:
		r, err := FromRT(*doc.RT)
		if err != nil {
			return nil, "rt", err
		}
		plan.dress(r)
		r.RT60 = ChurchCurve(*doc.RT, r.TempC, r.Humidity)
		return r, "", nil
	case doc.Response != "":
		r, err := FromRT(2) // replaced by what the response measures
		if err != nil {
			return nil, "response", err
		}
		plan.dress(r)
		if plan.VolumeM3 == 0 {
			r.VolumeM3 = 0
		}
		r.RT60 = octave.Bands{}
		return r, "", nil
	}
	return nil, "name", errors.New("how long does it ring? give surfaces, [rt60], rt or response")
}

// dress puts the plan's name, climate and size on a room that came from a time.
func (p Plan) dress(r *Room) {
	r.Name, r.Title, r.TempC, r.Humidity = p.Name, p.Title, p.TempC, p.Humidity
	if p.VolumeM3 != 0 {
		r.VolumeM3 = p.VolumeM3
		r.SizeM = churchSize(p.VolumeM3)
	}
	if p.SizeM != ([3]float64{}) {
		r.SizeM = p.SizeM
	}
	r.Seats = defaultSeats(r.SizeM)
}

func (s surfaceDoc) surface() (Surface, error) {
	if s.Absorption != nil {
		alpha, err := bandsOf(s.Absorption, "absorption", 0, 1)
		if err != nil {
			return Surface{}, fmt.Errorf("surface %q: %w", s.Material, err)
		}
		out := Surface{s.Material, s.Area, alpha}
		return out, out.check()
	}
	m, err := FindMaterial(s.Material)
	if err != nil {
		return Surface{}, err
	}
	out := Surface{m.Name, s.Area, m.Alpha}
	return out, out.check()
}

// seats replaces the default seats where the file names its own; a console is kept.
func (doc *roomDoc) seats(r *Room, at func(string, int, string, error) error) error {
	if doc.Seat == nil {
		return nil
	}
	const maxSeats = 100
	if len(doc.Seat) > maxSeats {
		return at("seat", maxSeats, "", fmt.Errorf("more than %d seats", maxSeats))
	}
	console := r.Seats[0]
	var seats []Seat
	for i, s := range doc.Seat {
		name := strings.ToLower(strings.TrimSpace(s.Name))
		if name == "" || len(s.At) != 3 {
			return at("seat", i, "", errors.New("a seat needs a name and at = [right, from the organ, up] in m"))
		}
		for _, other := range seats {
			if other.Name == name {
				return at("seat", i, "name", fmt.Errorf("seat %q is there twice", name))
			}
		}
		p := geometry.Point{X: s.At[0], Y: s.At[1], Z: s.At[2]}
		if !(p.X >= -r.SizeM[1]/2 && p.X <= r.SizeM[1]/2 && p.Y >= -20 && p.Y <= r.SizeM[0] && p.Z >= 0 && p.Z <= r.SizeM[2]) {
			return at("seat", i, "at", fmt.Errorf("seat %q lies outside the room of %.1f x %.1f x %.1f m",
				name, r.SizeM[0], r.SizeM[1], r.SizeM[2]))
		}
		seats = append(seats, Seat{name, p})
	}
	has := func(name string) bool {
		for _, s := range seats {
			if s.Name == name {
				return true
			}
		}
		return false
	}
	if !has("console") {
		seats = append([]Seat{console}, seats...)
	}
	r.Seats = seats
	return nil
}

func (s *slowDoc) apply(r *Room) error {
	if !(s.Level <= 0 && s.Level >= -60) {
		return fmt.Errorf("slow: level %v dB: give a number from -60 to 0", s.Level)
	}
	slow := &SlowDecay{LevelDB: s.Level}
	switch {
	case s.RT60 != nil:
		t, err := bandsOf(s.RT60, "slow.rt60", 0.05, 2*MaxRT60)
		if err != nil {
			return err
		}
		slow.RT60 = t
	case s.RT != nil:
		if !(*s.RT >= MinRT60 && *s.RT <= MaxRT60) {
			return fmt.Errorf("slow: rt %v s: give seconds from %g to %g", *s.RT, MinRT60, MaxRT60)
		}
		slow.RT60 = ChurchCurve(*s.RT, r.TempC, r.Humidity)
	default:
		return errors.New("slow: give rt or [slow.rt60]")
	}
	r.Slow = slow
	return nil
}

func value(p *float64, fallback float64) float64 {
	if p == nil {
		return fallback
	}
	return *p
}

// bandsOf reads a table of octave bands ("31.5", "63", … "8000"). Bands that are not
// given take the nearest given one's value, the lower of two equally near.
func bandsOf(table map[string]float64, what string, lo, hi float64) (octave.Bands, error) {
	var out octave.Bands
	var given [octave.N]bool
	for _, key := range sortedKeys(table) {
		v := table[key]
		hz, err := strconv.ParseFloat(key, 64)
		band := -1
		for i, c := range octave.Centres {
			if err == nil && hz == c {
				band = i
			}
		}
		if band < 0 {
			return out, fmt.Errorf("%s: %q is no octave band: give 31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000", what, key)
		}
		if !(v >= lo && v <= hi) {
			return out, fmt.Errorf("%s: %v at %s Hz: give a number from %g to %g", what, v, key, lo, hi)
		}
		out[band], given[band] = v, true
	}
	if len(table) == 0 {
		return out, fmt.Errorf("%s: no octave band given", what)
	}
	filled := out
	for i := range filled {
		for d := 0; !given[i] && d < octave.N; d++ {
			if i-d >= 0 && given[i-d] {
				filled[i] = out[i-d]
				break
			}
			if i+d < octave.N && given[i+d] {
				filled[i] = out[i+d]
				break
			}
		}
	}
	return filled, nil
}
