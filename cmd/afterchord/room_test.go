package main

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"afterchord/acoustics/measure"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/radiation"
	"afterchord/acoustics/room"

	"github.com/stretchr/testify/require"
)

func TestRoomList(t *testing.T) {
	out := must(t, "room", "list")
	for _, name := range room.BuiltIns() {
		r, _ := room.BuiltIn(name)
		line := strings.Join(row(t, out, name), " ")
		require.Contains(t, line, fmt.Sprintf(" %.1f %.1f %.0f ", (r.RT(500)+r.RT(1000))/2, r.RT(125), r.VolumeM3))
	}
}

func TestRoomShowIsTheLibrarys(t *testing.T) {
	out := must(t, "room", "show", "abbey", "--seat", "front")
	r, _ := room.BuiltIn("abbey")
	seat, err := r.Seat("front")
	require.NoError(t, err)
	p := r.OrganPath(seat)
	for b, hz := range octave.Centres {
		f := row(t, out, plain(hz))
		require.InDelta(t, p.ReverberationT30(b), numberAt(t, f, 1), 0.0051)
		require.InDelta(t, p.EarlyDecayTime(b), numberAt(t, f, 2), 0.0051)
		require.InDelta(t, p.ClarityC80(b), numberAt(t, f, 3), 0.051)
		require.InDelta(t, 100*p.DefinitionD50(b), numberAt(t, f, 4), 0.51)
		require.InDelta(t, 1000*p.CentreTimeTs(b), numberAt(t, f, 5), 0.51)
		require.InDelta(t, r.StrengthG(&p, b), numberAt(t, f, 6), 0.051)
	}
	// From the front to the back clarity and strength fall (Barron & Lee 1988).
	last := []float64{math.Inf(1), math.Inf(1)}
	for _, s := range []string{"front", "middle", "back"} {
		t.Run(s, func(t *testing.T) {
			f := row(t, out, s)
			require.Less(t, numberAt(t, f, 4), last[0])
			require.Less(t, numberAt(t, f, 7), last[1])
			last = []float64{numberAt(t, f, 4), numberAt(t, f, 7)}
		})
	}
}

// Barron's revised theory in numbers (Barron & Lee, J. Acoust. Soc. Am. 84 (1988) 618): re the direct sound at 10 m, direct
// 100/r², early (31200·T/V)·e^(-0.04r/T)·(1-e^(-1.11/T)), late (31200·T/V)·e^(-0.04r/T)·e^(-1.11/T).
func TestRoomShowAgreesWithBarron(t *testing.T) {
	out := must(t, "room", "show", "concert-hall", "--seat", "22")
	r, _ := room.BuiltIn("concert-hall")
	seat, err := r.Seat("22")
	require.NoError(t, err)
	d := r.OrganMiddle().Distance(seat.At)
	for _, b := range []int{4, 5} {
		t.Run(fmt.Sprint(b), func(t *testing.T) {
			rt := r.RT60[b]
			all := 31200 * rt / r.VolumeM3 * math.Exp(-0.04*d/rt)
			direct := radiation.Toward(r.Ahead(r.OrganMiddle(), seat), 0)[b] // of an organ's case, which points ahead
			early, late := all*(1-math.Exp(-1.11/rt))+direct*100/(d*d), all*math.Exp(-1.11/rt)
			f := row(t, out, plain(octave.Centres[b]))
			require.InDelta(t, 10*math.Log10(early+late), numberAt(t, f, 6), 0.15, "G")
			require.InDelta(t, 10*math.Log10(early/late), numberAt(t, f, 3), 0.15, "C80")
		})
	}
}

func TestRoomShowOfATimeAlone(t *testing.T) {
	out := must(t, "room", "show", "--rt", "3.5")
	require.InDelta(t, 3.5, (numberAt(t, row(t, out, "500"), 1)+numberAt(t, row(t, out, "1000"), 1))/2, 0.01)
	path := write(t, "own.toml", must(t, "room", "show", "--rt", "3.5", "--toml"))
	again := must(t, "room", "show", path)
	require.Equal(t, row(t, out, "middle"), row(t, again, "middle"))
	pictures(t, "room", "show", "--rt", "3.5")
}

