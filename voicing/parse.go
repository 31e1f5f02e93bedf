package voicing

import (
	"errors"
	"fmt"
	"path/filepath"
	"sort"
	"strings"

	"afterchord/acoustics/geometry"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/tomlread"
)

// maxDescription bounds the size of a description, bytes.
const maxDescription = 1 << 20

// pascalPerMM is the pressure of 1 mm of water gauge (conventional: 9.806 65 Pa).
const pascalPerMM = 9.80665

// parser gathers the mistakes of one description.
type parser struct {
	file     string
	lines    lineMap
	problems Problems
}

func (p *parser) problem(path, do, what string, args ...any) {
	p.problems = append(p.problems, Problem{p.file, p.lines.at(path), fmt.Sprintf(what, args...), do})
}

// Parse reads an organ description (see FORMAT.md); file is its name in messages. The error is a
// [Problems] that names every mistake with its line.
func Parse(data []byte, file string) (*Organ, error) {
	p := &parser{file: file}
	if len(data) > maxDescription {
		return nil, Problems{{file, 1, fmt.Sprintf("the file has %d bytes, more than an organ description needs", len(data)), "keep it below 1 MiB"}}
	}
	data = tomlread.WithoutMark(data)
	tree, err := tomlread.Tree(data)
	if err != nil {
		wrong := &tomlread.Error{Why: err.Error()}
		errors.As(err, &wrong)
		return nil, Problems{{file, max(1, wrong.Line), wrong.Why, wrong.Do}}
	}
	p.lines = mapLines(data)
	o := p.organ(p.fields("", tree))
	if len(p.problems) > 0 {
		sort.SliceStable(p.problems, func(i, j int) bool { return p.problems[i].Line < p.problems[j].Line })
		return nil, p.problems
	}
	o.made = newPipeBook(o)
	return o, nil
}

func (p *parser) organ(f *fields) *Organ {
	base := strings.TrimSuffix(filepath.Base(p.file), filepath.Ext(p.file))
	o := &Organ{
		Name:    f.text("name", base),
		PitchHz: f.number("pitch_hz", 440, 350, 500, "Hz"),
		Pistons: f.whole("pistons", 0, 0, 100, "pistons"),
		Seed:    int64(f.whole("seed", 1, 0, 1<<30, "")),
	}
	o.Title = f.text("title", o.Name)
	name := strings.ToLower(f.text("temperament", "equal"))
	t, ok := TemperamentByName(name)
	if !ok {
		f.problem("temperament", "use one of: "+strings.Join(Temperaments(), ", "), "temperament %q is not known", name)
	}
	o.Temperament = t
	divisions := f.tables("division", MaxDivisions)
	if len(divisions) == 0 {
		f.problem("division", "write [[division]] and its stops", "there is no division")
	}
	for _, df := range divisions {
		d := p.division(df)
		for i := range o.Divisions {
			if strings.EqualFold(o.Divisions[i].Name, d.Name) {
				df.problem("name", "give each its own name", "division %q is named twice", d.Name)
			}
			if o.Divisions[i].Pedal && !d.Pedal {
				df.problem("", "put the manuals first, from the nearest up, then the pedal", "manual %q stands after the pedal", d.Name)
			}
		}
		o.Divisions = append(o.Divisions, d)
	}
	for _, cf := range f.tables("coupler", MaxCouplers) {
		o.Couplers = append(o.Couplers, p.coupler(cf, o))
	}
	p.plan(f.table("plan"), o)
	f.done()
	return o
}

// actionDelayMS is the delay taken where a description gives none, ms, and what is
// usual (common practice).
var actionDelayMS = map[string]struct{ usual, lo, hi float64 }{
	"tracker":           {18, 5, 40},
	"electro-pneumatic": {70, 30, 200},
	"electric":          {12, 2, 60},
}

