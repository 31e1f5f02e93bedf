package performance

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/sim/score"
	"afterchord/voicing"
)

// divisions names where each part is played, "-" where it is not.
func divisions(o *voicing.Organ, p *Performance) string {
	var out []string
	for _, a := range p.Assignments {
		if a.Silent {
			out = append(out, "-")
			continue
		}
		out = append(out, o.Divisions[a.Division].Name)
	}
	return strings.Join(out, " ")
}

// trio is three staves with the pedal an octave below the left hand throughout.
func trio(names ...string) *score.Score {
	s := page(4, names...)
	line(s, 0, 80, 0, 72, 74, 76, 77, 79, 77, 76, 74, 72, 74)
	low := []int{36, 40, 43, 38, 45, 41, 36, 40, 43, 38}
	left, feet := 1, 2
	if len(names) == 3 && names[1] == "Pedal" {
		left, feet = 2, 1
	}
	line(s, feet, 80, 0, low...)
	for i := range low {
		low[i] += 12
	}
	line(s, left, 80, 0, low...)
	return s
}

// A part that names its division keeps it, in whatever language and however an export has put it; nothing is left out
// and nothing else goes to the pedal (common practice).
func TestWhoPlaysWhat(t *testing.T) {
	o := organ(t, "minster")
	for _, c := range []struct {
		names []string
		want  string
	}{
		{[]string{"Right hand", "Left hand", "Pedal"}, "Great Great Pedal"},
		{[]string{"Right hand", "Pedal", "Left hand"}, "Great Pedal Great"},
		{[]string{"right:right", "left:left", "pedal:pedal"}, "Great Great Pedal"},
		{[]string{"Rechte Hand", "Linke Hand", "Pedal"}, "Great Great Pedal"},
		{[]string{"Main droite", "Main gauche", "Pédale"}, "Great Great Pedal"},
		{[]string{"Mano destra", "Mano sinistra", "Pedaliera"}, "Great Great Pedal"},
		{[]string{"Organ (Swell)", "Organ (Great)", "Organ Pedal"}, "Swell Great Pedal"},
		{[]string{"Récit", "G.O.", "Péd."}, "Swell Great Pedal"},
		{[]string{"Manual II (R.H.)", "Manual I (L.H.)", "Ped."}, "Great Choir Pedal"},
		{[]string{":1", ":2", ":3"}, "Great Great Pedal"},
		{[]string{"Track 2", ":1", "Track 4"}, "Great Great Pedal"},
		{[]string{"Organ (track 2)", "Organ (track 3)", "Organ (track 4)"}, "Great Great Pedal"},
		{[]string{"Channel 1", "Channel 2", "Channel 3"}, "Great Great Pedal"},
		{[]string{"upper:a", "lower:b", "fugapedal:fugapedal"}, "Great Great Pedal"},
	} {
		p := build(t, trio(c.names...), o, Options{})
		assert.Equal(t, c.want, divisions(o, p), "%q", c.names)
		assert.Len(t, p.Notes, 30, "%q: notes are missing", c.names)
	}
}

func TestTwoPartsOfWhichOneNamesThePedal(t *testing.T) {
	o := organ(t, "minster")
	s := page(4, "right:right", "pedal:pedal")
	line(s, 0, 80, 0, 72, 74, 76, 77)
	line(s, 1, 80, 0, 48, 50, 52, 53)
	assert.Equal(t, "Great Pedal", divisions(o, build(t, s, o, Options{})))
}

// Two unnamed tracks: a low single line under a part as wide as two hands is the pedal's; two hands of a piano are not.
func TestTwoUnnamedParts(t *testing.T) {
	o := organ(t, "minster")
	s := page(4, "Track 2", "Track 3")
	for _, k := range [][]int{{76, 77, 79, 77, 76, 74}, {72, 74, 76, 74, 72, 71}, {55, 57, 59, 57, 55, 55}} {
		line(s, 0, 80, 0, k...)
	}
	line(s, 1, 80, 0, 36, 41, 43, 41, 36, 43)
	assert.Equal(t, "Great Pedal", divisions(o, build(t, s, o, Options{})))

	hands := page(4, "Piano (track 2)", "Piano (track 3)")
	line(hands, 0, 80, 0, 72, 74, 76, 77, 79, 77)
	line(hands, 1, 80, 0, 48, 52, 55, 52, 48, 43)
	assert.Equal(t, "Great Great", divisions(o, build(t, hands, o, Options{})))
}

