package smf

import (
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"afterchord/sim/score"

	"github.com/stretchr/testify/require"
)

// The table of examples of variable-length quantities in Standard MIDI Files 1.0
// (from memory).
func TestVariableLengthQuantities(t *testing.T) {
	for _, c := range []struct {
		v     uint32
		bytes []byte
	}{
		{0x00, []byte{0x00}}, {0x40, []byte{0x40}}, {0x7F, []byte{0x7F}},
		{0x80, []byte{0x81, 0x00}}, {0x2000, []byte{0xC0, 0x00}}, {0x3FFF, []byte{0xFF, 0x7F}},
		{0x4000, []byte{0x81, 0x80, 0x00}}, {0x100000, []byte{0xC0, 0x80, 0x00}}, {0x1FFFFF, []byte{0xFF, 0xFF, 0x7F}},
		{0x200000, []byte{0x81, 0x80, 0x80, 0x00}}, {0x8000000, []byte{0xC0, 0x80, 0x80, 0x00}}, {0xFFFFFFF, []byte{0xFF, 0xFF, 0xFF, 0x7F}},
	} {
		t.Run(fmt.Sprintf("%X", c.v), func(t *testing.T) {
			require.Equal(t, c.bytes, appendVLQ(nil, c.v))
			v, n := readVLQ(append(c.bytes, 0x55))
			require.Equal(t, c.v, v)
			require.Equal(t, len(c.bytes), n)
			_, n = readVLQ(c.bytes[:len(c.bytes)-1])
			require.Zero(t, n)
		})
	}
	_, n := readVLQ([]byte{0x81, 0x80, 0x80, 0x80, 0x00})
	require.Equal(t, -1, n)
}

// 120 crotchets a minute and 4/4 where a file says nothing (Standard MIDI Files 1.0).
func TestDefaultTempoAndMetre(t *testing.T) {
	s, err := Read(smfBytes(0, 96, body(note(0, 96, 0, 60), note(96*7, 96, 0, 62), endAt(0))), "a.mid")
	require.NoError(t, err)
	require.Equal(t, []score.Tempo{{Crotchets: 120}}, s.Tempos)
	require.Equal(t, []score.Metre{{At: 0, Beats: 4, Unit: 4}}, s.Metres)
	require.Equal(t, 4.0, s.Seconds(96*8))
	require.Equal(t, score.Position{Bar: 3, Beat: 1}, s.Position(96*8))
	require.Len(t, s.Remarks, 2)
	require.Equal(t, "a", s.Title)
}

// countNotes is a reader of its own: it counts note-ons with a velocity above 0,
// and gives the last tick of any track.
func countNotes(t *testing.T, d []byte) (notes int, end int64) {
	for p := 14; p < len(d); {
		size := int(binary.BigEndian.Uint32(d[p+4:]))
		require.Equal(t, "MTrk", string(d[p:p+4]))
		p += 8
		stop, tick, status := p+size, int64(0), byte(0)
		vlq := func() (v int64) {
			for {
				v = v<<7 | int64(d[p]&0x7F)
				p++
				if d[p-1] < 0x80 {
					return v
				}
			}
		}
		for p < stop {
			tick += vlq()
			if d[p] >= 0x80 {
				status = d[p]
				p++
			}
			switch {
			case status == 0xFF:
				p++
				n := vlq()
				p += int(n)
			case status >= 0xF0:
				n := vlq()
				p += int(n)
			case status>>4 == 0xC || status>>4 == 0xD:
				p++
			default:
				if status>>4 == 9 && d[p+1] > 0 {
					notes++
				}
				p += 2
			}
		}
		end = max(end, tick)
	}
	return notes, end
}

