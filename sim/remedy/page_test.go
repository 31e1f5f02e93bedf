package remedy

import (
	"context"
	"strings"
	"testing"

	"afterchord/acoustics/room"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/score"
	"afterchord/voicing"

	"github.com/stretchr/testify/require"
)

// tpc is the resolution of the test pages.
const tpc = 480

// write puts keys at even steps: tokens are MIDI keys joined by + ("60+64+67"), "." a rest, each step ticks long,
// each note held for hold of it.
func write(s *score.Score, part int, at, step score.Tick, hold float64, tokens string) {
	for _, tok := range strings.Fields(tokens) {
		for _, k := range strings.Split(tok, "+") {
			if k == "." {
				continue
			}
			key := 0
			for _, c := range k {
				key = 10*key + int(c-'0')
			}
			s.Notes = append(s.Notes, score.Note{ID: len(s.Notes) + 1, Part: part, Key: key, Velocity: 80,
				On: at, Off: at + score.Tick(hold*float64(step)), Written: step})
		}
		at += step
	}
}

// page is an empty 4/4 score of so many bars for Great, Swell and Pedal.
func page(bars int, tempo float64) *score.Score {
	s := &score.Score{Title: "test", File: "test.mid", Format: "SMF 1", TicksPerCrotchet: tpc,
		Parts:  []score.Part{{Name: "Great", Track: 2, Channel: 1}, {Name: "Swell", Track: 3, Channel: 2}, {Name: "Pedal", Track: 4, Channel: 3}},
		Tempos: []score.Tempo{{At: 0, Crotchets: tempo}}, Metres: []score.Metre{{At: 0, Beats: 4, Unit: 4}}}
	for b := range bars {
		s.Bars = append(s.Bars, score.Bar{Number: b + 1, Start: score.Tick(b) * 4 * tpc, Length: 4 * tpc, Metre: s.Metres[0]})
	}
	s.End = score.Tick(bars) * 4 * tpc
	return s
}

func mark(s *score.Score, part int, at score.Tick, d string) {
	s.Words = append(s.Words, score.Word{At: at, Part: part, Kind: score.Mark, Text: d})
}

func ready(s *score.Score) *score.Score {
	s.SortNotes()
	s.Index()
	return s
}

func input(t testing.TB, s *score.Score, roomName, organ string) proof.Input {
	t.Helper()
	r, ok := room.BuiltIn(roomName)
	require.True(t, ok)
	seat, err := r.Seat("middle")
	require.NoError(t, err)
	o, ok := voicing.BuiltIn(organ)
	require.True(t, ok)
	return proof.Input{Score: ready(s), Room: r, Seat: seat, Organ: o}
}

// findingsOf proves and lists the findings of a kind.
func findingsOf(t testing.TB, in proof.Input, kind string) []finding.Finding {
	t.Helper()
	p, err := proof.Run(context.Background(), in)
	require.NoError(t, err)
	var out []finding.Finding
	for _, f := range p.Document.Findings {
		if f.Kind == kind {
			out = append(out, f)
		}
	}
	return out
}

// try is one remedy on the first finding of a kind.
func try(t testing.TB, in proof.Input, kind, remedy string) Result {
	t.Helper()
	fs := findingsOf(t, in, kind)
	require.NotEmpty(t, fs, "no %s to mend", kind)
	r, ok := Find(remedy)
	require.True(t, ok)
	rs, err := Mend(context.Background(), in, fs[0], []Remedy{r})
	require.NoError(t, err)
	require.Len(t, rs, 1)
	return rs[0]
}
