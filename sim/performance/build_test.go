package performance

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/sim/score"
	"afterchord/voicing"
)

func organ(t testing.TB, name string) *voicing.Organ {
	t.Helper()
	o, ok := voicing.BuiltIn(name)
	require.True(t, ok)
	return o
}

// page is a score of 4/4 bars at 60 crotchets a minute, 1 tick to the ms, with one part for each name.
func page(bars int, names ...string) *score.Score {
	s := &score.Score{File: "page.mid", TicksPerCrotchet: 1000, Tempos: []score.Tempo{{Crotchets: 60}},
		Metres: []score.Metre{{Beats: 4, Unit: 4}}, End: score.Tick(4000 * bars)}
	for b := range bars {
		s.Bars = append(s.Bars, score.Bar{Number: b + 1, Start: score.Tick(4000 * b), Length: 4000, Metre: s.Metres[0]})
	}
	for i, n := range names {
		s.Parts = append(s.Parts, score.Part{Name: n, Track: i + 1})
	}
	return s
}

// line adds crotchets of one part.
func line(s *score.Score, part, velocity int, from score.Tick, keys ...int) {
	for i, k := range keys {
		on := from + score.Tick(1000*i)
		s.Notes = append(s.Notes, score.Note{ID: len(s.Notes), Part: part, Key: k, Velocity: velocity, On: on, Off: on + 1000})
	}
	s.SortNotes()
}

func build(t testing.TB, s *score.Score, o *voicing.Organ, opt Options) *Performance {
	t.Helper()
	p, err := Build(s, o, opt)
	require.NoError(t, err)
	return p
}

// Names of divisions in four languages (common practice: as printed over staves).
func TestPartsAreLaidOnDivisionsByName(t *testing.T) {
	o := organ(t, "minster")
	for name, want := range map[string]string{
		"Great": "Great", "Gt.": "Great", "HW": "Great", "Hauptwerk": "Great", "Grand Orgue": "Great", "G.O.": "Great", "Grand'Organo": "Great",
		"Swell": "Swell", "Sw": "Swell", "Récit": "Swell", "recit": "Swell", "Schwellwerk": "Swell", "Organo espressivo": "Swell",
		"Pedal": "Pedal", "Ped.": "Pedal", "PED": "Pedal", "Pédale": "Pedal", "Pedaliera": "Pedal",
		"Choir": "Choir", "Positif": "Choir", "Rückpositiv": "Choir", "Positivo": "Choir",
		"I": "", "Manual II": "",
	} {
		t.Run(name, func(t *testing.T) {
			s := page(2, name)
			line(s, 0, 80, 0, 60, 62, 64, 65)
			p := build(t, s, o, Options{})
			require.Len(t, p.Assignments, 1)
			got := o.Divisions[p.Assignments[0].Division]
			if want != "" {
				assert.Equal(t, want, got.Name, name)
			} else {
				assert.False(t, got.Pedal, name)
			}
			assert.Contains(t, p.Assignments[0].Why, name)
		})
	}
}

// A part for a division that the organ lacks leaves its stand-in to the part that has the name (common practice: the Solo of three manuals is
// whichever is free).
func TestAStandInStandsAside(t *testing.T) {
	for _, c := range []struct {
		organ string
		names []string
		want  string
	}{
		{"minster", []string{"Solo", "Choir", "Pedal"}, "Great Choir Pedal"},
		{"minster", []string{"Solo", "Great", "Pedal"}, "Choir Great Pedal"},
		{"minster", []string{"Positif", "Choir", "Great"}, "Swell Choir Great"},
		{"village", []string{"Solo", "Swell", "Pedal"}, "Great Swell Pedal"},
	} {
		o := organ(t, c.organ)
		assert.Equal(t, c.want, divisions(o, build(t, trio(c.names...), o, Options{})), "%q", c.names)
	}
}

