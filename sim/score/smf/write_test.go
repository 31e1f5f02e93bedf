package smf

import (
	"bytes"
	"fmt"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"afterchord/sim/score"

	"github.com/stretchr/testify/require"
)

func written(t testing.TB, s *score.Score) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Write(&b, s))
	return b.Bytes()
}

func reread(t testing.TB, s *score.Score) *score.Score {
	t.Helper()
	out, err := Read(written(t, s), s.File)
	require.NoError(t, err)
	return out
}

// An unedited score writes the file that it came from.
func TestUnchangedFileIsTheSameBytes(t *testing.T) {
	files, _ := filepath.Glob("../../../../shared/scores/*.mid")
	demos, _ := filepath.Glob("../../demos/*.mid")
	for _, f := range append(files, demos...) {
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		s, err := Read(data, f)
		require.NoError(t, err)
		require.True(t, bytes.Equal(data, written(t, s.Clone())), f)
	}
}

// events lists the events of a file with their ticks, less the end of each track.
func events(t testing.TB, data []byte) []string {
	t.Helper()
	f, err := scan(data)
	require.NoError(t, err)
	var out []string
	for i, tr := range f.tracks {
		for _, e := range tr.events {
			if e.status == 0xFF && data[e.from] == 0x2F {
				continue
			}
			out = append(out, fmt.Sprintf("%d@%d:% x", i, e.tick, f.message(nil, e)))
		}
	}
	return out
}

// without takes the items of b out of a, as often as they occur.
func without(a, b []string) []string {
	n := map[string]int{}
	for _, x := range b {
		n[x]++
	}
	var out []string
	for _, x := range a {
		if n[x] > 0 {
			n[x]--
		} else {
			out = append(out, x)
		}
	}
	return out
}

// Each edit takes out and puts in just its own events.
func TestEditsTouchOnlyTheirEvents(t *testing.T) {
	data, err := os.ReadFile("../../demos/drop.mid")
	require.NoError(t, err)
	s, err := Read(data, "drop.mid")
	require.NoError(t, err)
	n := s.Notes[0]
	require.Equal(t, 960, int(n.Off-n.On))
	on := fmt.Sprintf("%d@0:9%d %02x %02x", n.Part+1, s.Parts[n.Part].Channel-1, n.Key, n.Velocity)
	off := func(at score.Tick) string {
		return fmt.Sprintf("%d@%d:8%d %02x 40", n.Part+1, at, s.Parts[n.Part].Channel-1, n.Key)
	}
	for _, c := range []struct {
		name    string
		edit    func(c *score.Score)
		out, in []string
	}{
		{"shorten", func(c *score.Score) { c.Notes[0].Off = 480 }, []string{off(960)}, []string{off(480)}},
		{"delete", func(c *score.Score) { c.Notes = c.Notes[1:] }, []string{on, off(960)}, nil},
		{"add", func(c *score.Score) {
			c.Notes = append(c.Notes, score.Note{ID: 10_000, Part: 2, Key: 36, Velocity: 70, On: 22_000, Off: 22_500})
		}, nil, []string{"3@22000:92 24 46", "3@22500:82 24 40"}},
		{"re-key", func(c *score.Score) { c.Notes[0].Key = 1 }, []string{on, off(960)}, []string{fmt.Sprintf("%d@0:9%d 01 %02x", n.Part+1, n.Part, n.Velocity), fmt.Sprintf("%d@960:8%d 01 40", n.Part+1, n.Part)}},
		{"to the Pedal", func(c *score.Score) { c.Notes[0].Part = 2 }, []string{on, off(960)}, []string{fmt.Sprintf("3@0:92 %02x %02x", n.Key, n.Velocity), fmt.Sprintf("3@960:82 %02x 40", n.Key)}},
		{"to a new part", func(c *score.Score) {
			c.Parts = append(c.Parts, score.Part{Name: "Choir"})
			c.Notes[0].Part = 3
		}, []string{on, off(960)}, []string{"4@0:ff 03 05 43 68 6f 69 72", fmt.Sprintf("4@0:93 %02x %02x", n.Key, n.Velocity), fmt.Sprintf("4@960:83 %02x 40", n.Key)}},
		{"tempo", func(c *score.Score) { c.Tempos[0].Crotchets = 60 }, []string{"0@0:ff 51 03 0c 0b e2"}, []string{"0@0:ff 51 03 0f 42 40"}},
		{"marker", func(c *score.Score) {
			c.Words = append(c.Words, score.Word{At: 1920, Part: -1, Kind: score.Marker, Text: "covered"})
		}, nil, []string{"0@1920:ff 06 07 63 6f 76 65 72 65 64"}},
		{"word taken out", func(c *score.Score) {
			c.Words = slices.DeleteFunc(c.Words, func(w score.Word) bool { return w.Part == 0 })
		}, []string{"1@0:ff 01 02 66 66"}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			edited := s.Clone()
			c.edit(edited)
			edited.SortNotes()
			have := written(t, edited)
			before, after := events(t, data), events(t, have)
			require.ElementsMatch(t, c.out, without(before, after), c.name)
			require.ElementsMatch(t, c.in, without(after, before), c.name)
			back, err := Read(have, "drop.mid")
			require.NoError(t, err)
			require.Equal(t, strokes(edited), strokes(back), c.name)
			require.Equal(t, edited.Tempos, back.Tempos, c.name)
			require.ElementsMatch(t, edited.Words, back.Words, c.name)
		})
	}
	require.True(t, bytes.Equal(data, written(t, s)), "the original was changed")
}

