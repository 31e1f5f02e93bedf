package room

import (
	"fmt"
	"math"
	"strings"

	"afterchord/acoustics/geometry"
)

// Description is a church as somebody who stands in it would describe it, where nothing has been measured.
type Description struct {
	Name, Title string
	SizeM       [3]float64        // length, width, height, m
	Answers     map[string]string // a word of [DescriptionWords] by question; the first is taken where there is none
	People      int
	Listener    *[2]float64 // across from the axis and along from the organ, m; nil for the places that every room has
}

// ChosenSeat is the name of the place that was put on the plan.
const ChosenSeat = "my place"

// word is one answer: materials with the share of the surface that they cover.
type word struct {
	text  string
	parts []part
}

type part struct {
	material string
	share    float64
}

// The answers. Shares are assumptions of this package (common practice where nothing is measured): a vault has 1.4 times the area of
// the floor under it, pews and chairs stand on half of the floor, an aisle carpet lies on a tenth of it; windows take 0, 5, 12 or 30 % of
// the walls, and glass of church windows is in small panes.
var descriptions = []struct {
	question string
	words    []word
}{
	{"walls", []word{
		{"plaster", one("plaster on masonry")}, {"stone", one("stone wall")}, {"brick", one("brick")},
		{"painted brick", one("painted brick")}, {"concrete", one("rough concrete")},
		{"wood", one("wood panelling")}, {"plasterboard", one("plasterboard")},
	}},
	{"ceiling", []word{
		{"plaster vault", []part{{"plaster on masonry", 1.4}}}, {"stone vault", []part{{"stone wall", 1.4}}},
		{"wooden vault", []part{{"wood panelling", 1.4}}}, {"flat plaster", one("plaster on lath")},
		{"flat wood", one("wood panelling")}, {"plasterboard", one("plasterboard")}, {"concrete", one("rough concrete")},
	}},
	{"floor", []word{
		{"stone", one("stone floor")}, {"concrete", one("concrete floor")}, {"wood", one("wood floor on joists")},
		{"parquet", one("parquet on concrete")}, {"carpet", one("carpet on concrete")},
	}},
	{"windows", []word{
		{"some", []part{{"small panes", 0.12}}}, {"none", nil}, {"few", []part{{"small panes", 0.05}}}, {"many", []part{{"small panes", 0.3}}},
	}},
	{"seats", []word{
		{"pews", []part{{"empty pews", 0.5}}}, {"chairs", []part{{"empty pews", 0.4}}},
		{"upholstered", []part{{"empty upholstered seats", 0.5}}}, {"none", nil},
	}},
	{"carpet", []word{
		{"none", nil}, {"aisle", []part{{"carpet on concrete", 0.1}}}, {"half", []part{{"carpet on concrete", 0.45}}},
	}},
}

func one(material string) []part { return []part{{material, 1}} }

// Questions are what a description answers: walls, ceiling, floor, windows, seats and carpet.
func Questions() []string {
	var out []string
	for _, d := range descriptions {
		out = append(out, d.question)
	}
	return out
}

// DescriptionWords are the answers that one of the [Questions] takes; the first is assumed where nothing is said. It is
// nil for another question.
func DescriptionWords(question string) []string {
	var out []string
	for _, w := range wordsFor(question) {
		out = append(out, w.text)
	}
	return out
}

func wordsFor(question string) []word {
	for _, d := range descriptions {
		if d.question == question {
			return d.words
		}
	}
	return nil
}

// parts finds the answer to a question.
func parts(question, answer string) ([]part, error) {
	words := wordsFor(question)
	text := strings.Join(strings.Fields(strings.ToLower(answer)), " ")
	if text == "" {
		return words[0].parts, nil
	}
	for _, w := range words {
		if w.text == text {
			return w.parts, nil
		}
	}
	return nil, badValue(question, "%s %q: give one of %s", question, answer, strings.Join(DescriptionWords(question), ", "))
}

// Unmeasured is the caution of a room whose reverberation time, s, was not measured: how it was got, and its range.
func Unmeasured(how string, mean, least, most float64) string {
	return fmt.Sprintf("%s, not measured: %.1f s, but anything from %.1f to %.1f s is possible; a few hand claps tell more", how, mean, least, most)
}

