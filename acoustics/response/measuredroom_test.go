package response

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"afterchord/acoustics/impulse"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/room"

	"github.com/go-audio/audio"
	"github.com/go-audio/wav"
	"github.com/stretchr/testify/assert"
)

func writeWAV(t *testing.T, path string, resp *impulse.Response, bits, channels int) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var peak float64
	for i := range resp.L {
		peak = max(peak, math.Abs(resp.L[i]), math.Abs(resp.R[i]))
	}
	scale := 0.9 * (math.Pow(2, float64(bits-1)) - 1) / peak
	buf := &audio.IntBuffer{Format: &audio.Format{NumChannels: channels, SampleRate: resp.Rate}, SourceBitDepth: bits}
	for i := range resp.L {
		for ch := range channels {
			v := resp.L[i]
			if ch == 1 {
				v = resp.R[i]
			}
			buf.Data = append(buf.Data, int(math.Round(v*scale)))
		}
	}
	e := wav.NewEncoder(f, resp.Rate, bits, channels, 1)
	if err := e.Write(buf); err != nil {
		t.Fatal(err)
	}
	if err := e.Close(); err != nil {
		t.Fatal(err)
	}
}

// A computed response that goes out as a WAV and is measured gives its room back, at any width and rate.
func TestMeasuredRoomComesBack(t *testing.T) {
	hall, _ := room.BuiltIn("concert-hall")
	seat, _ := hall.Seat("middle")
	for _, row := range []struct{ rate, bits, channels int }{{44100, 16, 2}, {32000, 32, 3}} {
		t.Run(fmt.Sprint(row.rate, " ", row.bits), func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "hall.wav")
			writeWAV(t, path, Whole(hall, hall.OrganMiddle(), seat, row.rate), row.bits, row.channels)
			r, err := room.Load(path)
			if err != nil {
				t.Fatal(err)
			}
			for b := 3; b <= 6+min(1, row.rate/44100); b++ {
				assert.InDelta(t, 1, r.RT60[b]/hall.RT60[b], 0.03, fmt.Sprintf("T at %g Hz", octave.Centres[b]))
			}
			// The energy of the sound and of the model are one.
			p := r.Path(r.OrganMiddle(), seat)
			got := bandLevels(Whole(r, r.OrganMiddle(), seat, 48000))
			for b := 1; b <= 7; b++ {
				if diff := 10 * math.Log10(got[b]/p.EnergyAfter(b, 0)); math.Abs(diff) > 0.3 {
					t.Errorf("%v %g Hz: audio %+.2f dB re the model", row, octave.Centres[b], diff)
				}
			}
		})
	}
}

// A room file that names its response reads back, and what its text alone cannot say is refused.
func TestRoomFileNamesResponse(t *testing.T) {
	chapel, _ := room.BuiltIn("chapel")
	seat, _ := chapel.Seat("middle")
	dir := t.TempDir()
	writeWAV(t, filepath.Join(dir, "clap.wav"), Whole(chapel, chapel.OrganMiddle(), seat, 48000), 24, 2)
	text := []byte("name = \"c\"\nvolume = 1000\nresponse = \"clap.wav\"\n")
	if _, err := room.Parse(text, "c.toml"); err == nil {
		t.Error("a response is taken from text alone")
	}
	path := filepath.Join(dir, "c.toml")
	if err := os.WriteFile(path, text, 0o600); err != nil {
		t.Fatal(err)
	}
	r, err := room.Load(path)
	if err != nil {
		t.Fatal(err)
	}
	assert.InDelta(t, 1, r.RT(1000)/chapel.RT(1000), 0.03, "T at 1 kHz")
	assert.InDelta(t, 1000, r.VolumeM3, 0, "volume")
	var b bytes.Buffer
	if err := r.WriteTOML(&b); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	back, err := room.Load(path)
	if err != nil {
		t.Fatal(err)
	}
	assert.InDelta(t, 1, back.RT(500)/r.RT(500), 0.001, "T at 500 Hz")
}

func TestResponseIsTheSameEachTime(t *testing.T) {
	r, _ := room.BuiltIn("chapel")
	seat, _ := r.Seat("back")
	a, b := Whole(r, r.OrganMiddle(), seat, 44100), Whole(r, r.OrganMiddle(), seat, 44100)
	for i := range a.L {
		if a.L[i] != b.L[i] || a.R[i] != b.R[i] {
			t.Fatalf("sample %d differs", i)
		}
	}
	var ab, aa, bb float64
	for i := range a.L {
		ab, aa, bb = ab+a.L[i]*a.R[i], aa+a.L[i]*a.L[i], bb+a.R[i]*a.R[i]
	}
	if c := ab / math.Sqrt(aa*bb); math.Abs(c) > 0.5 {
		t.Errorf("left and right are alike: correlation %.2f", c)
	}
}