// What make prints is Sabine's formula by hand, and its file is the same room.
func TestRoomMake(t *testing.T) {
	path := filepath.Join(t.TempDir(), "hall.toml")
	out := must(t, "room", "make", "--size", "30x12x11", "--surface", "stone floor 360", "--surface", "plaster on masonry 1284",
		"--people", "200", "--occupied", "half", "--temp", "20", "--humidity", "50", "--out", path)
	// At 1 kHz: stone floor 0.01, plaster 0.03, a person 0.69 m²; air at 20 °C, 50 %: 4.66 dB/km (ISO 9613-2, Table 2), so
	// m = 4.66/4343 1/m; T = 55.3/c · V/A with c = 343.2 m/s.
	const volume = 30 * 12 * 11
	at1k := func(people float64) float64 {
		return 55.26 / 343.2 * volume / (360*0.01 + 1284*0.03 + people*0.69 + 4*4.66/4343*volume)
	}
	for n, people := range map[string]float64{"0": 0, "100": 100, "200": 200} {
		t.Run(n, func(t *testing.T) {
			require.InDelta(t, at1k(people), numberAt(t, row(t, out, n), 6), 0.01*at1k(people), n)
		})
	}
	r, err := room.Load(path)
	require.NoError(t, err)
	require.InDelta(t, at1k(100), r.RT(1000), 0.01*at1k(100))
	require.Equal(t, "hall", r.Name)
	require.NotContains(t, out, "remark")
	require.Contains(t, out, "no church rings for 14 s", "bare plaster and stone, as Sabine has them")
	require.NotContains(t, must(t, "room", "make", "--size", "30x12x11", "--surface", "stone floor 360", "--surface", "plaster on masonry 1284", "--surface", "all else 1644"), "no church rings")

	out = must(t, "room", "make", "--volume", "4000", "--surface", "open arch 300")
	require.Contains(t, out, "has at least 1512 m2")
	require.Contains(t, out, "--formula eyring")
	sabine := numberAt(t, row(t, out, "0"), 6)
	eyring := numberAt(t, row(t, must(t, "room", "make", "--volume", "4000", "--surface", "heavy curtain 1600", "--formula", "eyring"), "0"), 6)
	require.Less(t, eyring, sabine)
}

func TestRoomMaterialsNamesItsSources(t *testing.T) {
	out := must(t, "room", "materials")
	origins := map[string]bool{}
	for _, o := range room.MaterialOrigins() {
		origins[o.Name] = true
		require.Contains(t, out, o.Name)
	}
	for _, m := range room.Materials() {
		origin, _, ok := strings.Cut(m.Source, ":")
		require.True(t, ok && origins[origin], "%s: %s", m.Name, m.Source)
		require.Contains(t, out, m.Name+" ")
		_, err := room.ParseSurface(m.Name + " 10")
		require.NoError(t, err)
	}
}

// recording is a WAV of 48 kHz and 16 bits.
func recording(t *testing.T, name string, x []float64) string {
	t.Helper()
	var b bytes.Buffer
	b.WriteString("RIFF")
	_ = binary.Write(&b, binary.LittleEndian, uint32(36+2*len(x)))
	b.WriteString("WAVEfmt ")
	_ = binary.Write(&b, binary.LittleEndian, struct {
		Size           uint32
		Format, Ch     uint16
		Rate, ByteRate uint32
		Align, Bits    uint16
	}{16, 1, 1, 48000, 96000, 2, 16})
	b.WriteString("data")
	_ = binary.Write(&b, binary.LittleEndian, uint32(2*len(x)))
	for _, v := range x {
		_ = binary.Write(&b, binary.LittleEndian, int16(max(-32768, min(32767, math.Round(v*32767)))))
	}
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, b.Bytes(), 0o644))
	return path
}

// burst is noise that decays over rt seconds, 0.2 s of silence before it, over noise of noiseDB re its start.
func burst(rt, seconds, noiseDB float64) []float64 {
	rng := rand.New(rand.NewPCG(7, 7))
	x := make([]float64, int(48000*(seconds+0.2)))
	for i := range x {
		if at := float64(i)/48000 - 0.2; at >= 0 {
			x[i] = 0.2 * rng.NormFloat64() * math.Pow(10, -3*at/rt)
		}
		x[i] += 0.2 * rng.NormFloat64() * math.Pow(10, noiseDB/20)
	}
	return x
}

