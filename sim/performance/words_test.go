package performance

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/sim/score"
	"afterchord/voicing"
)

// Words over a staff concern its own division where they name none.
func TestWordsOverAStaffConcernItsDivision(t *testing.T) {
	o, ok := voicing.BuiltIn("village")
	require.True(t, ok)
	s := &score.Score{TicksPerCrotchet: 480, Tempos: []score.Tempo{{Crotchets: 60}}, Metres: []score.Metre{{Beats: 4, Unit: 4}},
		Bars:  []score.Bar{{Number: 1, Length: 1920, Metre: score.Metre{Beats: 4, Unit: 4}}},
		Parts: []score.Part{{Name: "Great", Track: 1}, {Name: "Pedal", Track: 2}},
		Notes: []score.Note{{ID: 0, Part: 0, Key: 60, Velocity: 80, Off: 1920}, {ID: 1, Part: 1, Key: 40, Velocity: 80, Off: 1920}},
		Words: []score.Word{{At: 960, Part: 0, Kind: score.Direction, Text: "8' flutes"}}, End: 1920}
	p, err := Build(s, o, Options{})
	require.NoError(t, err)
	great, _ := o.DivisionByName("Great")
	pedal, _ := o.DivisionByName("Pedal")
	require.Len(t, p.Changes, 2)
	assert.NotEqual(t, p.Changes[0].Registration.Stops[great], p.Changes[1].Registration.Stops[great])
	assert.Equal(t, p.Changes[0].Registration.Stops[pedal], p.Changes[1].Registration.Stops[pedal])
}

// A piston of which nothing says what it is set to is named, and counted.
func TestAPistonWithoutAPlan(t *testing.T) {
	o := organ(t, "minster")
	for text, played := range map[string]bool{"Sw. piston 1": false, "Gt. & Ped. pistons 3": false, "Setzer 4": false, "General 3": true} {
		s := page(2, "Swell")
		line(s, 0, 80, 0, 60, 62, 64, 65)
		s.Words = []score.Word{{Part: 0, Kind: score.Direction, Text: text}}
		p := build(t, s, o, Options{})
		if played {
			assert.Empty(t, p.Unread, text)
			continue
		}
		require.Len(t, p.Unread, 1, text)
		assert.Contains(t, p.Unread[0].Text, "nothing says what this piston is set to", text)
		assert.Equal(t, 1, p.Instructions, text)
	}
}

// Two accents do not move the dynamic of the passage they stand in.
func TestAccentsDoNotMoveThePassage(t *testing.T) {
	s := &score.Score{TicksPerCrotchet: 480, Tempos: []score.Tempo{{Crotchets: 60}}, Parts: []score.Part{{Name: "Great"}}}
	for i := range 24 {
		v := 64
		if i == 4 || i == 5 {
			v = 110
		}
		s.Notes = append(s.Notes, score.Note{ID: i, Key: 60, Velocity: v, On: score.Tick(i * 480), Off: score.Tick(i*480 + 400)})
	}
	s.End = 24 * 480
	p := byVelocity(s, 0)
	require.Len(t, p, 1)
	assert.Equal(t, score.MP, p[0].Dynamic)
}
