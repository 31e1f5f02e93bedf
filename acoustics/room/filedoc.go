package room

import (
	"errors"
	"fmt"

	"afterchord/acoustics/octave"
)

// roomDoc is a room file as FORMAT.md describes it.
type roomDoc struct {
	Name        string             `toml:"name"`
	Title       string             `toml:"title"`
	Kind        string             `toml:"kind"`
	Volume      *float64           `toml:"volume"`
	Size        []float64          `toml:"size"`
	Temperature *float64           `toml:"temperature"`
	Humidity    *float64           `toml:"humidity"`
	RT          *float64           `toml:"rt"`
	RT60        map[string]float64 `toml:"rt60"`
	People      int                `toml:"people"`
	Formula     string             `toml:"formula"`
	Response    string             `toml:"response"`
	Cautions    []string           `toml:"cautions"`
	Unsure      []float64          `toml:"unsure"`
	Seed        *int64             `toml:"seed"`
	Noise       map[string]float64 `toml:"noise"`
	Surface     []surfaceDoc       `toml:"surface"`
	Seat        []seatDoc          `toml:"seat"`
	Slow        *slowDoc           `toml:"slow"`
	Recording   *recordingDoc      `toml:"recording"`
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

// place says where in a file something is wrong: the key of the n-th table of a name ("" is the top level).
type place func(table string, n int, key string, err error)

// plan is what the file says of the building; what is wrong with it goes to at.
func (doc *roomDoc) plan(at place) Plan {
	plan := Plan{Name: doc.Name, Title: doc.Title, People: doc.People,
		TempC: value(doc.Temperature, defaultTempC), Humidity: value(doc.Humidity, defaultHumidity)}
	if plan.Title == "" {
		plan.Title = doc.Name
	}
	if err := checkClimate(plan.TempC, plan.Humidity); err != nil {
		at("", 0, keyOf(err, "name"), err)
		plan.TempC, plan.Humidity = defaultTempC, defaultHumidity
	}
	switch doc.Formula {
	case "", "sabine":
	case "eyring":
		plan.Eyring = true
	default:
		at("", 0, "formula", fmt.Errorf("formula %q: give \"sabine\" or \"eyring\"", doc.Formula))
	}
	if err := doc.size(&plan); err != nil {
		at("", 0, keyOf(err, "size"), err)
	}
	if err := checkPeople(plan.People); err != nil {
		at("", 0, "people", err)
		plan.People = 0
	}
	for i, s := range doc.Surface {
		surface, err := s.surface()
		if err != nil {
			at("surface", i, keyOf(err, "material"), err)
			continue
		}
		plan.Surfaces = append(plan.Surfaces, surface)
	}
	return plan
}

// size takes volume and size, either of which gives the other.
func (doc *roomDoc) size(plan *Plan) error {
	if doc.Size != nil {
		if len(doc.Size) != 3 {
			return badValue("size", "size: %d numbers: give length, width and height in m", len(doc.Size))
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
// detail; giving two of them is an error. The strings name the table and the key at fault.
func (doc *roomDoc) room(plan Plan) (r *Room, table, key string, err error) {
	ways := 0
	for _, given := range []bool{len(doc.Surface) > 0, doc.RT60 != nil, doc.RT != nil} {
		if given {
			ways++
		}
	}
	if ways > 1 {
		return nil, "", "rt", errors.New("give surfaces, [rt60] or rt, one of the three")
	}
	switch {
	case len(doc.Surface) > 0:
		if plan.VolumeM3 == 0 {
			return nil, "surface", "", errors.New("surfaces need a volume or a size")
		}
		r, err := plan.Room()
		return r, "surface", "", err
	case doc.RT60 != nil:
		t, given, err := givenBands(doc.RT60, "rt60", 0.05, 2*MaxRT60)
		if err != nil {
			return nil, "", keyOf(err, "rt60"), err
		}
		t = nearestGiven(t, given)
		r, err := FromRT(min(MaxRT60, max(MinRT60, midOf(t))))
		if err != nil {
			return nil, "rt60", "", err
		}
		plan.dress(r)
		r.RT60 = t
		r.Cautions, err = notGiven(given)
		return r, "", "rt60", err
	case doc.RT != nil:
		r, err := FromRT(*doc.RT)
		if err != nil {
			return nil, "", "rt", err
		}
		plan.dress(r)
		r.RT60 = ChurchCurve(*doc.RT, r.TempC, r.Humidity)
		return r, "", "", nil
	case doc.Response != "" || doc.Recording != nil:
		r, err := FromRT(2) // replaced by what the response measures
		if err != nil {
			return nil, "", "response", err
		}
		plan.dress(r)
		if plan.VolumeM3 == 0 {
			r.VolumeM3 = 0
		}
		r.RT60 = octave.Bands{}
		return r, "", "", nil
	}
	return nil, "", "name", errors.New("how long does it ring? give surfaces, [rt60], rt, response or [recording]")
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