func TestRoomMeasure(t *testing.T) {
	wav := recording(t, "burst.wav", burst(1.8, 2.5, -70))
	file := filepath.Join(filepath.Dir(wav), "sub", "room.toml")
	require.NoError(t, os.Mkdir(filepath.Dir(file), 0o755))
	out := must(t, "room", "measure", wav, "--out", file)
	for _, hz := range []string{"500", "1000", "2000", "4000"} {
		t.Run(hz, func(t *testing.T) {
			f := row(t, out, hz)
			require.InDelta(t, 1.8, numberAt(t, f, 3), 0.09, "T30")
			require.InDelta(t, 0, numberAt(t, f, 4), measure.MostCurvature, "C of an exponential")
			require.InDelta(t, 0, numberAt(t, f, 5), measure.MostNonLinearity, "xi of an exponential")
			require.InDelta(t, 10*math.Log10(math.Expm1(6*math.Ln10/1.8*0.08)), numberAt(t, f, 7), 1.2, "C80")
		})
	}
	require.NotContains(t, out, "?")
	require.Contains(t, out, "begins at 0.200 s")

	r, err := room.Load(file)
	require.NoError(t, err)
	require.NotNil(t, r.Measured, "the room sounds as it was recorded")
	shown := must(t, "room", "show", file)
	require.InDelta(t, numberAt(t, row(t, out, "1000"), 3), numberAt(t, row(t, shown, "1000"), 3), 0.02)
	pictures(t, "room", "measure", wav)
}

// A decay with two slopes is marked, explained and drawn, and programs read the same.
func TestRoomMeasureOfACoupledSpace(t *testing.T) {
	x := burst(1.2, 5, -90)
	for i, v := range burst(4, 5, -90) {
		x[i] += 0.13 * v
	}
	wav := recording(t, "transept.wav", x)
	out := must(t, "room", "measure", wav)
	f := row(t, out, "1000")
	require.Contains(t, f, "?", "one time does not tell it: %v", f)
	f = slices.DeleteFunc(f, func(cell string) bool { return cell == "?" })
	require.Equal(t, "~", f[5], "C: %v", f)
	require.Equal(t, "~", f[7], "xi: %v", f)
	require.Regexp(t, `(?m)^~ no straight line .*: it ends on a slower slope, .*coupled space.*; judge running music by EDT`, out)
	pictures(t, "room", "measure", wav)

	var said struct {
		Bands []struct {
			Hz           float64
			T30          struct{ Value float64 } `json:"t30_s"`
			Curvature    struct{ Value float64 } `json:"curvature_percent"`
			NonLinearity struct{ Value float64 } `json:"non_linearity_per_mille"`
		}
		Warnings []struct {
			Hz        []float64
			Bend, Why string
		}
	}
	require.NoError(t, json.Unmarshal([]byte(must(t, "room", "measure", wav, "--json")), &said))
	b := said.Bands[5]
	require.InDelta(t, numberAt(t, f, 3), b.T30.Value, 0.006)
	require.InDelta(t, numberAt(t, f, 4), b.Curvature.Value, 0.6)
	require.InDelta(t, numberAt(t, f, 6), b.NonLinearity.Value, 0.06)
	require.Equal(t, "slower late", said.Warnings[0].Bend)
	require.Contains(t, said.Warnings[0].Hz, b.Hz)

	silent := must(t, "room", "measure", recording(t, "noisy.wav", burst(1.8, 2.5, -24)), "--json")
	require.Contains(t, silent, `"value": null`)
}

func TestRoomMeasureSaysWhatItCannotGive(t *testing.T) {
	noisy := must(t, "room", "measure", recording(t, "noisy.wav", burst(1.8, 2.5, -37)))
	f := row(t, noisy, "1000")
	require.InDelta(t, 1.8, numberAt(t, f, 2), 0.25, "T20, 38 dB above the noise, is safe")
	require.Equal(t, "?", f[4], "T30 is not: %v", f)
	require.Contains(t, strings.Join(f[5:7], " "), "?", "nor the curvature: %v", f)
	require.Contains(t, noisy, "above the noise; needs 45 dB")
	f = row(t, must(t, "room", "measure", recording(t, "noisier.wav", burst(1.8, 2.5, -24))), "1000")
	require.Equal(t, "-", f[2], "T20 is not there: %v", f)

	clip := burst(1.8, 2.5, -60)
	for i := range clip {
		clip[i] = max(-1, min(1, 8*clip[i]))
	}
	require.Contains(t, must(t, "room", "measure", recording(t, "clip.wav", clip)), "clipped: record it again")
}