// Two organ works from a public corpus, read whole; the notes are counted a
// second time by countNotes.
func TestWholeWorks(t *testing.T) {
	files, _ := filepath.Glob("../../../../shared/scores/*.mid")
	demos, _ := filepath.Glob("../../demos/*.mid")
	require.NotEmpty(t, demos)
	if len(files) == 0 {
		t.Log("the two works of the shared corpus are not beside this checkout: only the demo pieces are read")
	}
	for _, f := range append(files, demos...) {
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		s, err := Read(data, f)
		require.NoError(t, err)
		notes, end := countNotes(t, data)
		require.Len(t, s.Notes, notes, f)
		require.Equal(t, score.Tick(end), s.End, f)
		for _, r := range s.Remarks {
			require.Contains(t, r.Text, "upbeat", f)
		}
		checkBars(t, s)
		for _, n := range s.Notes {
			require.Less(t, n.On, n.Off)
		}
	}
}

func checkBars(t *testing.T, s *score.Score) {
	t.Helper()
	require.NotEmpty(t, s.Bars)
	next := score.Tick(0)
	for i, b := range s.Bars {
		require.Equal(t, next, b.Start)
		require.Positive(t, b.Length)
		require.Equal(t, s.Bars[0].Number+i, b.Number)
		next += b.Length
	}
	require.GreaterOrEqual(t, next, s.End)
}

func TestMetresAndPickups(t *testing.T) {
	four, three, one := []byte{4, 2, 24, 8}, []byte{3, 2, 24, 8}, []byte{1, 2, 24, 8}
	type row struct {
		name   string
		track  []byte
		bars   []score.Bar // Number, Start, Length
		remark string
		at     score.Tick
		where  string
	}
	bars := func(first int, starts ...score.Tick) (out []score.Bar) {
		for i := range len(starts) - 1 {
			out = append(out, score.Bar{Number: first + i, Start: starts[i], Length: starts[i+1] - starts[i]})
		}
		return
	}
	for _, c := range []row{
		{"pickup as notation programs export it", body(metaAt(0, 0x58, one...), metaAt(96, 0x58, four...), note(0, 768, 0, 60), endAt(0)),
			bars(0, 0, 96, 480, 864), "", 0, "bar 0, beat 4"},
		{"three crotchets of pickup", body(metaAt(0, 0x58, three...), metaAt(288, 0x58, four...), note(0, 768, 0, 60), endAt(0)),
			bars(0, 0, 288, 672, 1056), "", 96, "bar 0, beat 3"},
		{"the same metre again cuts the first bar", body(metaAt(0, 0x58, four...), metaAt(96, 0x58, four...), note(0, 768, 0, 60), endAt(0)),
			bars(0, 0, 96, 480, 864), "", 48, "bar 0, beat 4½"},
		{"alternating metres are no pickup", body(metaAt(0, 0x58, three...), metaAt(288, 0x58, four...), metaAt(384, 0x58, three...), note(0, 576, 0, 60), endAt(0)),
			bars(1, 0, 288, 672, 960, 1248), "", 672, "bar 3, beat 1"},
		{"a change inside a bar", body(metaAt(0, 0x58, four...), metaAt(480, 0x58, three...), note(0, 288, 0, 60), endAt(0)),
			bars(1, 0, 384, 480, 768), "stands inside bar 2", 480, "bar 3, beat 1"},
		{"a repeat of the metre on a bar line", body(metaAt(0, 0x58, three...), metaAt(288, 0x58, three...), note(0, 288, 0, 60), endAt(0)),
			bars(1, 0, 288, 576), "", 300, "bar 2, beat 1.12"},
		{"6/8 has six beats", body(metaAt(0, 0x58, 6, 3, 24, 8), note(0, 576, 0, 60), endAt(0)),
			bars(1, 0, 288, 576), "", 288 + 5*48, "bar 2, beat 6"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := Read(smfBytes(0, 96, c.track), "a.mid")
			require.NoError(t, err, c.name)
			checkBars(t, s)
			var have []score.Bar
			for _, b := range s.Bars {
				b.Metre = score.Metre{}
				have = append(have, b)
			}
			require.Equal(t, c.bars, have, c.name)
			require.Equal(t, c.where, s.Position(c.at).String(), c.name)
			require.Equal(t, c.remark != "", hasRemark(s, "inside bar"), c.name)
			require.True(t, hasRemark(s, c.remark), c.name)
		})
	}
}