func (p *parser) division(f *fields) Division {
	d := Division{Name: f.text("name", "")}
	if d.Name == "" {
		f.problem("", `add name = "Great"`, "a division has no name")
	}
	d.Pedal = f.flag("pedal", IsPedalName(d.Name))
	d.LowKey, d.HighKey = 36, 91
	if d.Pedal {
		d.HighKey = 65
	}
	d.LowKey, d.HighKey = compass(f, d.LowKey, d.HighKey)
	d.Action.Kind = f.choice("action", "tracker", "tracker", "electro-pneumatic", "electric")
	usual := actionDelayMS[d.Action.Kind]
	d.Action.DelayS = f.number("action_delay_ms", usual.usual, usual.lo, usual.hi, "ms") / 1000
	if at := f.numbers("place_m", 3, -200, 200, "m"); at != nil {
		d.Place = geometry.Point{X: at[0], Y: at[1], Z: at[2]}
	} else {
		d.Place = geometry.Point{Y: -1, Z: 5}
	}
	d.Enclosed = f.flag("enclosed", false)
	if shut := f.numbers("box_closed_db", octave.N, -60, 0, "dB"); shut != nil {
		copy(d.Box.ClosedDB[:], shut)
		if !d.Enclosed {
			f.problem("box_closed_db", "add enclosed = true or take it out", "division %q has a box and is not enclosed", d.Name)
		}
	} else if d.Enclosed {
		d.Box.ClosedDB = usualBox
	}
	if t := f.table("tremulant"); t != nil {
		d.TremulantHz = t.number("hz", 5.5, 2, 10, "Hz")
		d.TremulantCent = t.number("cents", 12, 0, 60, "cents")
		d.TremulantDB = t.number("db", 1.5, 0, 6, "dB")
		t.done()
	}
	wind := f.number("wind_mm", 75, 30, 1500, "mm water gauge")
	seen := map[string]bool{}
	for _, sf := range f.tables("stops", MaxStops) {
		s := p.stop(sf, &d, wind)
		if seen[strings.ToLower(s.Name)] {
			sf.problem("name", "give each knob its own name", "stop %q is named twice on %s", s.Name, d.Name)
		}
		seen[strings.ToLower(s.Name)] = true
		d.Stops = append(d.Stops, s)
	}
	f.done()
	return d
}

// usualBox is the box of a description that gives none: sound shut in by wood loses little at the
// bottom and most at the top (common practice; not from a measurement).
var usualBox = octave.Bands{-3, -4, -6, -9, -12, -15, -18, -21, -24}

// mostKeys is the longest compass: a manual of 61 keys with the octave that its top octave coupler may add (common practice).
const mostKeys = 73

// compass reads compass = ["C2", "G6"].
func compass(f *fields, low, high int) (int, int) {
	list, ok := f.texts("compass")
	if !ok {
		return low, high
	}
	if len(list) != 2 {
		f.problem("compass", `write compass = ["C2", "G6"]`, "compass needs the lowest and the highest key")
		return low, high
	}
	a, okA := ParseKey(list[0])
	b, okB := ParseKey(list[1])
	if !okA || !okB || a >= b {
		f.problem("compass", `write two keys, low then high, as in ["C2", "G6"] (C4 is middle C)`, "compass %q to %q makes no keyboard", list[0], list[1])
		return low, high
	}
	if n := b - a + 1; n > mostKeys {
		f.problem("compass", "organ manuals have 56 to 61 keys, pedals 30 to 32", "compass %q to %q makes %d keys, more than the %d that are allowed", list[0], list[1], n, mostKeys)
		return low, high
	}
	return a, b
}

func (p *parser) coupler(f *fields, o *Organ) Coupler {
	c := Coupler{Name: f.text("name", ""), From: -1, To: -1, Fixed: f.flag("fixed", false)}
	if c.Name == "" {
		f.problem("", `add name = "Swell to Great"`, "a coupler has no name")
	}
	for _, x := range o.Couplers {
		if strings.EqualFold(x.Name, c.Name) && c.Name != "" {
			f.problem("name", "give each its own name", "coupler %q is named twice", c.Name)
		}
	}
	for _, end := range []struct {
		key string
		to  *int
	}{{"keys_of", &c.From}, {"sounds", &c.To}} {
		name := f.text(end.key, "")
		if i, ok := o.divisionNamed(name); ok {
			*end.to = i
		} else {
			f.problem(end.key, "name one of: "+strings.Join(o.divisionNames(), ", "), "coupler %q: %s = %q is not a division", c.Name, end.key, name)
		}
	}
	switch f.choice("shift", "unison", "unison", "octave", "sub-octave") {
	case "octave":
		c.Shift = 12
	case "sub-octave":
		c.Shift = -12
	}
	if c.From >= 0 && c.From == c.To && c.Shift == 0 {
		f.problem("", "couple another division or add shift", "coupler %q couples a division to itself", c.Name)
	}
	c.From, c.To = max(0, c.From), max(0, c.To)
	f.done()
	return c
}

// divisionNamed finds a division by exactly its own name, whatever the case.
func (o *Organ) divisionNamed(name string) (int, bool) {
	for i := range o.Divisions {
		if strings.EqualFold(o.Divisions[i].Name, name) {
			return i, true
		}
	}
	return 0, false
}

func (o *Organ) divisionNames() []string {
	var names []string
	for i := range o.Divisions {
		names = append(names, o.Divisions[i].Name)
	}
	return names
}
