package finding

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/performance"
	"afterchord/voicing"
)

// change draws mark on every division from atS on.
func change(c *Context, atS float64, mark string) {
	var by [voicing.MaxDivisions]string
	for d := range c.Organ.Divisions {
		by[d] = mark
	}
	c.Performance.Changes = append(c.Performance.Changes, performance.Change{AtS: atS, Tick: c.Score.TickAt(atS), Registration: c.Organ.Draw(by)})
}

// Stops drawn by hand want a free hand and time; a piston wants one press (common practice). The
// times are the working figures of the table.
func TestStopScramble(t *testing.T) {
	joined := append(chordOf(0, 4, 55, 60, 64, 67), chordOf(4, 4, 55, 60, 64, 67)...)
	rested := append(chordOf(0, 2, 55, 60, 64, 67), chordOf(8, 4, 55, 60, 64, 67)...)
	oneHand := append(tune(0, 1, 72, 74, 76, 77, 79, 77, 76, 74), chordOf(0, 1, 48, 52, 55)...)
	cases := []struct {
		name, organ string
		part        string
		at          float64
		notes       int
		want        string
		severity    Severity
	}{
		{"no rest, no pistons", "village", "joined", 4, 0, "there are no pistons", Fail},
		{"six seconds of rest", "village", "rested", 4, 0, "", ""},
		{"left hand free", "village", "oneHand", 4, 0, "", ""},
		{"pistons, but no rest", "minster", "joined", 4, 0, "one piston", Notice},
		{"pistons and rest", "minster", "rested", 4, 0, "", ""},
	}
	for _, x := range cases {
		t.Run(x.name, func(t *testing.T) {
			notes := map[string]line{"joined": {"Great", joined}, "rested": {"Great", rested}, "oneHand": {"Great", oneHand}}[x.part]
			lines := []line{notes}
			if x.organ == "minster" { // a foot on the pedals has no toe for the piston
				lines = append(lines, line{"Pedal", chordOf(0, 12, 36)})
			}
			c := draw(play(t, x.organ, page(60, lines...)), "ff")
			if x.part == "joined" {
				for i := range c.Performance.Notes { // legato to the hair
					if n := &c.Performance.Notes[i]; n.OnS == 0 && n.OffS < 4 {
						c.Performance.Notes[i].OffS = 4
					}
				}
			}
			change(c, x.at, "p")
			got := StopScramble(c)
			wellFormed(t, KindStopScramble, got)
			if x.want == "" {
				require.Empty(t, words(got))
				return
			}
			require.Len(t, got, 1)
			require.Contains(t, got[0].Message, x.want)
			require.Equal(t, x.severity, got[0].Severity)
			require.GreaterOrEqual(t, got[0].Measured["knobs"], 4.0)
		})
	}
}

func TestScrambleCountsThePedal(t *testing.T) {
	c := draw(play(t, "village", page(60, line{"Great", chordOf(0, 8, 55, 60, 64, 67)}, line{"Pedal", tune(0, 8, 36)})), "ff")
	change(c, 4, "pp")
	got := StopScramble(c)
	require.Len(t, got, 1)
	a, b := c.Performance.Changes[0].Registration, c.Performance.Changes[1].Registration
	on, off := c.Organ.Diff(a, b)
	require.EqualValues(t, len(on)+len(off), got[0].Measured["knobs"]) // counted another way, by the names that Diff lists
	require.Greater(t, got[0].Measured["pedal_knobs"], 0.0)
	require.Contains(t, strings.Join(got[0].Try, "\n"), "leave the pedal out")
}

func TestScrambleOffersPreparedManuals(t *testing.T) {
	c := play(t, "village", page(60, line{"Great", append(chordOf(0, 4, 55, 60, 64, 67), chordOf(4, 4, 55, 60, 64, 67)...)}))
	var by [voicing.MaxDivisions]string
	by[0] = "f"
	c.Performance.Changes = []performance.Change{{Registration: c.Organ.Draw(by)}}
	by[0] = "p"
	c.Performance.Changes = append(c.Performance.Changes, performance.Change{AtS: 4, Registration: c.Organ.Draw(by)})
	got := StopScramble(c)
	require.Len(t, got, 1)
	require.Contains(t, strings.Join(got[0].Try, "\n"), "prepare the new sound on the Swell")
}

// Two prepared manuals spare the hands; the pedal and its couplers still have to come down (common practice).
func TestPreparedManualsLeaveThePedal(t *testing.T) {
	c := play(t, "village", page(60, line{"Great", chordOf(0, 4, 48, 55, 64, 72)}, line{"Swell", chordOf(4, 4, 48, 55, 64, 72)}, line{"Pedal", tune(0, 4, 36, 36)}))
	var by [voicing.MaxDivisions]string
	by[0], by[1], by[2] = "ff", "p", "ff"
	loud := c.Organ.Draw(by)
	by[2] = "p"
	soft := c.Organ.Draw(by)
	c.Performance.Changes = []performance.Change{{Registration: loud}, {AtS: 4, Registration: soft}}
	got := StopScramble(c)
	require.Len(t, got, 1)
	require.Contains(t, got[0].Message, "the pedal and its couplers must change too")
	require.Equal(t, got[0].Measured["knobs"], got[0].Measured["pedal_knobs"])

	// where the pedal is prepared as well, nothing is left to do
	c.Performance.Changes[1].Registration = loud
	require.Empty(t, words(StopScramble(c)))
}