func hasRemark(s *score.Score, part string) bool {
	if part == "" {
		return true
	}
	for _, r := range s.Remarks {
		if strings.Contains(r.Text, part) {
			return true
		}
	}
	return false
}

func TestNoteRules(t *testing.T) {
	type row struct {
		name   string
		track  []byte
		onOff  []score.Tick
		remark string
	}
	for _, c := range []row{
		{"note-on with velocity 0 ends a note", body(at(0, 0x90, 60, 80), at(96, 60, 0), endAt(0)), []score.Tick{0, 96}, ""},
		{"running status", body(at(0, 0x90, 60, 80), at(96, 60, 0), at(0, 62, 80), at(96, 62, 0), endAt(0)), []score.Tick{0, 96, 96, 192}, ""},
		{"overlap on one key: first in, first out", body(at(0, 0x90, 60, 80), at(48, 60, 81), at(48, 60, 0), at(48, 60, 0), endAt(0)), []score.Tick{0, 96, 48, 144}, "1 note struck on a key already down"},
		{"no length", body(at(96, 0x90, 60, 80), at(0, 60, 0), endAt(0)), []score.Tick{96, 97}, "1 note without length"},
		{"never let go", body(at(0, 0x90, 60, 80), endAt(480)), []score.Tick{0, 480}, "1 note never let go"},
		{"never struck", body(at(0, 0x80, 61, 80), note(0, 96, 0, 60), endAt(0)), []score.Tick{0, 96}, "1 note-off with no note to end"},
		{"no end of track", note(0, 96, 0, 60), []score.Tick{0, 96}, "no end-of-track"},
		{"bytes after the end", body(note(0, 96, 0, 60), endAt(0), []byte{1, 2, 3}), []score.Tick{0, 96}, "after the end-of-track"},
		{"running status across a meta event", body(at(0, 0x90, 60, 80), textAt(96, 1, "x"), at(0, 60, 0), endAt(0)), []score.Tick{0, 96}, "running status"},
		{"tempo of 0", body(metaAt(0, 0x51, 0, 0, 0), note(0, 96, 0, 60), endAt(0)), []score.Tick{0, 96}, "1 tempo event with no usable speed"},
		{"metre of 0", body(metaAt(0, 0x58, 0, 2, 24, 8), note(0, 96, 0, 60), endAt(0)), []score.Tick{0, 96}, "1 time signature that cannot be read"},
		{"percussion channel", body(note(0, 96, 9, 60), endAt(0)), []score.Tick{0, 96}, "percussion"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := Read(smfBytes(1, 96, c.track), "a.mid")
			require.NoError(t, err, c.name)
			var have []score.Tick
			for _, n := range s.Notes {
				have = append(have, n.On, n.Off)
			}
			require.Equal(t, c.onOff, have, c.name)
			require.True(t, hasRemark(s, c.remark), "%s: %v", c.name, s.Remarks)
		})
	}
}

