package acoustics

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"afterchord/acoustics/octave"

	"github.com/go-audio/audio"
	"github.com/go-audio/wav"
)

func writeWAV(t *testing.T, path string, resp *Response, bits, channels int) {
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
	hall, _ := BuiltIn("concert-hall")
	seat, _ := hall.Seat("middle")
	for _, row := range []struct{ rate, bits, channels int }{{44100, 16, 2}, {32000, 32, 3}} {
		path := filepath.Join(t.TempDir(), "hall.wav")
		writeWAV(t, path, hall.Response(hall.OrganMiddle(), seat, row.rate), row.bits, row.channels)
		r, err := LoadRoom(path)
		if err != nil {
			t.Fatal(err)
		}
		for b := 3; b <= 6+min(1, row.rate/44100); b++ {
			near(t, fmt.Sprintf("T at %g Hz", octave.Centres[b]), r.RT60[b]/hall.RT60[b], 1, 0.03)
		}
		// The energy of the sound and of the model are one.
		p := r.Path(r.OrganMiddle(), seat)
		got := bandLevels(r.Response(r.OrganMiddle(), seat, 48000))
		for b := 1; b <= 7; b++ {
			if diff := 10 * math.Log10(got[b]/p.energyAfter(b, 0)); math.Abs(diff) > 0.3 {
				t.Errorf("%v %g Hz: audio %+.2f dB re the model", row, octave.Centres[b], diff)
			}
		}
	}
}

// A room file that names its response reads back, and what its text alone cannot say is refused.
func TestRoomFileNamesResponse(t *testing.T) {
	chapel, _ := BuiltIn("chapel")
	seat, _ := chapel.Seat("middle")
	dir := t.TempDir()
	writeWAV(t, filepath.Join(dir, "clap.wav"), chapel.Response(chapel.OrganMiddle(), seat, 48000), 24, 2)
	text := []byte("name = \"c\"\nvolume = 1000\nresponse = \"clap.wav\"\n")
	if _, err := ParseRoom(text, "c.toml"); err == nil {
		t.Error("a response is taken from text alone")
	}
	path := filepath.Join(dir, "c.toml")
	if err := os.WriteFile(path, text, 0o600); err != nil {
		t.Fatal(err)
	}
	r, err := LoadRoom(path)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "T at 1 kHz", r.RT(1000)/chapel.RT(1000), 1, 0.03)
	near(t, "volume", r.VolumeM3, 1000, 0)
	var b bytes.Buffer
	if err := r.WriteTOML(&b); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	back, err := LoadRoom(path)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "T at 500 Hz", back.RT(500)/r.RT(500), 1, 0.001)
}

// A sound cut off decays with the room's time and gives no clarity.
func TestCutOffSound(t *testing.T) {
	const rate, rt = 16000, 2.0
	rng := rand.New(rand.NewPCG(5, 5))
	x := make([]float64, 5*rate)
	k := DecayRate(rt) / 2 / rate
	for i := range x {
		g := 1.0
		if i > 2*rate {
			g = math.Exp(-k * float64(i-2*rate))
		}
		x[i] = g * rng.NormFloat64()
	}
	m, err := FromRecording(&Response{Rate: rate, L: x, R: x}, CutOff)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "T20", m.Bands[5].T20.Value, rt, 0.1)
	if !math.IsNaN(m.Bands[5].C80.Value) || m.Bands[5].C80.Why == "" {
		t.Errorf("C80 of a cut-off sound: %+v", m.Bands[5].C80)
	}
}

func TestResponseIsTheSameEachTime(t *testing.T) {
	r, _ := BuiltIn("chapel")
	seat, _ := r.Seat("back")
	a, b := r.Response(r.OrganMiddle(), seat, 44100), r.Response(r.OrganMiddle(), seat, 44100)
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

// Steady noise is no response: no figure is given for it, and each says why.
func TestSteadyNoiseGivesNoFigures(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	noise := make([]float64, 2*48000)
	for i := range noise {
		noise[i] = 0.1 * random.NormFloat64()
	}
	m, err := Measure(noise, 48000)
	if err != nil {
		t.Fatal(err)
	}
	for b, band := range m.Bands {
		for _, f := range []Figure{band.EDT, band.T20, band.T30, band.C80, band.D50, band.Ts} {
			if f.Reliable || !math.IsNaN(f.Value) || f.Why == "" {
				t.Errorf("band %d: %+v", b, f)
			}
		}
	}
}