// Plan is the building that d describes: surfaces with the materials and areas that its words stand for. An answer
// that is not among [DescriptionWords], or a size that no room has, is a [ValueError].
func (d Description) Plan() (Plan, error) {
	p := Plan{Name: d.Name, Title: d.Title, SizeM: d.SizeM, People: d.People, TempC: defaultTempC, Humidity: defaultHumidity}
	if err := checkSize(d.SizeM); err != nil {
		return p, err
	}
	if seats := capacityOf(d.SizeM); d.People < 0 || d.People > max(1, 2*seats) {
		return p, badValue("people", "people %d: a room of this size seats about %d; give 0 to %d", d.People, seats, max(1, 2*seats))
	}
	for q := range d.Answers {
		if wordsFor(q) == nil {
			return p, badValue(q, "%s: there is no such question; there are %s", q, strings.Join(Questions(), ", "))
		}
	}
	l, w, h := d.SizeM[0], d.SizeM[1], d.SizeM[2]
	if at := d.Listener; at != nil {
		p.Seats = append(defaultSeats(d.SizeM), Seat{ChosenSeat, geometry.Point{X: at[0], Y: at[1], Z: min(earHeight, h/2)}})
		if !(math.Abs(at[0]) <= w/2 && at[1] > 0 && at[1] <= l) {
			return p, badValue("listener", "the listener, %.1f m across and %.1f m along from the organ, is outside a room of %g x %g m", at[0], at[1], l, w)
		}
	}
	p.VolumeM3 = l * w * h
	floor, walls := l*w, 2*(l+w)*h
	// What stands before something covers it: windows the wall, seats and carpet the floor.
	var wallLeft, floorLeft = walls, floor
	for _, x := range []struct {
		question string
		of       *float64 // the area that the answer's shares are of, m²
		covers   *float64 // what is left uncovered, m²
	}{
		{"windows", &walls, &wallLeft}, {"seats", &floor, &floorLeft}, {"carpet", &floor, &floorLeft},
		{"walls", &wallLeft, nil}, {"ceiling", &floor, nil}, {"floor", &floorLeft, nil},
	} {
		parts, err := parts(x.question, d.Answers[x.question])
		if err != nil {
			return p, err
		}
		for _, part := range parts {
			m, err := FindMaterial(part.material)
			if err != nil {
				return p, fmt.Errorf("%s: %w", x.question, err)
			}
			area := *x.of * part.share
			p.Surfaces = append(p.Surfaces, Surface{m.Name, area, m.Alpha})
			if x.covers != nil {
				*x.covers -= area
			}
		}
	}
	rest, err := FindMaterial(allElse)
	if err != nil {
		return p, err
	}
	p.Surfaces = append(p.Surfaces, Surface{allElse + ": doors, altars, organ case, openings, gaps", 2*floor + walls, rest.Alpha})
	mean, least, most := p.Range()
	p.Cautions = []string{Unmeasured("described in words", mean, least, most)}
	return p, nil
}

// allElse is what nobody lists, spread over the whole box: doors, altars, organ case, pictures, openings, gaps, and the chapels, aisles and roof spaces
// that open off the box. Tables of hard surfaces alone would make an empty church of 4000 m³ ring for 10 s; those that exist ring for 3 to 6 (common
// practice). Over 41 Portuguese churches plain Sabine erred by 71 % for want of such coupled spaces (A. Carvalho, ASA 129th meeting, 1995, 3aAA9). A
// working figure, set so that the ranges hold the times known of churches from village to cathedral (see described_test.go).
const allElse = "all else"

// Scatter of tabled absorption: the same words stand for surfaces that absorb this much less or more. Tables disagree by
// about so much for plaster, stone and wood (working figures).
const (
	leastAbsorption = 0.6
	mostAbsorption  = 1.6
)

// Range is the reverberation time, s, mean of 500 Hz and 1 kHz, that the plan gives, and the range in which it may
// well lie when its materials are known by words alone: surfaces take up 0.6 to 1.6 times what the table says;
// people and air are better known and stay.
func (p Plan) Range() (mean, least, most float64) {
	at := func(factor float64) float64 {
		q := p
		q.Surfaces = nil
		for _, s := range p.Surfaces {
			for b := range s.Alpha {
				s.Alpha[b] = min(1, factor*s.Alpha[b])
			}
			q.Surfaces = append(q.Surfaces, s)
		}
		return midOf(q.RT60())
	}
	return at(1), at(mostAbsorption), at(leastAbsorption)
}