func TestPartsNamesAndWords(t *testing.T) {
	head := body(textAt(0, 3, "A Piece"), metaAt(0, 0x51, 0x0F, 0x42, 0x40), textAt(384, 6, "B"), endAt(0))
	one := body(textAt(0, 3, "Gr\xe4t"), textAt(0, 1, "dyn: F"), note(0, 96, 0, 60), textAt(0, 1, "cresc. poco a poco"), note(0, 96, 1, 60), textAt(0, 5, "pp"), endAt(0))
	two := body(textAt(0, 3, "Pedal\x00"), textAt(0, 6, "pp"), at(0, 0xC3, 19), at(0, 0xB3, 7, 100), at(0, 0xE3, 0, 0x40), note(0, 96, 3, 36), endAt(0))
	three := body(note(0, 96, 3, 36), textAt(0, 1, "sempre f"), endAt(0))
	s, err := Read(smfBytes(1, 96, head, one, two, three), "dir/a.mid")
	require.NoError(t, err)
	require.Equal(t, "A Piece", s.Title)
	require.Equal(t, "a.mid", s.File)
	require.Equal(t, []score.Part{{Name: "Grät (channel 1)", Track: 2, Channel: 1, Staff: 0}, {Name: "Grät (channel 2)", Track: 2, Channel: 2, Staff: 0}, {Name: "Pedal", Track: 3, Channel: 4, Staff: 0}, {Name: "Track 4", Track: 4, Channel: 4, Staff: 0}}, s.Parts)
	require.Equal(t, []score.Word{
		{At: 0, Part: -1, Kind: score.Mark, Text: "f"}, {At: 0, Part: 2, Kind: score.Mark, Text: "pp"}, {At: 96, Part: -1, Kind: score.Hairpin, Text: "crescendo"}, {At: 96, Part: 3, Kind: score.Mark, Text: "f"}, {At: 192, Part: -1, Kind: score.Lyric, Text: "pp"}, {At: 384, Part: -1, Kind: score.Marker, Text: "B"},
	}, s.Words)
	require.Equal(t, []score.Control{{At: 0, Part: 2, Kind: score.Program, Number: 0, Value: 19}, {At: 0, Part: 2, Kind: score.Controller, Number: 7, Value: 100}, {At: 0, Part: 2, Kind: score.Bend, Number: 0, Value: 0}}, s.Controls)
	require.Equal(t, 60.0, s.TempoAt(0))

	s, err = Read(smfBytes(0, 96, body(textAt(0, 3, "The Piece"), metaAt(0, 0x20, 1), textAt(0, 1, "p"), note(0, 96, 1, 60), note(0, 96, 0, 60), endAt(0))), "a.mid")
	require.NoError(t, err)
	require.Equal(t, "The Piece", s.Title)
	require.Equal(t, []score.Part{{Name: "Channel 1", Track: 1, Channel: 1, Staff: 0}, {Name: "Channel 2", Track: 1, Channel: 2, Staff: 0}}, s.Parts)
	require.Equal(t, []score.Word{{At: 0, Part: 1, Kind: score.Mark, Text: "p"}}, s.Words)
}

// 25 frames of 40 ticks make a tick of one millisecond (Standard MIDI Files 1.0,
// the header's division); 29 stands for 30000/1001 frames a second (SMPTE 12M).
func TestSMPTETime(t *testing.T) {
	track := body(metaAt(0, 0x51, 0x0F, 0x42, 0x40), note(0, 1000, 0, 60), endAt(0))
	for _, c := range []struct {
		division uint16
		seconds  float64 // of 1000 ticks
	}{
		{0xE728, 1}, {0xE801, 1000 / 24.0}, {0xE701, 40}, {0xE350, 1000 / (80 * 30000 / 1001.0)}, {0xE264, 1000 / 3000.0},
	} {
		t.Run(fmt.Sprint(c.seconds), func(t *testing.T) {
			s, err := Read(smfBytes(0, c.division, track), "a.mid")
			require.NoError(t, err)
			require.InDelta(t, c.seconds, s.Seconds(s.Notes[0].Off), 1e-9)
			require.True(t, hasRemark(s, "SMPTE"))
			checkBars(t, s)
			require.Equal(t, s.TicksPerCrotchet*4, s.Bars[0].Length)
		})
	}
}

