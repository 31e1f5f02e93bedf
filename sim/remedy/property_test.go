package remedy

import (
	"bytes"
	"encoding/binary"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/finding"
	"afterchord/sim/performance"
	"afterchord/sim/proof"
	"afterchord/sim/score"
	"afterchord/sim/score/smf"
)

// random is a score of three parts with changing metres, as it comes from a MIDI file.
func random(t *testing.T, r *rand.Rand) *score.Score {
	t.Helper()
	s := &score.Score{Title: "random", File: "random.mid", TicksPerCrotchet: tpc, Parts: page(1, 60).Parts,
		Tempos: []score.Tempo{{At: 0, Crotchets: 50 + 100*r.Float64()}}}
	at := score.Tick(0)
	for b := range 6 {
		m := score.Metre{At: at, Beats: 2 + r.IntN(4), Unit: 4}
		if len(s.Metres) == 0 || s.Metres[len(s.Metres)-1].Beats != m.Beats {
			s.Metres = append(s.Metres, m)
		}
		s.Bars = append(s.Bars, score.Bar{Number: b + 1, Start: at, Length: score.Tick(m.Beats) * tpc, Metre: m})
		at += score.Tick(m.Beats) * tpc
	}
	s.End = at
	low := []int{48, 60, 36}
	for part := range s.Parts {
		mark(s, part, 0, []string{"p", "mf", "f"}[r.IntN(3)])
		var last map[int]bool
		for now := score.Tick(0); now < s.End; {
			step := []score.Tick{tpc / 4, tpc / 2, tpc, 2 * tpc}[r.IntN(4)]
			step = min(step, s.End-now)
			keys := map[int]bool{}
			for range 1 + r.IntN(4-part) {
				keys[low[part]+r.IntN(18)] = true
			}
			if last != nil && r.IntN(2) == 0 { // figures repeat
				keys = last
			}
			last = keys
			for k := range 128 {
				if keys[k] {
					hold := max(1, score.Tick(float64(step)*(0.4+0.6*r.Float64())))
					s.Notes = append(s.Notes, score.Note{Part: part, Key: k, Velocity: 80, On: now, Off: now + hold})
				}
			}
			now += step
		}
	}
	for _, b := range s.Bars[1:4] {
		if r.IntN(2) == 0 { // a change of stops
			for part := range s.Parts {
				mark(s, part, b.Start, []string{"pp", "ff"}[r.IntN(2)])
			}
		}
	}
	if r.IntN(2) == 0 {
		s.Words = append(s.Words, score.Word{At: 0, Part: 1, Kind: score.Hairpin, Text: "crescendo"})
	}
	s.SortNotes()
	for i := range s.Notes {
		s.Notes[i].ID = i + 1
	}
	var b bytes.Buffer
	require.NoError(t, smf.Write(&b, s))
	back, err := smf.Read(b.Bytes(), "random.mid")
	require.NoError(t, err)
	return back
}

// edited is a score with the notes that change keeps, as change leaves them, read back from its file.
func edited(t *testing.T, s *score.Score, change func(*score.Note) bool) *score.Score {
	t.Helper()
	e := s.Clone()
	e.Notes = nil
	for _, n := range s.Notes {
		if change(&n) {
			e.Notes = append(e.Notes, n)
		}
	}
	e.SortNotes()
	var b bytes.Buffer
	require.NoError(t, smf.Write(&b, e))
	back, err := smf.Read(b.Bytes(), "random.mid")
	require.NoError(t, err)
	return back
}

// any is a finding of a kind about some notes of a random stretch.
func anyFinding(r *rand.Rand, s *score.Score, kind string) finding.Finding {
	f := finding.Finding{ID: 1, Kind: kind, Severity: finding.Warning, Bar: 1 + r.IntN(4), Measured: map[string]float64{"rest_needed_s": 2 * r.Float64()}}
	f.ToBar = f.Bar + r.IntN(2)
	if kind == finding.KindThinFigure && r.IntN(2) == 0 {
		f.Measured["basses"] = 4
	}
	from, to := span(s, f)
	part := r.IntN(len(s.Parts))
	for _, n := range s.Notes {
		if n.On >= from && n.On < to && (n.Part == part || r.IntN(5) == 0) {
			f.Notes = append(f.Notes, n.ID)
			f.UntilS = max(f.UntilS, s.Seconds(n.Off))
		}
	}
	return f
}