func TestAssignByRegister(t *testing.T) {
	o := organ(t, "minster")
	s := page(1, "a", "b", "c")
	line(s, 0, 80, 0, 72, 74, 76, 77)
	line(s, 1, 80, 0, 64, 62, 60, 62)
	line(s, 2, 80, 0, 40, 41, 43, 36)
	p := build(t, s, o, Options{})
	var names []string
	for _, a := range p.Assignments {
		names = append(names, o.Divisions[a.Division].Name)
	}
	assert.Equal(t, []string{"Great", "Great", "Pedal"}, names)

	high := page(1, "a", "b", "c") // the lowest part is no pedal part where it lies high
	for i := range 3 {
		line(high, i, 80, 0, 72-i, 74-i, 76-i)
	}
	for _, a := range build(t, high, o, Options{}).Assignments {
		assert.False(t, o.Divisions[a.Division].Pedal)
	}
}

func TestAssignByUser(t *testing.T) {
	o := organ(t, "minster")
	s := page(1, "Great", "bass")
	line(s, 0, 80, 0, 72)
	line(s, 1, 80, 0, 40)
	p := build(t, s, o, Options{Assign: map[string]string{"great": "Récit", "Track 2": "Pedal"}})
	assert.Equal(t, "Swell", o.Divisions[p.Assignments[0].Division].Name)
	assert.Equal(t, "Pedal", o.Divisions[p.Assignments[1].Division].Name)
	for _, c := range []struct{ part, division, says string }{
		{"Great", "Barrel", `has no division "Barrel"`}, {"Viola", "Great", "no part of page.mid is called that"},
	} {
		t.Run(c.part, func(t *testing.T) {
			_, err := Build(s, o, Options{Assign: map[string]string{c.part: c.division}})
			require.ErrorContains(t, err, c.says)
			assert.ErrorAs(t, err, new(AssignError))
		})
	}
}

// The mark of each velocity as notation programs export it (common practice).
func TestDynamicsFromVelocity(t *testing.T) {
	o := organ(t, "minster")
	for v, want := range map[int]score.Dynamic{16: score.PPP, 33: score.PP, 49: score.P, 64: score.MP, 80: score.MF, 96: score.F, 112: score.FF, 126: score.FFF} {
		t.Run(fmt.Sprint(v), func(t *testing.T) {
			s := page(4, "Great")
			line(s, 0, v, 0, 60, 62, 64, 65)
			line(s, 0, (v+56)%112+8, 8000, 60, 62, 64, 65)
			p := build(t, s, o, Options{})
			require.Len(t, p.Passages, 2, "velocity %d", v)
			assert.Equal(t, want, p.Passages[0].Dynamic, "velocity %d", v)
			assert.Equal(t, score.Tick(8000), p.Passages[1].From)
		})
	}
}

func TestAnAccentIsNoDynamic(t *testing.T) {
	s := page(4, "Great")
	line(s, 0, 64, 0, 60, 62, 64, 65, 67)
	line(s, 0, 100, 5000, 69)
	line(s, 0, 64, 6000, 60, 62, 64, 65, 67)
	p := build(t, s, organ(t, "minster"), Options{})
	require.Len(t, p.Passages, 1)
	assert.Len(t, p.Changes, 1)
}

func TestDynamicsFlatAndMarked(t *testing.T) {
	o := organ(t, "minster")
	s := page(4, "Great", "Swell")
	line(s, 0, 90, 0, 60, 62, 64, 65, 67, 69)
	line(s, 1, 90, 0, 72, 74)
	p := build(t, s, o, Options{})
	for _, q := range p.Passages {
		assert.Equal(t, score.MF, q.Dynamic)
		assert.Contains(t, q.Source, "mf assumed")
	}
	s.Words = []score.Word{{At: 0, Part: 0, Kind: score.Mark, Text: "ff"}, {At: 4000, Part: 0, Kind: score.Mark, Text: "pp"}}
	p = build(t, s, o, Options{})
	require.Len(t, p.Passages, 4) // the Swell has no marks of its own and follows the Great's
	for i, want := range []score.Dynamic{score.FF, score.PP, score.FF, score.PP} {
		assert.Equal(t, want, p.Passages[i].Dynamic)
	}
	assert.Equal(t, []score.Dynamic{score.FF, score.PP}, []score.Dynamic{p.Notes[0].Dynamic, p.Notes[len(p.Notes)-1].Dynamic})
	require.Len(t, p.Changes, 2)
	assert.Equal(t, 4.0, p.Changes[1].AtS)
}

