package proof_test

import (
	"context"
	"testing"

	"afterchord/acoustics/room"
	"afterchord/sim/proof"
	"afterchord/sim/score"
	"afterchord/voicing"

	"github.com/stretchr/testify/require"
)

// A hundred thousand notes on one tick, or in ten seconds, are refused in a line; what a toccata or a whole orchestra asks for is played.
func TestWhatNobodyCouldPlayIsRefused(t *testing.T) {
	for _, c := range []struct {
		name         string
		notes        int
		apart, holds score.Tick
		says         string
	}{
		{"all at once", 100000, 0, 480, "test.mid, bar 1, beat 1: more than 600 keys are down at once"},
		{"all at once and short", 100000, 0, 1, "more than 600 keys"},
		{"too dense", 20000, 1, 10, "more than 3000 keys are struck within 10 s"},
		{"held too long", 1000, 24, 480000, "more than 600 keys are down at once"},
		{"a toccata", 2000, 30, 60, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := newSmall(120, "Great")
			for i := range c.notes {
				at := score.Tick(i) * c.apart
				m.s.Notes = append(m.s.Notes, score.Note{ID: i, Key: 48 + i*7%36, Velocity: 80, On: at, Off: at + c.holds, Written: c.holds})
				m.s.End = max(m.s.End, at+c.holds)
			}
			for at := score.Tick(0); at < m.s.End; at += 1920 {
				m.s.Bars = append(m.s.Bars, score.Bar{Number: len(m.s.Bars) + 1, Start: at, Length: 1920, Metre: m.s.Metres[0]})
			}
			r, _ := room.BuiltIn("chapel")
			o, _ := voicing.BuiltIn("minster")
			seat, err := r.Seat("middle")
			require.NoError(t, err)
			_, err = proof.Play(proof.Input{Score: m.s, Room: r, Seat: seat, Organ: o})
			if c.says == "" {
				require.NoError(t, err)
				return
			}
			require.ErrorContains(t, err, c.says)
			_, err = proof.Run(context.Background(), proof.Input{Score: m.s, Room: r, Seat: seat, Organ: o})
			require.ErrorContains(t, err, c.says)
		})
	}
}