func TestAnnotate(t *testing.T) {
	data, err := os.ReadFile("../../demos/solo.mid")
	require.NoError(t, err)
	s, err := Read(data, "solo.mid")
	require.NoError(t, err)
	var b bytes.Buffer
	mark := score.Word{At: 3840, Part: -1, Kind: score.Marker, Text: "bar 3: masked"}
	require.NoError(t, Annotate(&b, s, []score.Word{mark}))
	require.Empty(t, without(events(t, data), events(t, b.Bytes())))
	back, err := Read(b.Bytes(), "solo.mid")
	require.NoError(t, err)
	require.Contains(t, back.Words, mark)
	require.NotContains(t, s.Words, mark)
}

// strokes are the notes without what a file does not hold.
func strokes(s *score.Score) []score.Note {
	out := slices.Clone(s.Notes)
	for i := range out {
		out[i].ID, out[i].Written, out[i].Pass, out[i].Voice = 0, 0, 0, 0
	}
	slices.SortFunc(out, func(a, b score.Note) int {
		for _, d := range []int{int(a.On - b.On), a.Part - b.Part, a.Key - b.Key, int(a.Off - b.Off), a.Velocity - b.Velocity} {
			if d != 0 {
				return d
			}
		}
		return 0
	})
	return out
}

// randomScore is a score from nowhere: random metres, tempi, parts and notes that
// do not overlap on a key.
func randomScore(r *rand.Rand) *score.Score {
	s := &score.Score{Title: "T", File: "r.mid", TicksPerCrotchet: []score.Tick{24, 96, 480, 10080}[r.Intn(4)]}
	metres := []score.Metre{{At: 0, Beats: 1 + r.Intn(7), Unit: 1 << r.Intn(4)}}
	end := s.TicksPerCrotchet * score.Tick(20+r.Intn(60))
	for at := s.BarTicks(metres[0]) * score.Tick(1+r.Intn(3)); at < end; {
		m := score.Metre{At: at, Beats: 1 + r.Intn(7), Unit: 1 << r.Intn(4)}
		metres = append(metres, m)
		at += s.BarTicks(m)*score.Tick(1+r.Intn(4)) + score.Tick(r.Intn(2))*s.TicksPerCrotchet/8
	}
	s.Tempos = []score.Tempo{{Crotchets: tempoOf(r)}}
	for at := score.Tick(r.Intn(500) + 1); at < end && len(s.Tempos) < 60; at += score.Tick(r.Intn(3000) + 1) {
		s.Tempos = append(s.Tempos, score.Tempo{At: at, Crotchets: tempoOf(r)})
	}
	for p := range 1 + r.Intn(4) {
		s.Parts = append(s.Parts, score.Part{Name: fmt.Sprintf("Part %d", p), Track: p + 2, Channel: 1 + r.Intn(16)})
		for range 1 + r.Intn(4) {
			key := r.Intn(128)
			if slices.ContainsFunc(s.Notes, func(n score.Note) bool { return n.Part == p && n.Key == key }) {
				continue
			}
			for at := score.Tick(r.Intn(1000)); at < end; {
				off := at + 1 + score.Tick(r.Intn(1000))
				s.Notes = append(s.Notes, score.Note{ID: len(s.Notes) + 1, Part: p, Key: key, Velocity: 1 + r.Intn(127), On: at, Off: off, Written: off - at})
				at = off + score.Tick(r.Intn(3)*r.Intn(500))
			}
		}
	}
	for _, n := range s.Notes {
		s.End = max(s.End, n.Off)
	}
	metres = slices.DeleteFunc(metres, func(m score.Metre) bool { return m.At > 0 && m.At >= s.End })
	if _, err := layBars(s, metres, s.End); err != nil {
		panic(err)
	}
	s.SortNotes()
	return s
}

// tempoOf is a tempo that a file holds exactly.
func tempoOf(r *rand.Rand) float64 { return 60e6 / float64(60_000+r.Intn(2_000_000)) }