// One velocity throughout is what a program writes where nobody has said anything, or a mark.
func TestOneVelocityThroughout(t *testing.T) {
	for velocity, want := range map[int]score.Dynamic{64: score.MF, 80: score.MF, 90: score.MF, 100: score.MF, 127: score.MF, 33: score.PP, 49: score.P, 96: score.F, 112: score.FF, 118: score.FF} {
		t.Run(fmt.Sprint(velocity), func(t *testing.T) {
			s := page(4, "Great")
			line(s, 0, velocity, 0, 60, 62, 64)
			p := build(t, s, organ(t, "minster"), Options{})
			require.Len(t, p.Passages, 1)
			assert.Equal(t, want, p.Passages[0].Dynamic)
			assert.True(t, p.Passages[0].Assumed)
		})
	}
}

// Every step up of the dynamic draws at least as many stops.
func TestLouderDrawsMore(t *testing.T) {
	for _, name := range voicing.BuiltIns() {
		o, last := organ(t, name), 0
		for d := score.PPP; d <= score.FFF; d++ {
			s := page(1, "Great")
			line(s, 0, 80, 0, 60)
			s.Words = []score.Word{{Part: 0, Kind: score.Mark, Text: d.String()}}
			r := build(t, s, o, Options{}).RegistrationAt(0)
			n := len(o.Reach(nil, r, 0, 60))
			assert.GreaterOrEqual(t, n, last, "%s %s", name, d)
			last = n
		}
		assert.Positive(t, last)
	}
}

func TestWordsOfRegistration(t *testing.T) {
	o := organ(t, "minster")
	gt, _ := o.DivisionByName("Great")
	sw, _ := o.DivisionByName("Swell")
	s := page(4, "Great", "Swell")
	line(s, 0, 80, 0, 60, 62, 64, 65)
	line(s, 1, 80, 0, 72, 74)
	s.Words = []score.Word{
		{At: 4000, Part: 0, Kind: score.Direction, Text: "Gt: 8' flutes"},
		{At: 8000, Part: 1, Kind: score.Direction, Text: "box closed"},
		{At: 8000, Part: 0, Kind: score.Direction, Text: "dolce e molto lontano"},
	}
	p := build(t, s, o, Options{})
	before, after := p.RegistrationAt(3.9), p.RegistrationAt(4.1)
	assert.NotEqual(t, before.Stops[gt], after.Stops[gt])
	assert.Equal(t, before.Stops[sw], after.Stops[sw])
	assert.NotZero(t, after.Stops[gt])
	require.NotEmpty(t, p.Box)
	assert.Equal(t, BoxMove{8, sw, 0}, p.Box[len(p.Box)-1])
	require.Len(t, p.Unread, 1)
	assert.Contains(t, p.Unread[0].Text, "dolce")
	assert.Equal(t, score.Tick(8000), p.Unread[0].At)
}

func TestStopsFileOverridesThePlan(t *testing.T) {
	o := organ(t, "minster")
	lines, err := voicing.ParseStopsFile(o, []byte("bar 2 beat 3: Gt 8' flutes\nbar 90 beat 1: Gt 8' flutes\n"), "x.stops")
	require.NoError(t, err)
	s := page(4, "Great")
	line(s, 0, 80, 0, 60, 62, 64, 65)
	p := build(t, s, o, Options{Stops: lines})
	require.Len(t, p.Changes, 2)
	assert.Equal(t, 6.0, p.Changes[1].AtS)
	assert.Contains(t, p.Changes[1].Why, "line 1")
	require.Len(t, p.Unread, 1)
	assert.Contains(t, p.Unread[0].Text, "no bar 90")
}