// An export that writes the bass a second time, an octave lower, for players without a 16 ft stop: it is known, said and can be switched back.
func TestABassPrintedTwice(t *testing.T) {
	o := organ(t, "minster")
	make4 := func(names ...string) *score.Score {
		s := page(4, names...)
		line(s, 0, 80, 0, 72, 74, 76, 77, 79, 77, 76, 74)
		line(s, 1, 80, 0, 60, 62, 64, 65, 64, 62, 60, 59)
		line(s, 2, 80, 0, 48, 50, 43, 41, 48, 50, 43, 48)
		line(s, 3, 80, 0, 36, 38, 31, 29, 36, 38, 31, 36)
		return s
	}
	p := build(t, make4("Track 2", "Track 3", "Track 4", "Track 5"), o, Options{})
	assert.Equal(t, "Great Great Pedal -", divisions(o, p))
	assert.Contains(t, p.Assignments[3].Why, `--assign "Track 5=Pedal" plays it`)
	assert.True(t, p.Assignments[3].Assumed())

	p = build(t, make4("RH", "LH", "Pedal", "Pedal 16"), o, Options{})
	assert.Equal(t, "Great Great Pedal -", divisions(o, p))

	p = build(t, make4("RH", "LH", "Pedal", "Pedal 16"), o, Options{Assign: map[string]string{"Pedal 16": "Pedal"}})
	assert.Equal(t, "Great Great Pedal Pedal", divisions(o, p))
	p = build(t, make4("RH", "LH", "Pedal", "Pedal 16"), o, Options{Assign: map[string]string{"LH": "none"}})
	assert.Equal(t, "Great - Pedal -", divisions(o, p))
	assert.Len(t, p.Notes, 16)
}

// Two staves of one organ part with a pedal point under hands that are full: the feet have it, and the page says so.
func TestALowHeldNoteUnderFullHandsIsThePedals(t *testing.T) {
	o := organ(t, "minster")
	ped, _ := o.DivisionByName("Pedal")
	s := page(4, "Organ, staff 1", "Organ, staff 2")
	for i := range s.Parts {
		s.Parts[i].Track, s.Parts[i].Staff = 1, i+1
	}
	line(s, 0, 80, 0, 76, 77, 79, 77, 76, 74, 72, 74)
	line(s, 0, 80, 0, 72, 74, 76, 74, 72, 71, 67, 71)
	line(s, 1, 80, 0, 60, 62, 64, 62, 60, 59, 55, 55)
	line(s, 1, 80, 0, 55, 57, 59, 57, 55, 53, 52, 53)
	s.Notes = append(s.Notes, score.Note{ID: 100, Part: 1, Key: 36, Velocity: 80, On: 0, Off: 4000}, score.Note{ID: 101, Part: 1, Key: 31 + 12, Velocity: 80, On: 4000, Off: 8000})
	s.SortNotes()
	p := build(t, s, o, Options{})
	assert.Equal(t, "Great Great", divisions(o, p))
	var feet []int
	for _, n := range p.Notes {
		if n.Division == ped {
			feet = append(feet, n.Key)
		}
	}
	assert.Contains(t, feet, 36)
	assert.NotZero(t, p.RegistrationAt(0.5).Stops[ped], "the pedal has stops for it")
	assert.Contains(t, p.Assignments[1].Why, `--assign "Organ, staff 2=Great" keeps them`)

	onPedal := func(p *Performance) (n int) {
		for _, x := range p.Notes {
			if x.Division == ped {
				n++
			}
		}
		return n
	}
	assert.Zero(t, onPedal(build(t, s, o, Options{Assign: map[string]string{"Organ, staff 2": "Great"}})))
	for text, resting := range map[string]bool{"senza Ped.": true, "ohne Pedal": true, "sans péd.": true, "sin pedal": true, "zonder pedaal": true, "Man.": true, "manualiter": true, "Ped.": false, "con Ped.": false} {
		s.Words = []score.Word{{Part: 1, Kind: score.Direction, Text: text}}
		p = build(t, s, o, Options{})
		assert.Equal(t, resting, onPedal(p) == 0, text)
		assert.Empty(t, p.Unread, text)
		assert.Zero(t, p.Instructions, text)
	}
	s.Words = []score.Word{{Part: 1, Kind: score.Direction, Text: "senza Ped."}, {At: 4000, Part: 1, Kind: score.Direction, Text: "Ped."}}
	assert.Equal(t, 1, onPedal(build(t, s, o, Options{})), "from there on the feet play")
}

// Three staves of one part, unnamed: the lowest is the pedal's; a voice of the left hand that goes down to it for a
// moment stays with the hand.
func TestAVoiceThatVisitsAnotherStaff(t *testing.T) {
	o := organ(t, "minster")
	s := page(4, "Organ, staff 1", "Organ, staff 2", "Organ, staff 3")
	for i := range s.Parts {
		s.Parts[i].Track, s.Parts[i].Staff = 1, i+1
	}
	line(s, 0, 80, 0, 76, 77, 79, 77, 76, 74, 72, 74)
	line(s, 1, 80, 0, 60, 62, 64, 62, 60, 59, 55, 55)
	line(s, 2, 80, 0, 36, 38, 40, 41, 43, 43, 36, 43)
	for i := range s.Notes {
		n := &s.Notes[i]
		n.Voice = n.Part + 1
		if n.Part == 1 && n.On == 6000 {
			n.Part = 2
		}
	}
	s.SortNotes()
	p := build(t, s, o, Options{})
	assert.Equal(t, "Great Great Pedal", divisions(o, p))
	assert.Contains(t, p.Assignments[2].Why, "the lowest of 3 staves")
	gt, _ := o.DivisionByName("Great")
	for _, n := range p.Notes {
		if n.Key == 55 {
			assert.Equal(t, gt, n.Division)
		}
	}
}