func TestFreshFilesComeBack(t *testing.T) {
	for seed := range int64(100) {
		s := randomScore(rand.New(rand.NewSource(seed)))
		back := reread(t, s)
		require.Equal(t, strokes(s), strokes(back), "seed %d", seed)
		var shape, shapeBack []score.Bar
		for i := range s.Bars {
			shape = append(shape, score.Bar{Start: s.Bars[i].Start, Length: s.Bars[i].Length})
		}
		for _, b := range back.Bars {
			shapeBack = append(shapeBack, score.Bar{Start: b.Start, Length: b.Length})
		}
		require.Equal(t, shape, shapeBack, "seed %d: %v", seed, s.Metres)
		require.InDelta(t, s.Seconds(s.End), back.Seconds(s.End), 1e-9)
		require.True(t, bytes.Equal(written(t, s), written(t, back)), "seed %d", seed)
	}
}

// Random edits of a score read from a file come back as they were made, and leave
// every event alone that has no part in them.
func TestRandomEditsComeBack(t *testing.T) {
	for seed := range int64(150) {
		r := rand.New(rand.NewSource(seed))
		first := reread(t, randomScore(r))
		data := written(t, first)
		c := first.Clone()
		touched := map[int]bool{}
		for range 1 + r.Intn(8) {
			i := r.Intn(len(c.Notes))
			n := &c.Notes[i]
			touched[n.ID] = true
			switch r.Intn(5) {
			case 0:
				n.Off = n.On + max(1, (n.Off-n.On)/2)
			case 1:
				n.On += (n.Off - n.On) / 3
			case 2: // to a key that nobody uses
				for slices.ContainsFunc(c.Notes, func(m score.Note) bool { return m.Key == n.Key && m.ID != n.ID }) {
					n.Key = (n.Key + 1) % 128
				}
			case 3:
				n.Velocity = 1 + r.Intn(127)
			case 4:
				if len(c.Notes) > 1 {
					c.Notes = slices.Delete(c.Notes, i, i+1)
				}
			}
		}
		if seed%3 == 0 {
			for i := range c.Tempos {
				c.Tempos[i].Crotchets = tempoOf(r)
			}
		}
		c.SortNotes()
		if len(slices.Collect(partsOf(c))) != len(first.Parts) {
			continue // a part without notes is not a part
		}
		out := written(t, c)
		back, err := Read(out, "r.mid")
		require.NoError(t, err)
		require.Equal(t, strokes(c), strokes(back), "seed %d", seed)
		require.InDelta(t, c.Seconds(c.End), back.Seconds(c.End), 1e-9)
		gone := without(events(t, data), events(t, out))
		limit := 2 * len(touched)
		if seed%3 == 0 {
			limit += len(first.Tempos)
		}
		require.LessOrEqual(t, len(gone), limit, "seed %d", seed)
	}
}

func partsOf(s *score.Score) func(func(int) bool) {
	return func(yield func(int) bool) {
		for p := range s.Parts {
			if slices.ContainsFunc(s.Notes, func(n score.Note) bool { return n.Part == p }) && !yield(p) {
				return
			}
		}
	}
}

// A new tempo turns a file that counts SMPTE frames into one that counts
// crotchets, at the same times.
func TestSMPTEFileWithNewTempo(t *testing.T) {
	for _, division := range []uint16{0xE728, 0xE701, 0xE350} {
		t.Run(fmt.Sprint(division), func(t *testing.T) {
			s, err := Read(smfBytes(0, division, body(metaAt(0, 0x51, 0x0F, 0x42, 0x40), note(7, 91, 0, 60), endAt(0))), "a.mid")
			require.NoError(t, err)
			half := s.Scaled(0.5)
			back := reread(t, half)
			require.InDelta(t, 2*s.Seconds(s.End), back.Seconds(back.End), 1e-5)
			require.Equal(t, strokes(half), strokes(back))
		})
	}
}

func TestWritingRefusals(t *testing.T) {
	data, err := os.ReadFile("../../demos/drop.mid")
	require.NoError(t, err)
	s, err := Read(data, "drop.mid")
	require.NoError(t, err)
	for _, c := range []struct {
		edit func(c *score.Score)
		want string
	}{
		{func(c *score.Score) { c.Tempos[0].Crotchets = 1 }, "a tempo of 1 crotchets a minute does not fit"},
		{func(c *score.Score) { c.Notes[0].Part = 9 }, "is on part 9, which is not there"},
		{func(c *score.Score) { c.Notes[0].Key = 128 }, "has key 128"},
		{func(c *score.Score) { c.Notes[0].On = -1 }, "begins before the piece"},
		{func(c *score.Score) { c.Notes[0].Off = 1 << 40 }, "more than a MIDI file can hold"},
	} {
		t.Run(c.want, func(t *testing.T) {
			e := s.Clone()
			c.edit(e)
			require.ErrorContains(t, Write(&bytes.Buffer{}, e), c.want)
		})
	}
}
