package voicing

import (
	"fmt"
	"slices"
	"strings"
)

func (p *parser) stop(f *fields, d *Division, wind float64) Stop {
	s := Stop{Name: f.text("name", "")}
	if s.Name == "" {
		f.problem("", `add name = "Principal 8"`, "a stop has no name")
	}
	p.family(f, &s)
	s.LevelDB = f.number("level_db", 0, -30, 30, "dB")
	s.Brightness = f.number("brightness_db", 0, -12, 12, "dB an octave")
	s.WindPa = f.number("wind_mm", wind, 30, 1500, "mm water gauge") * pascalPerMM
	s.DetuneCents = f.number("detune_cents", 0, -50, 50, "cents")
	s.TremulantOK = f.flag("tremulant", true) && d.TremulantHz > 0
	s.LowKey, s.HighKey = compass(f, d.LowKey, d.HighKey)
	if s.LowKey < d.LowKey || s.HighKey > d.HighKey {
		f.problem("compass", fmt.Sprintf("keep to %s-%s", KeyText(d.LowKey), KeyText(d.HighKey)), "stop %q goes beyond the keys of %s", s.Name, d.Name)
		s.LowKey, s.HighKey = max(s.LowKey, d.LowKey), min(s.HighKey, d.HighKey)
	}
	p.ranks(f, &s)
	f.done()
	return s
}

// family reads the family of a stop and how its pipes are built.
func (p *parser) family(f *fields, s *Stop) {
	names := familyNames()
	s.Family = Family(f.choice("family", string(Principal), names...))
	if _, given := f.m["family"]; !given {
		last := len(names) - 1
		f.problem("", "add family = "+strings.Join(names[:last], ", ")+" or "+names[last], "stop %q has no family", s.Name)
	}
	s.Construction = Construction(f.choice("construction", string(Open), constructionNames()...))
	if builds := s.Family.constructions(); !slices.Contains(builds, string(s.Construction)) {
		f.problem("construction", "use "+strings.Join(builds, " or "), "stop %q: a %s is not built %s", s.Name, s.Family, s.Construction)
		s.Construction = Construction(builds[0])
	}
}

// ranks reads the length of an ordinary stop or the table of a mixture.
func (p *parser) ranks(f *fields, s *Stop) {
	v, given := f.take("feet")
	feet, ok := feetFromName(s.Name)
	if given {
		switch x := v.(type) {
		case string:
			feet, ok = ParseFeet(x)
		default:
			feet, ok = asNumber(v)
			ok = ok && feet >= minFeet && feet <= maxFeet
		}
		if !ok {
			f.problem("feet", `write feet = 8 or feet = "2 2/3", from 1/8 to 64`, "feet = %v is not a pipe length", v)
			feet, ok = 8, true
		}
	}
	if rows, isMixture := f.texts("mixture"); isMixture {
		p.mixture(f, s, rows)
		if given {
			s.Feet = feet
		}
		return
	}
	if !ok {
		feet = 8
	}
	if !ok && s.Name != "" {
		f.problem("", `end the name with the length ("Principal 8"), or add feet = 8, or mixture = […]`, "stop %q has no length", s.Name)
	}
	s.Feet = feet
	s.Ranks = []Rank{{Breaks: []Break{{s.LowKey, feet}}}}
}

// maxRanks bounds a mixture.
const maxRanks = 12

// mixture reads rows such as "C2: 1 1/3, 1, 2/3, 1/2"; a "-" leaves a rank silent from there on.
func (p *parser) mixture(f *fields, s *Stop, rows []string) {
	const do = `write rows such as "C2: 1 1/3, 1, 2/3", lowest key first, the same number of ranks in each ("-" for none)`
	if len(rows) == 0 {
		f.problem("mixture", do, "stop %q: the mixture has no rows", s.Name)
	}
	last := -1
	for i, row := range rows {
		at := fmt.Sprintf("mixture.%d", i)
		keyText, list, _ := strings.Cut(row, ":")
		key, ok := ParseKey(keyText)
		if !ok || key <= last || (i > 0 && key > s.HighKey) {
			f.problem(at, do, "stop %q: %q does not begin with a key above the row before and on the keyboard", s.Name, row)
			continue
		}
		last = key
		if i == 0 && key > s.LowKey {
			f.problem(at, fmt.Sprintf("begin at %s or give the stop a compass", KeyText(s.LowKey)), "stop %q: the mixture begins above the lowest key", s.Name)
		}
		items := strings.Split(list, ",")
		if s.Ranks == nil && len(items) <= maxRanks {
			s.Ranks = make([]Rank, len(items))
		}
		if len(items) != len(s.Ranks) {
			f.problem(at, do, "stop %q: %d ranks in this row, %d in the first (at most %d)", s.Name, len(items), len(s.Ranks), maxRanks)
			continue
		}
		for r, item := range items {
			feet, ok := ParseFeet(item)
			if silent := strings.TrimSpace(item) == "-"; !ok && !silent {
				f.problem(at, do, "stop %q: %q is not a pipe length", s.Name, strings.TrimSpace(item))
			}
			s.Ranks[r].Breaks = append(s.Ranks[r].Breaks, Break{key, feet})
			if feet > s.Feet && i == 0 {
				s.Feet = feet
			}
		}
	}
	if s.Feet == 0 {
		s.Feet = 2
	}
}
