package wav

import (
	"bytes"
	"encoding/binary"
	"math"
	"strings"
	"testing"
)

// wavBytes is a minimal WAV file (Microsoft/IBM RIFF WAVE layout: "fmt " of 16 bytes, then "data").
func wavBytes(format, channels, rate, bits int, samples []byte) []byte {
	var b bytes.Buffer
	put := func(v any) { _ = binary.Write(&b, binary.LittleEndian, v) }
	b.WriteString("RIFF")
	put(uint32(36 + len(samples)))
	b.WriteString("WAVEfmt ")
	put(uint32(16))
	put([]uint16{uint16(format), uint16(channels)})
	put([]uint32{uint32(rate), uint32(rate * channels * bits / 8)})
	put([]uint16{uint16(channels * bits / 8), uint16(bits)})
	b.WriteString("data")
	put(uint32(len(samples)))
	b.Write(samples)
	return b.Bytes()
}

func TestDecodeWidths(t *testing.T) {
	float := func(v ...float32) []byte {
		var b bytes.Buffer
		_ = binary.Write(&b, binary.LittleEndian, v)
		return b.Bytes()
	}
	for _, row := range []struct {
		name         string
		format, bits int
		data         []byte
		want         []float64
	}{
		{"8 bits, offset binary", 1, 8, []byte{128, 255, 0, 192}, []float64{0, 127. / 128, -1, 0.5}},
		{"16 bits", 1, 16, []byte{0, 0, 0xff, 0x7f, 0, 0x80, 0, 0x40}, []float64{0, 32767. / 32768, -1, 0.5}},
		{"24 bits", 1, 24, []byte{0, 0, 0, 0, 0, 0x80, 0, 0, 0x40}, []float64{0, -1, 0.5}},
		{"32 bits", 1, 32, []byte{0, 0, 0, 0x80, 0, 0, 0, 0x40}, []float64{-1, 0.5}},
		{"float", 3, 32, float(0, -1, 0.5, 1.75), []float64{0, -1, 0.5, 1.75}},
		{"float of 64 bits", 3, 64, binary.LittleEndian.AppendUint64(nil, math.Float64bits(1.0/3)), []float64{1.0 / 3}},
	} {
		t.Run(row.name, func(t *testing.T) {
			got, err := Decode(wavBytes(row.format, 1, 48000, row.bits, row.data))
			if err != nil {
				t.Errorf("%s: %v", row.name, err)
				return
			}
			for i, v := range row.want {
				if len(got.L) != len(row.want) || got.L[i] != v || got.R[i] != v {
					t.Fatalf("%s: %v, want %v", row.name, got.L, row.want)
				}
			}
		})
	}
	for name, row := range map[string]struct {
		data []byte
		want string
	}{
		"NaN":          {wavBytes(3, 1, 48000, 32, float(0, float32(math.NaN()))), "sample 1 is not a number"},
		"no samples":   {wavBytes(1, 1, 48000, 16, nil), "no sound"},
		"7 bits":       {wavBytes(1, 1, 48000, 7, []byte{1, 2}), "7 bits"},
		"slow":         {wavBytes(1, 1, 100, 16, []byte{1, 2}), "100 Hz"},
		"not PCM":      {wavBytes(2, 1, 48000, 16, []byte{1, 2}), "format 2"},
		"not a WAV":    {[]byte("MThd and so on, a score"), "not a WAV file"},
		"huge format":  {[]byte("RIFF,\x00\x00\x00WAVEfmt \x00\xff\xf3w\x01\x00\x02\x00"), "damaged WAV"},
		"sound first":  {[]byte("RIFF\x30\x00\x00\x00WAVEdata\x04\x00\x00\x00\x01\x00\x02\x00fmt \x10\x00\x00\x00\x01\x00\x01\x00\x80\xbb\x00\x00\x00\x77\x01\x00\x02\x00\x10\x00"), "before its format"},
		"format alone": {wavBytes(1, 1, 48000, 16, nil)[:36], "no sound"},
	} {
		if _, err := Decode(row.data); err == nil || !strings.Contains(err.Error(), row.want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v, want %q", name, err, row.want)
		}
	}
}