// The box follows a hairpin: shut before a crescendo, open at its end, and never outside 0 … 1.
func TestBoxFollowsHairpins(t *testing.T) {
	o := organ(t, "minster")
	sw, _ := o.DivisionByName("Swell")
	s := page(8, "Swell")
	line(s, 0, 80, 0, 60, 62, 64, 65)
	s.Words = []score.Word{
		{At: 4000, Part: 0, Kind: score.Hairpin, Text: "crescendo"}, {At: 8000, Part: 0, Kind: score.Hairpin, Text: "stop"},
		{At: 16000, Part: 0, Kind: score.Hairpin, Text: "diminuendo"}, {At: 20000, Part: 0, Kind: score.Hairpin, Text: "stop"},
	}
	p := build(t, s, o, Options{})
	want := []BoxMove{{3.8, sw, 1}, {4, sw, softBox}, {8, sw, 1}, {15.8, sw, 1}, {16, sw, 1}, {20, sw, softBox}}
	require.Len(t, p.Box, len(want))
	for i, m := range p.Box {
		assert.InDelta(t, want[i].AtS, m.AtS, 1e-9, fmt.Sprint(i))
		assert.InDelta(t, want[i].Open, m.Open, 1e-9, fmt.Sprint(i))
	}
	gt := page(8, "Great") // not enclosed: nothing moves
	line(gt, 0, 80, 0, 60)
	gt.Words = s.Words
	assert.Empty(t, build(t, gt, o, Options{}).Box)
}

// A key struck again is let go a little before; a key that is not is held to its end.
func TestRepeatedKeysAreLetGo(t *testing.T) {
	s := page(2, "Great")
	line(s, 0, 80, 0, 60, 60, 62)
	p := build(t, s, organ(t, "minster"), Options{})
	assert.InDelta(t, 1-reliefS, p.Notes[0].OffS, 1e-9)
	assert.InDelta(t, 2, p.Notes[1].OffS, 1e-9)
	assert.InDelta(t, 3, p.EndS, 1e-9)
}

func TestRegistrationAt(t *testing.T) {
	var a, b voicing.Registration
	a.Stops[0], b.Stops[0] = 1, 2
	p := &Performance{Changes: []Change{{AtS: 0, Registration: a}, {AtS: 5, Registration: b}}}
	for at, want := range map[float64]voicing.Registration{-1: {}, 0: a, 4.9: a, 5: b, 1e9: b, math.Inf(1): b} {
		assert.Equal(t, want, p.RegistrationAt(at), "%g s", at)
	}
}

// A staff without marks follows the other staves of its instrument; scores without velocity say so.
func TestStavesOfOneInstrument(t *testing.T) {
	o := organ(t, "minster")
	s := page(2, "Swell", "Organ, staff 1", "Organ, staff 2")
	for i := range s.Parts {
		line(s, i, 0, 0, 60, 62)
	}
	assert.Equal(t, "no dynamics are given: mf assumed", build(t, s, o, Options{}).Passages[0].Source)
	s.Parts[0].Track, s.Parts[0].Staff = 1, 1
	s.Parts[1].Track, s.Parts[1].Staff = 2, 1
	s.Parts[2].Track, s.Parts[2].Staff = 2, 2
	s.Words = []score.Word{{Part: 0, Kind: score.Mark, Text: "pp"}, {Part: 1, Kind: score.Mark, Text: "ff"}}
	p := build(t, s, o, Options{})
	require.Len(t, p.Passages, 3)
	assert.Equal(t, []score.Dynamic{score.PP, score.FF, score.FF}, []score.Dynamic{p.Passages[0].Dynamic, p.Passages[1].Dynamic, p.Passages[2].Dynamic})
}

// A hairpin that stands over both staves of a division moves its box once.
func TestHairpinBetweenStaves(t *testing.T) {
	o := organ(t, "minster")
	s := page(4, "Swell", "Sw")
	line(s, 0, 80, 0, 60, 62, 64, 65)
	line(s, 1, 80, 0, 48, 50, 52, 53)
	for _, part := range []int{0, 1} {
		s.Words = append(s.Words, score.Word{At: 4000, Part: part, Kind: score.Hairpin, Text: "crescendo"})
	}
	assert.Len(t, build(t, s, o, Options{}).Box, 3)
}