// Words that were not read must not leave the wrong stops on; a mark later than the words goes before them.
func TestWordsAndLaterMarks(t *testing.T) {
	o := organ(t, "minster")
	ped, _ := o.DivisionByName("Pedal")
	make3 := func(words ...score.Word) *score.Score {
		s := page(8, "Swell", "Pedal")
		line(s, 0, 80, 0, 72, 74, 76, 77)
		line(s, 1, 80, 0, 36, 38, 40, 41, 43, 43, 36, 43, 36, 38, 40, 41)
		s.Words = words
		return s
	}
	mark := func(at score.Tick, text string) score.Word {
		return score.Word{At: at, Part: 1, Kind: score.Mark, Text: text}
	}
	say := func(at score.Tick, text string) score.Word {
		return score.Word{At: at, Part: 1, Kind: score.Direction, Text: text}
	}
	for _, text := range []string{"Ped. 16, 8 soft", "Soft Pedal 16", "Ped. reduce", "Ped. 16 8 (uncoupled)"} {
		p := build(t, make3(mark(0, "fff"), say(4000, text)), o, Options{})
		before, after := p.RegistrationAt(1), p.RegistrationAt(5)
		for s := range o.Divisions[ped].Stops {
			stop := &o.Divisions[ped].Stops[s]
			if after.Stops[ped]>>s&1 != 0 && text != "Ped. reduce" {
				assert.False(t, stop.Feet == 32 || stop.Family == voicing.Reed, "%q leaves %s", text, stop.Name)
			}
		}
		assert.NotEqual(t, before.Stops[ped], after.Stops[ped], text)
		assert.NotZero(t, after.Stops[ped], text)
		assert.Zero(t, p.Instructions, text)
	}
	p := build(t, make3(mark(0, "p"), say(0, "Ped. 16"), mark(4000, "ff")), o, Options{})
	assert.Equal(t, []string{"Pedal: Open Diapason 16", "Pedal: Bourdon 16"}, o.Describe(voicing.Registration{Stops: onlyOf(p.RegistrationAt(1), ped)}))
	assert.Equal(t, o.Plan("ff", ped).Stops[ped], p.RegistrationAt(5).Stops[ped], "the later mark wins")

	p = build(t, make3(mark(0, "p"), say(0, "Ped. Zauberbass 16, Wolkenflöte"), say(4000, "dolce")), o, Options{})
	assert.Equal(t, 1, p.Instructions, "one speaks of stops, the other of expression")
	require.Len(t, p.Unread, 2)
}

func onlyOf(r voicing.Registration, d int) (out [voicing.MaxDivisions]uint64) {
	out[d] = r.Stops[d]
	return out
}

// FORMAT.md: a named division is set afresh, each of those on a line.
func TestAStopsLineSetsEachDivisionAfresh(t *testing.T) {
	o := organ(t, "minster")
	lines, err := voicing.ParseStopsFile(o, []byte("bar 1: Sw Gedackt; Ch Cromorne\n"), "x.stops")
	require.NoError(t, err)
	s := page(2, "Swell", "Choir")
	line(s, 0, 112, 0, 60, 62)
	line(s, 1, 112, 0, 72, 74)
	p := build(t, s, o, Options{Stops: lines})
	sw, _ := o.DivisionByName("Swell")
	ch, _ := o.DivisionByName("Choir")
	r := p.RegistrationAt(0.5)
	assert.Equal(t, []string{"Swell: Gedackt 8"}, o.Describe(voicing.Registration{Stops: onlyOf(r, sw)}))
	assert.Equal(t, []string{"Choir: Cromorne 8"}, o.Describe(voicing.Registration{Stops: onlyOf(r, ch)}))
}

// The lowest of three staves is the pedal's, octaves that double the left hand and a note beyond the last key included.
func TestPedalInOctavesOnTheThirdStaff(t *testing.T) {
	s := page(4, "Orgue", "Orgue", "Orgue")
	for i := range s.Parts {
		s.Parts[i].Track, s.Parts[i].Staff = 1, i+1
	}
	line(s, 0, 80, 0, 72, 74, 76, 77, 79, 77, 76, 74, 72, 74)
	low := []int{36, 40, 43, 38, 45, 41, 36, 40, 43, 38, 57}
	line(s, 2, 80, 0, low...)
	for i := range low {
		low[i] += 12
	}
	line(s, 1, 80, 0, low...)
	line(s, 2, 80, 0, low...)
	s.SortNotes()
	o := organ(t, "minster")
	assert.Equal(t, "Great Great Pedal", divisions(o, build(t, s, o, Options{})))
}