// Files as recorders and streams leave them.
func TestDecodeOddLengths(t *testing.T) {
	pcm := bytes.Repeat([]byte{0, 0x40}, 24000)
	length := func(riff, data uint32) []byte {
		b := wavBytes(1, 1, 48000, 16, pcm)
		binary.LittleEndian.PutUint32(b[4:], riff)
		binary.LittleEndian.PutUint32(b[40:], data)
		return b
	}
	// RF64 as EBU Tech 3306 has it: ds64 with 64-bit lengths in front, 2³²−1 where RIFF has its own.
	rf64 := func(claimed uint64) []byte {
		b := append([]byte("RF64\xff\xff\xff\xffWAVEds64\x1c\x00\x00\x00"), make([]byte, 28)...)
		binary.LittleEndian.PutUint64(b[20:], claimed+72)
		binary.LittleEndian.PutUint64(b[28:], claimed)
		return append(b, length(0, math.MaxUint32)[12:]...)
	}
	cut := []string{"the file is cut short: 0.50 s of 1.00 s are there"}
	for _, row := range []struct {
		name     string
		data     []byte
		cautions []string
	}{
		{"whole", length(36+48000, 48000), nil},
		{"cut short", length(36+96000, 96000), cut},
		{"a stream", length(math.MaxUint32, math.MaxUint32), nil},
		{"a stream of an older program", length(0x7ffff024, 0x7ffff000), nil},
		{"a stream that kept no length", length(0, 0), nil},
		{"RF64", rf64(48000), nil},
		{"RF64 cut short", rf64(96000), cut},
		{"RF64 as a stream", rf64(0), nil},
		{"a part after the sound", append(length(36+48000+12, 48000), "LIST\x04\x00\x00\x00abcd"...), nil},
	} {
		t.Run(row.name, func(t *testing.T) {
			got, err := Decode(row.data)
			if err != nil {
				t.Fatal(err)
			}
			if len(got.L) != 24000 || got.L[23999] != 0.5 || strings.Join(got.Cautions, ";") != strings.Join(row.cautions, ";") {
				t.Errorf("%d samples, %q", len(got.L), got.Cautions)
			}
		})
	}
}

// A file cut at any byte is read as far as it goes or refused; none crashes.
func TestDecodeCutAnywhere(t *testing.T) {
	whole := wavBytes(1, 2, 44100, 24, bytes.Repeat([]byte{1, 2, 3}, 40))
	for n := range whole {
		resp, err := Decode(whole[:n])
		if (err == nil) == (resp == nil) {
			t.Fatalf("cut at %d: %v, %v", n, resp, err)
		}
	}
}

func FuzzDecodeWAV(f *testing.F) {
	f.Add([]byte("RIFF\x2c\x00\x00\x00WAVEfmt \x10\x00\x00\x00\x01\x00\x01\x00\x80\xbb\x00\x00\x00\x77\x01\x00\x02\x00\x10\x00data\x08\x00\x00\x00\x01\x00\x02\x00\x03\x00\x04\x00"))
	f.Add(wavBytes(1, 2, 44100, 24, []byte{1, 2, 3, 4, 5, 6}))
	f.Add(wavBytes(3, 1, 96000, 32, []byte{0, 0, 128, 63, 0, 0, 0, 0}))
	f.Add(wavBytes(1, 1, 8000, 8, []byte{1, 255, 128}))
	f.Add([]byte("RF64\xff\xff\xff\xffWAVEds64\x1c\x00\x00\x00\x50\x00\x00\x00\x00\x00\x00\x00\x08\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00fmt \x10\x00\x00\x00\x03\x00\x01\x00\x80\xbb\x00\x00\x00\xdc\x05\x00\x08\x00\x40\x00data\xff\xff\xff\xff\x00\x00\x00\x00\x00\x00\xe0?"))
	f.Add(wavBytes(0xfffe, 3, 48000, 16, []byte{1, 2, 3, 4, 5, 6}))
	f.Fuzz(func(t *testing.T, data []byte) {
		resp, err := Decode(data)
		if err == nil && len(resp.L) != len(resp.R) {
			t.Fatal("channels differ")
		}
	})
}
