package performance_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/performance"
	"afterchord/sim/pipework"
	"afterchord/sim/score"
	"afterchord/voicing"
)

// scoreOf makes a score of whatever bytes: six make a note or a word.
func scoreOf(data []byte) *score.Score {
	s := &score.Score{File: "fuzz.mid", TicksPerCrotchet: 480, Metres: []score.Metre{{Beats: 4, Unit: 4}},
		Tempos: []score.Tempo{{Crotchets: 60}}}
	for i, n := range []string{"Great", "Swell", "Pedal", "", "Positif"} {
		s.Parts = append(s.Parts, score.Part{Name: n, Track: i + 1})
	}
	marks := []string{"ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "sffz", ""}
	words := []string{"box closed", "Sw box 30%", "8' flutes", "+ Sw to Gt", "Gt: -Mixture", "tutti", "Ped 16'", "piston 2", "senza tremolo", "half open"}
	hairpins := []string{"crescendo", "diminuendo", "stop"}
	for ; len(data) >= 6; data = data[6:] {
		at := score.Tick(data[0])<<6 + score.Tick(data[1])
		part := int(data[2]) % len(s.Parts)
		switch x := int(data[4]); data[3] >> 5 {
		default:
			s.Notes = append(s.Notes, score.Note{ID: len(s.Notes), Part: part, Key: int(data[3]&31) + int(data[4])%97, Velocity: 1 + int(data[5])%127,
				On: at, Off: at + score.Tick(data[5])*8})
		case 5:
			s.Words = append(s.Words, score.Word{At: at, Part: part - 1, Kind: score.Mark, Text: marks[x%len(marks)]})
		case 6:
			s.Words = append(s.Words, score.Word{At: at, Part: part - 1, Kind: score.Hairpin, Text: hairpins[x%len(hairpins)]})
		case 7:
			s.Words = append(s.Words, score.Word{At: at, Part: part - 1, Kind: score.Direction, Text: words[x%len(words)]})
		}
		s.End = max(s.End, at+2048)
	}
	for n := 0; score.Tick(n*1920) < s.End; n++ {
		s.Bars = append(s.Bars, score.Bar{Number: n + 1, Start: score.Tick(n * 1920), Length: 1920, Metre: s.Metres[0]})
	}
	slices.SortStableFunc(s.Words, func(a, b score.Word) int { return int(a.At - b.At) })
	s.SortNotes()
	return s
}

// Whatever is on the page, what is played is in order: keys go up after they go down, times do
// not go back, a registration stands from the start, the box stays between shut and open, and of each pipe
// one event ends before the next begins.
func FuzzBuild(f *testing.F) {
	f.Add([]byte("Great music for the afternoon, played twice and then once more without the pedal."), byte(0))
	f.Add([]byte{0, 0, 1, 0xc0, 0, 0, 0, 0, 1, 20, 40, 90, 10, 0, 1, 0xc0, 2, 0, 10, 0, 1, 0xe0, 0, 0, 11, 0, 1, 20, 40, 90}, byte(1))
	f.Add([]byte{0, 0, 0, 30, 30, 0, 0, 0, 0, 30, 30, 0, 0, 0, 2, 30, 30, 255, 9, 9, 0, 0xa0, 9, 0, 9, 9, 0, 0xa0, 7, 0}, byte(2))
	organs := voicing.BuiltIns()
	f.Fuzz(func(t *testing.T, data []byte, which byte) {
		if len(data) > 3000 {
			return
		}
		o, _ := voicing.BuiltIn(organs[int(which)%len(organs)])
		s := scoreOf(data)
		p, err := performance.Build(s, o, performance.Options{})
		require.NoError(t, err)
		require.Len(t, p.Assignments, len(s.Parts))
		require.LessOrEqual(t, len(p.Notes), len(s.Notes))
		for i, n := range p.Notes {
			require.LessOrEqual(t, n.OnS, n.OffS)
			require.LessOrEqual(t, n.OffS, p.EndS)
			require.True(t, i == 0 || p.Notes[i-1].OnS <= n.OnS)
			require.True(t, n.Division >= 0 && n.Division < len(o.Divisions))
		}
		require.NotEmpty(t, p.Changes)
		require.Zero(t, p.Changes[0].AtS)
		for i, c := range p.Changes {
			require.True(t, i == 0 || p.Changes[i-1].AtS <= c.AtS)
		}
		for i, m := range p.Box {
			require.True(t, m.Open >= 0 && m.Open <= 1 && m.AtS >= 0)
			require.True(t, i == 0 || p.Box[i-1].AtS <= m.AtS)
			require.True(t, o.Divisions[m.Division].Enclosed)
		}
		last := map[voicing.PipeID]float64{}
		before := -1.0
		for _, e := range pipework.Schedule(o, p) {
			require.LessOrEqual(t, before, e.OnS)
			require.LessOrEqual(t, e.OnS, e.OffS)
			off, spoke := last[e.Pipe]
			require.True(t, !spoke || off < e.OnS, "pipe %v speaks twice at once", e.Pipe)
			last[e.Pipe], before = e.OffS, e.OnS
		}
	})
}