func TestRoomMeasureOfASoundCutOff(t *testing.T) {
	// Steady noise for 2 s, then the diffuse field's exponential decay of 1.5 s, over a noise floor 70 dB down.
	rng := rand.New(rand.NewPCG(1, 9))
	const rate, held = 48000, 2.0
	x := make([]float64, int((held+2)*rate))
	for i := range x {
		t := float64(i) / rate
		e := 1.0
		if t > held {
			e = math.Pow(10, -6*(t-held)/1.5)
		}
		x[i] = 0.15*rng.NormFloat64()*math.Sqrt(e) + 0.15*3e-4*rng.NormFloat64()
	}
	file := filepath.Join(t.TempDir(), "hall.toml")
	out := must(t, "room", "measure", recording(t, "chord.wav", x), "--kind", "interrupted", "--out", file)
	for _, hz := range []string{"500", "1000", "2000"} {
		t.Run(hz, func(t *testing.T) {
			f := row(t, out, hz)
			require.InDelta(t, 1.5, numberAt(t, f, 2), 0.15, "T20")
			require.Equal(t, "-", f[len(f)-1], "no centre time from a cut-off sound")
		})
	}
	require.Contains(t, out, "a sound cut off is not an impulse")
	r, err := room.Load(file)
	require.NoError(t, err)
	require.Nil(t, r.Measured)
	require.InDelta(t, 1.5, r.RT(1000), 0.15)
}

func TestRoomRefuses(t *testing.T) {
	refused(t, true, "there is no command", "room", "tune")
	refused(t, true, "takes one ROOM or --rt", "room", "show")
	refused(t, true, "not both", "room", "show", "abbey", "--rt", "2")
	refused(t, true, "there is no room", "room", "show", "barn")
	refused(t, true, "no seat", "room", "show", "abbey", "--seat", "loft")
	refused(t, true, "give seconds from", "room", "show", "--rt", "-1")
	refused(t, true, "how large", "room", "make", "--surface", "stone floor 3")
	refused(t, true, "built of", "room", "make", "--volume", "900")
	refused(t, true, "no material", "room", "make", "--volume", "900", "--surface", "gold leaf 10")
	refused(t, true, "area in m²", "room", "make", "--volume", "900", "--surface", "carpet")
	refused(t, true, "number above 0", "room", "make", "--volume", "900", "--surface", "stone floor -4")
	refused(t, true, "volume", "room", "make", "--volume", "-4", "--surface", "stone floor 4")
	refused(t, true, "holds 30", "room", "make", "--volume", "900", "--size", "5x3x2", "--surface", "stone floor 4")
	refused(t, true, "length x width x height", "room", "make", "--size", "5x3", "--surface", "stone floor 4")
	refused(t, true, "not a length", "room", "make", "--size", "5x3xhigh", "--surface", "stone floor 4")
	refused(t, true, "empty, half or full", "room", "make", "--volume", "900", "--surface", "stone wall 600", "--people", "9", "--occupied", "packed")
	refused(t, true, "--people how many", "room", "make", "--volume", "900", "--surface", "stone wall 600", "--occupied", "half")
	refused(t, true, "sabine or eyring", "room", "make", "--volume", "900", "--surface", "stone wall 600", "--formula", "guess")
	refused(t, true, "more absorption", "room", "make", "--volume", "9000", "--surface", "stone floor 1")
	refused(t, true, "ends in .toml", "room", "make", "--volume", "900", "--surface", "stone wall 600", "--out", "x.txt")
	refused(t, true, "people", "room", "make", "--volume", "900", "--surface", "stone wall 600", "--people", "-5")
	refused(t, true, "impulse or interrupted", "room", "measure", "x.wav", "--kind", "bang")
	refused(t, true, "ends in .toml", "room", "measure", "x.wav", "--out", "x.json")
	refused(t, false, "no such file", "room", "measure", filepath.Join(t.TempDir(), "x.wav"))
	refused(t, false, "not a WAV file", "room", "measure", write(t, "x.wav", "hello"))
	refused(t, false, "silent", "room", "measure", recording(t, "s.wav", make([]float64, 48000)))
	refused(t, false, "own.toml:2", "room", "show", write(t, "own.toml", "name = \"x\"\nvolume = 0\nrt = 2\n"))

	out := filepath.Join(t.TempDir(), "never.toml")
	_, err := inProcess("room", "measure", recording(t, "s.wav", make([]float64, 48000)), "--out", out)
	require.Error(t, err)
	require.NoFileExists(t, out)
}