func TestRefusals(t *testing.T) {
	good := body(note(0, 96, 0, 60), endAt(0))
	slow := metaAt(0, 0x51, 0xFF, 0xFF, 0xFF)
	long := body(slow, at(0, 0x90, 60, 80), at(1<<21, 60, 0), at(1, 60, 1), at(0, 60, 0), endAt(0))
	var day []byte
	for range 40 {
		day = append(day, note(0, 7000*96*60/60, 0, 60)...)
	}
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"empty", nil, "a.mid: byte 0: the file is empty"},
		{"not MIDI", []byte("RIFF\x00\x00\x00\x00WAVEfmt "), "a.mid: byte 0: not a Standard MIDI File"},
		{"format 2", smfBytes(2, 96, good), "a.mid: byte 8: format 2 holds separate patterns"},
		{"format 7", smfBytes(7, 96, good), "byte 8: format 7 is unknown"},
		{"division 0", smfBytes(0, 0, good), "byte 12: the time division is 0"},
		{"26 frames", smfBytes(0, 0xE602, good), "byte 12: SMPTE time with 26 frames"},
		{"0 ticks a frame", smfBytes(0, 0xE700, good), "byte 13"},
		{"no tracks", smfBytes(1, 96), "byte 10: the header says that there are no tracks"},
		{"no notes", smfBytes(1, 96, endAt(0), endAt(0)), "a.mid: there are no notes in 2 tracks"},
		{"track cut", smfBytes(1, 96, good, good)[:14+8+len(good)+8+3], "track 2, byte 45: the track is cut short: it says 12 bytes, 3 are there"},
		{"event too long", smfBytes(1, 96, body(at(0, 0xFF, 1, 100, 'a'))), "track 1, byte 26: an event says 100 bytes, 1 are left"},
		{"data byte first", smfBytes(1, 96, body(at(0, 60, 80))), "track 1, byte 23: data byte 60 where a status byte is expected"},
		{"status inside", smfBytes(1, 96, body(at(0, 0x90, 0x90, 80))), "track 1, byte 24: status byte 90 inside an event"},
		{"real-time byte", smfBytes(1, 96, body(at(0, 0xF8))), "track 1, byte 23: status byte F8"},
		{"delta of five bytes", smfBytes(1, 96, []byte{0x80, 0x80, 0x80, 0x80, 0}), "track 1, byte 22: a delta time has more than four bytes"},
		{"a delta of hours", smfBytes(1, 96, good, long), "track 2, byte 53: a delta time of 101.8 hours after bar 1, beat 1 (at most 2 hours are read)"},
		{"more than a day", smfBytes(1, 96, body(metaAt(0, 0x51, 0x0F, 0x42, 0x40), day, endAt(0))), "track 1, byte 429: the track lasts 77.8 hours (at most 24 are read)"},
		{"too many tracks", append(append([]byte("MThd\x00\x00\x00\x06\x00\x01\x05\x00\x00\x60"), "MTrk"...), 0, 0, 0, 0), "byte 10: the header says 1280 tracks"},
		{"format 0 with two", smfBytes(0, 96, good, good), "track 2, byte 34: a format 0 file has one track"},
		{"bars", smfBytes(1, 0x7FFF, body(metaAt(0, 0x51, 0, 0, 1), metaAt(0, 0x58, 1, 7, 24, 8), note(0, 0xFFFFFFF, 0, 60), note(0, 0xFFFFFFF, 0, 60), note(0, 0xFFFFFFF, 0, 60), note(0, 0xFFFFFFF, 0, 60), endAt(0))), "more than 250000 bars"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := Read(c.data, "a.mid")
			require.Nil(t, s, c.name)
			require.ErrorContains(t, err, c.want, c.name)
			require.NotContains(t, err.Error(), "\n")
		})
	}
}

// A file cut at any byte is refused in one line that names the byte where it ends.
func TestCutFiles(t *testing.T) {
	data, err := os.ReadFile("../../demos/drop.mid")
	require.NoError(t, err)
	for n := range data {
		_, err := Read(data[:n], "cut.mid")
		require.Error(t, err, n)
		require.Contains(t, err.Error(), "byte ")
		require.NotContains(t, err.Error(), "\n")
	}
	_, err = Read(data, "whole.mid")
	require.NoError(t, err)
}