func TestRemediesKeepMusicalSense(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	written := map[string]int{}
	for range 60 {
		whole := random(t, r)
		for _, m := range Table {
			organ, s := "minster", whole
			switch m.Name {
			case "octave-apart": // for one manual
				organ = "cabinet"
			case "octave-nearer":
				s = edited(t, whole, func(n *score.Note) bool { n.Key -= 16 * (1 - min(n.Part, 1)); return true })
			case "alternate-hands": // one hand is free
				s = edited(t, whole, func(n *score.Note) bool { return n.Part != 1 })
			}
			in := input(t, s, "chapel", organ)
			perf, err := performance.Build(s, in.Organ, in.Player)
			require.NoError(t, err)
			f := anyFinding(r, s, m.Cures[r.IntN(len(m.Cures))])
			c := newCase(in, perf, f)
			c.judge = func(*score.Score) verdict { return verdict{} }
			for _, d := range m.Write(c) {
				if Sensible(s, d.Score, in.Organ, perf.Assignments) != nil {
					continue
				}
				written[m.Name]++
				sense(t, in, perf, d.Score)
				playsBack(t, s, d.Score)
			}
		}
	}
	for _, m := range Table {
		require.Greater(t, written[m.Name], 3, "%s wrote too little to be tested", m.Name)
	}
}

// sense checks a rewriting without the help of the package: pair by pair, bar by bar.
func sense(t *testing.T, in proof.Input, perf *performance.Performance, after *score.Score) {
	t.Helper()
	before := in.Score
	was := map[int]score.Note{}
	for _, n := range before.Notes {
		was[n.ID] = n
	}
	sum := score.Tick(0)
	for i, b := range after.Bars {
		require.Equal(t, sum, b.Start)
		if 0 < i && i+1 < len(after.Bars) { // the first may be read as a pickup, the last ends with the music
			require.Equal(t, score.Tick(b.Metre.Beats*4/b.Metre.Unit)*tpc, b.Length)
		}
		require.Equal(t, before.Bars[i], b)
		sum += b.Length
	}
	mean := meanKeys(before)
	seen := map[int]bool{}
	for _, n := range after.Notes {
		require.False(t, seen[n.ID], "two notes with ID %d", n.ID)
		seen[n.ID] = true
		require.True(t, 0 <= n.On && n.On < n.Off && n.Off <= before.End)
		if was[n.ID] != n {
			d := in.Organ.Divisions[perf.Assignments[n.Part].Division]
			if was[n.ID].Key != n.Key || was[n.ID].Part != n.Part {
				require.True(t, n.Key >= d.LowKey && n.Key <= d.HighKey, "%s outside the %s", score.KeyName(n.Key), d.Name)
			}
		}
	}
	for i, a := range after.Notes {
		for _, b := range after.Notes[i+1:] {
			if b.On >= a.Off || a.On >= b.Off {
				continue
			}
			p, okP := was[a.ID]
			q, okQ := was[b.ID]
			changed := p != a || q != b
			if changed && a.Part == b.Part && a.Key == b.Key {
				require.True(t, okP && okQ && p.Part == q.Part && p.Key == q.Key && p.On < q.Off && q.On < p.Off, "struck while held")
			}
			if okP && okQ && a.Part != b.Part && p.Part == a.Part && q.Part == b.Part && p.Key < q.Key && mean[a.Part] <= mean[b.Part] {
				require.LessOrEqual(t, a.Key, b.Key, "parts %d and %d cross", a.Part, b.Part)
			}
		}
	}
}

// playsBack checks that the file of a rewriting has its notes, and the tracks that no change touches byte for byte.
func playsBack(t *testing.T, before, after *score.Score) {
	t.Helper()
	var a, b bytes.Buffer
	require.NoError(t, smf.Write(&a, before))
	require.NoError(t, smf.Write(&b, after))
	back, err := smf.Read(b.Bytes(), "random.mid")
	require.NoError(t, err)
	require.Equal(t, strokesOf(after), strokesOf(back))
	x, y := tracks(t, a.Bytes()), tracks(t, b.Bytes())
	require.Equal(t, len(x), len(y))
	for part, p := range before.Parts {
		if slices.Equal(partOf(before, part), partOf(after, part)) && slices.Equal(wordsOf(before, part), wordsOf(after, part)) {
			require.Equal(t, x[p.Track-1], y[p.Track-1], "track %d", p.Track)
		}
	}
}

func partOf(s *score.Score, part int) []score.Note {
	var out []score.Note
	for _, n := range s.Notes {
		if n.Part == part {
			n.Written = 0
			out = append(out, n)
		}
	}
	return out
}

func wordsOf(s *score.Score, part int) []score.Word {
	var out []score.Word
	for _, w := range s.Words {
		if w.Part == part {
			out = append(out, w)
		}
	}
	return out
}

// strokesOf lists part, key, on and off of all notes, sorted.
func strokesOf(s *score.Score) [][4]int {
	var out [][4]int
	for _, n := range s.Notes {
		out = append(out, [4]int{n.Part, n.Key, int(n.On), int(n.Off)})
	}
	slices.SortFunc(out, func(a, b [4]int) int { return slices.Compare(a[:], b[:]) })
	return out
}

// tracks cuts a Standard MIDI File into its track chunks.
func tracks(t *testing.T, data []byte) [][]byte {
	t.Helper()
	var out [][]byte
	for len(data) >= 8 {
		n := 8 + int(binary.BigEndian.Uint32(data[4:]))
		require.LessOrEqual(t, n, len(data))
		if string(data[:4]) == "MTrk" {
			out = append(out, data[:n])
		}
		data = data[n:]
	}
	return out
}
