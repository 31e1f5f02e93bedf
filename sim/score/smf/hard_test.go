package smf

import (
	"testing"

	"afterchord/sim/score"

	"github.com/stretchr/testify/require"
)

// Hard but lawful files: all channels and keys at once, an hour's note, a piece
// of one note, many notes at one time.
func TestHardFiles(t *testing.T) {
	var all []byte
	for ch := range byte(16) {
		for key := range byte(128) {
			all = append(all, at(0, 0x90|ch, key, 1)...)
		}
	}
	for ch := range byte(16) {
		for key := range byte(128) {
			delta := uint32(0)
			if ch == 0 && key == 0 {
				delta = 96
			}
			all = append(all, at(delta, 0x80|ch, key, 0)...)
		}
	}
	var struck []byte // 5000 times one key, before it is let go
	for range 5000 {
		struck = append(struck, at(1, 0x90, 60, 80)...)
	}
	for range 5000 {
		struck = append(struck, at(1, 0x80, 60, 80)...)
	}
	hour := body(metaAt(0, 0x51, 0x0F, 0x42, 0x40), note(0, 3600*96, 0, 36), endAt(0))
	for _, c := range []struct {
		name         string
		track        []byte
		notes, parts int
		seconds      float64
	}{
		{"every key of every channel", body(all, endAt(0)), 2048, 16, 0.5},
		{"a key struck 5000 times", body(struck, endAt(0)), 5000, 1, 10000.0 / 96 / 2},
		{"an hour's note", hour, 1, 1, 3600},
		{"one note", body(note(0, 1, 0, 60), endAt(0)), 1, 1, 1.0 / 192},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := Read(smfBytes(0, 96, c.track), "a.mid")
			require.NoError(t, err, c.name)
			require.Len(t, s.Notes, c.notes, c.name)
			require.Len(t, s.Parts, c.parts, c.name)
			require.InDelta(t, c.seconds, s.Seconds(s.End), 1e-9, c.name)
			checkScore(t, s)
		})
	}
}

// An edit on a key with a stray note-off or a note never let go does not disturb
// other notes of that key.
func TestEditsBesideFaults(t *testing.T) {
	track := body(note(0, 96, 0, 60), at(96, 0x80, 60, 0), note(96, 96, 0, 60), at(0, 0x90, 60, 80), endAt(384))
	s, err := Read(smfBytes(0, 96, track), "a.mid")
	require.NoError(t, err)
	require.True(t, hasRemark(s, "never let go") && hasRemark(s, "no note to end"))
	c := s.Clone()
	c.Notes[0].Off = 240 // over the stray note-off at 192
	back := reread(t, c)
	require.Equal(t, strokes(c), strokes(back))
	require.Empty(t, back.Remarks[2:], "%v", back.Remarks)
}

// A format 0 file that is given a new part becomes format 1.
func TestNewPartInFormat0(t *testing.T) {
	s, err := Read(smfBytes(0, 96, body(note(0, 96, 0, 60), note(0, 96, 0, 62), endAt(0))), "a.mid")
	require.NoError(t, err)
	c := s.Clone()
	c.Parts = append(c.Parts, score.Part{Name: "Pedal"})
	c.Notes[1].Part = 1
	back := reread(t, c)
	require.Equal(t, "SMF 1", back.Format)
	require.Equal(t, strokes(c), strokes(back))
	require.Equal(t, "Pedal", back.Parts[1].Name)
}

func TestEqualNamesAreToldApart(t *testing.T) {
	one := body(textAt(0, 4, "organ"), note(0, 96, 0, 60), endAt(0))
	s, err := Read(smfBytes(1, 96, one, one, body(textAt(0, 3, "Pedal"), note(0, 96, 0, 36), endAt(0))), "a.mid")
	require.NoError(t, err)
	require.Equal(t, []score.Part{{Name: "organ (track 1)", Track: 1, Channel: 1, Staff: 0}, {Name: "organ (track 2)", Track: 2, Channel: 1, Staff: 0}, {Name: "Pedal", Track: 3, Channel: 1, Staff: 0}}, s.Parts)
}

// Controls survive a fresh file.
func TestFreshControls(t *testing.T) {
	s := &score.Score{Title: "x", TicksPerCrotchet: 96, Parts: []score.Part{{Name: "Great"}}, End: 96,
		Notes: []score.Note{{ID: 1, Key: 60, On: 0, Off: 96}},
		Controls: []score.Control{{At: 0, Part: 0, Kind: score.Program, Number: 0, Value: 19}, {At: 0, Part: 0, Kind: score.Controller, Number: 7, Value: 90}, {At: 0, Part: 0, Kind: score.Bend, Number: 0, Value: -8192}, {At: 0, Part: 0, Kind: score.Bend, Number: 0, Value: 8191},
			{At: 0, Part: 0, Kind: score.Pressure, Number: -1, Value: 5}, {At: 0, Part: 0, Kind: score.Pressure, Number: 60, Value: 6}}}
	require.Equal(t, s.Controls, reread(t, s).Controls)
	require.Equal(t, 64, reread(t, s).Notes[0].Velocity)
}

func BenchmarkRead(b *testing.B) {
	var track []byte
	for i := range 50_000 {
		track = append(track, note(24, 96, byte(i%4), byte(36+i%48))...)
	}
	data := smfBytes(0, 480, body(track, endAt(0)))
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read(data, "b.mid"); err != nil {
			b.Fatal(err)
		}
	}
}
