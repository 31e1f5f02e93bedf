package room

import (
	_ "embed"
	"fmt"
	"sort"
	"strconv"
	"strings"
	"sync"

	"afterchord/acoustics/octave"

	"github.com/pelletier/go-toml/v2"
)

// Material is a common surface: its absorption coefficients per octave band, and where
// they were read.
type Material struct {
	Name   string
	Alpha  octave.Bands // 0..1
	Source string
}

//go:embed materials.toml
var materialFile []byte

// Origin is where rows of the material table were read: Name stands before the colon of [Material].Source.
type Origin struct{ Name, Text string }

type materialTable struct {
	byName       []Material
	person       octave.Bands
	personSource string
	origins      []Origin
}

var materials = sync.OnceValue(func() materialTable {
	var doc struct {
		Material []struct {
			Name   string
			Alpha  [6]float64
			Source string
		}
		Person struct {
			Area   [6]float64
			Source string
		}
		Origin []Origin
	}
	if err := toml.Unmarshal(materialFile, &doc); err != nil {
		panic(fmt.Sprintf("room: materials.toml: %v", err)) // the file is part of the program
	}
	t := materialTable{person: fromSixBands(doc.Person.Area), personSource: doc.Person.Source, origins: doc.Origin}
	for _, m := range doc.Material {
		t.byName = append(t.byName, Material{m.Name, fromSixBands(m.Alpha), m.Source})
	}
	sort.Slice(t.byName, func(i, j int) bool { return t.byName[i].Name < t.byName[j].Name })
	return t
})

// fromSixBands holds the first of 125 Hz..4 kHz below and the last above.
func fromSixBands(v [6]float64) octave.Bands {
	return octave.Bands{v[0], v[0], v[0], v[1], v[2], v[3], v[4], v[5], v[5]}
}

// Materials lists the common materials by name.
func Materials() []Material { return append([]Material(nil), materials().byName...) }

// FindMaterial finds a common material by name (any case).
func FindMaterial(name string) (Material, error) {
	want := strings.ToLower(strings.Join(strings.Fields(name), " "))
	table := materials().byName
	names := make([]string, len(table))
	for i, m := range table {
		if m.Name == want {
			return m, nil
		}
		names[i] = m.Name
	}
	return Material{}, fmt.Errorf("no material %q: give one of %s, or absorption per octave band",
		name, strings.Join(names, ", "))
}

// MaterialOrigins lists where the material table was read.
func MaterialOrigins() []Origin { return append([]Origin(nil), materials().origins...) }

// PersonArea is the absorption area of one seated person, m² per octave band.
func PersonArea() octave.Bands { return materials().person }

// PersonSource is where [PersonArea] was read, as [Material].Source says it.
func PersonSource() string { return materials().personSource }

// Surface is a part of a room's boundary or furniture.
type Surface struct {
	Material string       // name; free where Alpha is given in the file
	AreaM2   float64      // m²
	Alpha    octave.Bands // 0..1
}

// ParseSurface reads "stone floor 600": a common material and its area in m².
func ParseSurface(s string) (Surface, error) {
	fields := strings.Fields(s)
	if len(fields) < 2 {
		return Surface{}, fmt.Errorf("surface %q: give a material and its area in m², e.g. \"stone floor 600\"", s)
	}
	last := strings.TrimSuffix(fields[len(fields)-1], "m2")
	area, err := strconv.ParseFloat(last, 64)
	if err != nil {
		return Surface{}, fmt.Errorf("surface %q: %q is not an area in m²", s, fields[len(fields)-1])
	}
	m, err := FindMaterial(strings.Join(fields[:len(fields)-1], " "))
	if err != nil {
		return Surface{}, err
	}
	out := Surface{m.Name, area, m.Alpha}
	return out, out.check()
}

func (s Surface) check() error {
	if !(s.AreaM2 > 0 && s.AreaM2 < 1e7) {
		return badValue("area", "surface %q: area %v m²: give a number above 0", s.Material, s.AreaM2)
	}
	for i, a := range s.Alpha {
		if !(a >= 0 && a <= 1) {
			return fmt.Errorf("surface %q: absorption %v at %g Hz: a coefficient lies between 0 and 1",
				s.Material, a, octave.Centres[i])
		}
	}
	return nil
}
