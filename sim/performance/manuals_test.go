package performance

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/sim/score"
	"afterchord/voicing"
)

// over is a word over a staff.
func over(at score.Tick, part int, text string) score.Word {
	return score.Word{At: at, Part: part, Kind: score.Direction, Text: text}
}

func TestHandsChangeManual(t *testing.T) {
	o := organ(t, "minster")
	for _, c := range []struct {
		name  string
		part  string
		words []score.Word
		want  []string // division of each crotchet
	}{
		{"no words", "Organ, staff 1", nil, []string{"Great", "Great", "Great", "Great"}},
		{"from the beginning", "Organ, staff 1", []score.Word{over(0, 0, "Sw.")}, []string{"Swell", "Swell", "Swell", "Swell"}},
		{"there and back", "Organ, staff 1", []score.Word{over(1000, 0, "Sw."), over(3000, 0, "Gt.")}, []string{"Great", "Swell", "Swell", "Great"}},
		{"a number", "Organ, staff 1", []score.Word{over(2000, 0, "III")}, []string{"Great", "Great", "Swell", "Swell"}},
		{"in German", "Organ, staff 1", []score.Word{over(2000, 0, "auf Schwellwerk")}, []string{"Great", "Great", "Swell", "Swell"}},
		{"with its stops", "Organ, staff 1", []score.Word{over(2000, 0, "Sw. 8, 4")}, []string{"Great", "Great", "Swell", "Swell"}},
		{"a list of stops is no change", "Organ, staff 1", []score.Word{over(0, 0, "Sw. 8, 4"), over(0, 0, "Gt. 8")}, []string{"Great", "Great", "Great", "Great"}},
		{"stops of another division than the part's own", "Great", []score.Word{over(0, 0, "Sw. 8, 4")}, []string{"Great", "Great", "Great", "Great"}},
		{"a part with a name goes too", "Great", []score.Word{over(2000, 0, "Sw.")}, []string{"Great", "Great", "Swell", "Swell"}},
		{"the box is no change", "Organ, staff 1", []score.Word{over(0, 0, "Sw. box closed")}, []string{"Great", "Great", "Great", "Great"}},
		{"words with another sense", "Organ, staff 1", []score.Word{over(0, 0, "Man."), over(1000, 0, "Solo"), over(2000, 0, "espressivo"), over(3000, 0, "3")}, []string{"Great", "Great", "Great", "Great"}},
		{"hands do not go to the pedal", "Organ, staff 1", []score.Word{over(0, 0, "Ped. 16, 8"), over(1000, 0, "Ped.")}, []string{"Great", "Great", "Great", "Great"}},
		{"feet stay", "Pedal", []score.Word{over(0, 0, "Sw.")}, []string{"Pedal", "Pedal", "Pedal", "Pedal"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := page(1, c.part)
			line(s, 0, 80, 0, 48, 50, 52, 53)
			s.Words = c.words
			p := build(t, s, o, Options{})
			var got []string
			for _, n := range p.Notes {
				got = append(got, o.Divisions[n.Division].Name)
				assert.Equal(t, n.Division, p.passageAt(t, s, n.OnS).Division)
			}
			assert.Equal(t, c.want, got)
		})
	}
	s := page(1, "Organ, staff 1")
	line(s, 0, 80, 0, 48, 50, 52, 53)
	s.Words = []score.Word{over(1000, 0, "Sw."), over(2000, 0, "quasi lontano"), over(3000, 0, ","), over(3000, 0, "■ fail 3, covered entry: 9 Great stops are lost"),
		over(3000, 0, "▲ 12 run together (weakened): 4 Swell stops")}
	p := build(t, s, o, Options{Assign: map[string]string{"Part 1": "Choir"}})
	assert.Equal(t, "Choir", o.Divisions[p.Notes[3].Division].Name, "the user's word stands")
	p = build(t, s, o, Options{})
	require.Len(t, p.Unread, 1, "a manual that is played is no remark")
	assert.Contains(t, p.Unread[0].Text, "quasi lontano")
	assert.Contains(t, p.Assignments[0].Why, "Swell from bar 1")
}

// passageAt is the passage that holds at a time.
func (p *Performance) passageAt(t *testing.T, s *score.Score, at float64) Passage {
	t.Helper()
	for _, x := range p.Passages {
		if x.From <= s.TickAt(at) && s.TickAt(at) < x.To {
			return x
		}
	}
	require.Fail(t, "no passage", "%g s", at)
	return Passage{}
}

// A hairpin over a part that has gone to the Swell moves the Swell's box.
func TestHairpinAfterAChangeOfManual(t *testing.T) {
	o := organ(t, "minster")
	sw, _ := o.DivisionByName("Swell")
	s := page(3, "Organ, staff 1")
	line(s, 0, 80, 0, 60, 62, 64, 65, 67, 65, 64, 62)
	hairpin := func(at score.Tick) score.Word {
		return score.Word{At: at, Part: 0, Kind: score.Hairpin, Text: "crescendo"}
	}
	s.Words = []score.Word{hairpin(0), over(4000, 0, "Sw."), hairpin(5000)}
	p := build(t, s, o, Options{})
	require.Len(t, p.Box, 3)
	for _, m := range p.Box {
		assert.Equal(t, sw, m.Division)
		assert.GreaterOrEqual(t, m.AtS, 4.0)
	}
	drawn := p.RegistrationAt(4.5)
	assert.NotEqual(t, voicing.Registration{}.Stops[sw], drawn.Stops[sw], "stops are drawn where the hands go")
}

// Where the music goes back, the hands are where they were the first time.
func TestHandsAfterARepeat(t *testing.T) {
	o := organ(t, "minster")
	s := page(5, "Organ, staff 1")
	for i, n := range []int{1, 2, 1, 2, 3} {
		s.Bars[i].Number = n
	}
	for i := range 5 {
		line(s, 0, 80, score.Tick(4000*i), 60)
	}
	s.Words = []score.Word{over(4000, 0, "Sw."), over(12000, 0, "Sw.")} // over bar 2, both times
	var got []string
	for _, n := range build(t, s, o, Options{}).Notes {
		got = append(got, o.Divisions[n.Division].Name)
	}
	assert.Equal(t, []string{"Great", "Swell", "Great", "Swell", "Swell"}, got)
}
