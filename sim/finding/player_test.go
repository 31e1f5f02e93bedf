package finding

import (
	"context"
	"slices"
	"testing"

	"afterchord/acoustics/hearing"
	"afterchord/acoustics/room"
	"afterchord/sim/field"
	"afterchord/sim/performance"
	"afterchord/sim/pipework"
	"afterchord/sim/score"
	"afterchord/voicing"

	"github.com/stretchr/testify/require"
)

// line is one part of a small test score.
type line struct {
	name  string
	notes []score.Note
}

const crotchet = 480

// key is a note at a place, in crotchets from the start.
func key(k int, on, length float64) score.Note {
	return score.Note{Key: k, Velocity: 80, On: score.Tick(on * crotchet), Off: score.Tick((on + length) * crotchet)}
}

// chordOf is several keys together.
func chordOf(on, length float64, keys ...int) []score.Note {
	var out []score.Note
	for _, k := range keys {
		out = append(out, key(k, on, length))
	}
	return out
}

// tune is one key after another, joined.
func tune(on, each float64, keys ...int) []score.Note {
	var out []score.Note
	for i, k := range keys {
		out = append(out, key(k, on+float64(i)*each, each))
	}
	return out
}

// page makes a score in 4/4 from its lines.
func page(tempo float64, lines ...line) *score.Score {
	s := &score.Score{Title: "test", File: "test.mid", TicksPerCrotchet: crotchet,
		Tempos: []score.Tempo{{Crotchets: tempo}}, Metres: []score.Metre{{Beats: 4, Unit: 4}}}
	for p, l := range lines {
		s.Parts = append(s.Parts, score.Part{Name: l.name, Track: p + 1, Channel: p + 1})
		for _, n := range l.notes {
			n.Part, n.ID, n.Written = p, len(s.Notes)+1, n.Off-n.On
			s.Notes = append(s.Notes, n)
			s.End = max(s.End, n.Off)
		}
	}
	for at, n := score.Tick(0), 1; at < s.End; at, n = at+4*crotchet, n+1 {
		s.Bars = append(s.Bars, score.Bar{Number: n, Start: at, Length: 4 * crotchet, Metre: s.Metres[0]})
	}
	s.SortNotes()
	s.Index()
	return s
}

// play puts a score on a built-in organ, without a room.
func play(t *testing.T, organ string, s *score.Score) *Context {
	t.Helper()
	o, ok := voicing.BuiltIn(organ)
	require.True(t, ok)
	p, err := performance.Build(s, o, performance.Options{})
	require.NoError(t, err)
	return &Context{Score: s, Organ: o, Performance: p, Thresholds: Defaults()}
}

var testEar = hearing.New(hearing.Options{})

// hear adds a room; change edits the performance first.
func hear(t *testing.T, c *Context, roomName string) *Context {
	t.Helper()
	r, ok := room.BuiltIn(roomName)
	require.True(t, ok)
	seat, err := r.Seat("middle")
	require.NoError(t, err)
	c.Hearing = testEar
	c.Events = pipework.Schedule(c.Organ, c.Performance)
	c.Field, err = field.Run(context.Background(), field.NewHall(c.Organ, r, seat, testEar, c.Performance.Box), c.Events, c.Performance)
	require.NoError(t, err)
	return c
}

// draw holds one registration from the start, by dynamic mark of each division.
func draw(c *Context, mark string) *Context {
	var by [voicing.MaxDivisions]string
	for d := range c.Organ.Divisions {
		by[d] = mark
	}
	c.Performance.Changes = []performance.Change{{Registration: c.Organ.Draw(by)}}
	return c
}

func words(fs []Finding) []string {
	var out []string
	for _, f := range fs {
		out = append(out, f.Message)
	}
	return out
}

func severities(fs []Finding) []Severity {
	var out []Severity
	for _, f := range fs {
		out = append(out, f.Severity)
	}
	return out
}

// wellFormed checks what every finding owes the report.
func wellFormed(t *testing.T, kind string, fs []Finding) {
	t.Helper()
	for _, f := range fs {
		require.Equal(t, kind, f.Kind)
		require.NotEmpty(t, f.Message)
		require.NotEmpty(t, f.Try)
		require.NotEmpty(t, f.Measured)
		require.GreaterOrEqual(t, f.Count, 1)
		require.LessOrEqual(t, f.AtS, f.UntilS, f.Message)
		require.True(t, slices.Contains([]Severity{Notice, Warning, Fail}, f.Severity))
	}
}
