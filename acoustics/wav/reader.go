package wav

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"math"

	"afterchord/acoustics/internal/limited"

	"github.com/go-audio/wav"
)

const (
	maxFile    = 256 << 20 // bytes
	maxSeconds = 60.0
)

// Sound is what a sound file holds: two channels of equal length, re full scale.
type Sound struct {
	Rate     int // Hz
	L, R     []float64
	Cautions []string // what is wrong with the file, in words; empty for a whole one
}

// Read reads a sound file as [Decode] does.
func Read(path string) (*Sound, error) {
	data, err := limited.ReadFile(path, maxFile)
	if err != nil {
		return nil, err
	}
	sound, err := Decode(data)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return sound, nil
}

// Is tells sound in a WAV file, RF64 among them, from other data.
func Is(data []byte) bool {
	return len(data) >= 12 && string(data[8:12]) == "WAVE" && (string(data[:4]) == "RIFF" || isLong(data))
}

// isLong tells a file with lengths of 64 bits.
func isLong(data []byte) bool { return string(data[:4]) == "RF64" || string(data[:4]) == "BW64" }

// Decode reads WAV data, RF64 (EBU Tech 3306) among it: PCM of 8, 16, 24 or 32 bits or float of 32 or 64 bits, any
// rate from 8 to 384 kHz, up to a minute. One channel is used for both ears; of more than two the first two.
// Samples are re full scale. A file that was written as a stream has no length of its own and is read to its end; one
// that ends before its length is read as far as it goes, with a caution.
func Decode(data []byte) (sound *Sound, err error) {
	defer func() {
		if p := recover(); p != nil { // the decoder is not ours
			sound, err = nil, fmt.Errorf("damaged WAV: %v", p)
		}
	}()
	c, err := readChunks(data)
	if err != nil {
		return nil, err
	}
	d := wav.NewDecoder(bytes.NewReader(c.head()))
	d.ReadInfo()
	if err := d.Err(); err != nil {
		return nil, fmt.Errorf("not a WAV file: %w", err)
	}
	channels, rate, bits := int(d.NumChans), int(d.SampleRate), int(d.BitDepth)
	const pcm, float, extensible = 1, 3, 0xFFFE
	switch {
	case channels < 1 || channels > 64:
		return nil, fmt.Errorf("WAV with %d channels: give 1 to 64", channels)
	case rate < 8000 || rate > 384000:
		return nil, fmt.Errorf("WAV at %d Hz: give 8000 to 384000", rate)
	case d.WavAudioFormat != pcm && d.WavAudioFormat != float && d.WavAudioFormat != extensible:
		return nil, fmt.Errorf("WAV of format %d: give PCM or float", d.WavAudioFormat)
	}
	isFloat := d.WavAudioFormat == float
	if d.WavAudioFormat == extensible && len(c.format) >= 26 {
		isFloat = binary.LittleEndian.Uint16(c.format[24:]) == float
	}
	width := bits / 8
	if isFloat && width != 4 && width != 8 || !isFloat && (width < 1 || width > 4) || bits%8 != 0 {
		return nil, fmt.Errorf("WAV of %d bits: give 8, 16, 24 or 32 bits, or float of 32 or 64 bits", bits)
	}
	frame := width * channels
	frames := len(c.sound) / frame
	if float64(frames) > maxSeconds*float64(rate) {
		return nil, fmt.Errorf("%.0f s long: give at most %g s", float64(frames)/float64(rate), maxSeconds)
	}
	if frames == 0 {
		return nil, errors.New("there is no sound in the WAV file")
	}
	out := &Sound{Rate: rate, L: make([]float64, frames), R: make([]float64, frames)}
	if missing := c.claimed - uint64(len(c.sound)); missing >= uint64(frame) {
		out.Cautions = append(out.Cautions, fmt.Sprintf("the file is cut short: %.2f s of %.2f s are there",
			float64(frames)/float64(rate), float64(c.claimed)/float64(frame)/float64(rate)))
	}
	for i := range frames {
		at := i * frame
		out.L[i] = sample(c.sound[at:at+width], isFloat)
		out.R[i] = out.L[i]
		if channels > 1 {
			out.R[i] = sample(c.sound[at+width:at+2*width], isFloat)
		}
		if math.IsNaN(out.L[i]+out.R[i]) || math.IsInf(out.L[i]+out.R[i], 0) {
			return nil, fmt.Errorf("sample %d is not a number", i)
		}
	}
	return out, nil
}

// chunks are the parts of a WAV file that matter here.
type chunks struct {
	format  []byte
	sound   []byte
	claimed uint64 // how long the file says the sound is, bytes; never less than sound
}

// head is a file of the format alone, for the decoder: it makes room for whatever length a part claims, and reads on
// past the sound where no format came before.
func (c *chunks) head() []byte {
	b := append([]byte("RIFF"), 0, 0, 0, 0)
	b = append(b, "WAVEfmt "...)
	b = binary.LittleEndian.AppendUint32(b, uint32(len(c.format)))
	b = append(b, c.format...)
	b = append(b, "data\x00\x00\x00\x00"...)
	binary.LittleEndian.PutUint32(b[4:], uint32(len(b)-8))
	return b
}

// isOpen says whether size is no length but stands for sound that was written as a stream (2³²−1, in programs of old
// from 2³¹−4096; from memory), or whose length is in the part ds64 of an RF64 file.
func isOpen(size uint32) bool { return size >= 1<<31-4096 }

// readChunks finds the format and the sound.
func readChunks(data []byte) (c chunks, err error) {
	if !Is(data) {
		return c, errors.New("not a WAV file: it does not begin with RIFF and WAVE")
	}
	var longSound uint64
	for at := 12; at+8 <= len(data); {
		id, size := string(data[at:at+4]), binary.LittleEndian.Uint32(data[at+4:])
		rest := data[at+8:]
		if id == "data" {
			if c.format == nil {
				return c, errors.New("damaged WAV: the sound comes before its format")
			}
			c.claimed = uint64(size)
			whole := binary.LittleEndian.Uint32(data[4:])
			switch {
			case longSound > 0:
				c.claimed = longSound
			case isOpen(size) && uint64(size) > uint64(len(rest)) || size == 0 && (whole == 0 || isOpen(whole)):
				c.claimed = uint64(len(rest))
			}
			c.sound = rest[:min(c.claimed, uint64(len(rest)))]
			return c, nil
		}
		if uint64(size) > uint64(len(rest)) {
			return c, fmt.Errorf("damaged WAV: part %q at byte %d claims %d bytes, the file has %d", id, at, size, len(rest))
		}
		switch {
		case id == "fmt " && c.format == nil:
			if c.format = rest[:size:size]; size < 16 {
				return c, fmt.Errorf("damaged WAV: a format of %d bytes", size)
			}
		case id == "ds64" && size >= 16 && isLong(data):
			longSound = binary.LittleEndian.Uint64(rest[8:])
		}
		at += 8 + int(size) + int(size&1)
	}
	return c, errors.New("there is no sound in the WAV file")
}

func sample(b []byte, float bool) float64 {
	switch {
	case float && len(b) == 8:
		return math.Float64frombits(binary.LittleEndian.Uint64(b))
	case float:
		return float64(math.Float32frombits(binary.LittleEndian.Uint32(b)))
	case len(b) == 1:
		return (float64(b[0]) - 128) / 128
	case len(b) == 2:
		return float64(int16(binary.LittleEndian.Uint16(b))) / (1 << 15)
	case len(b) == 3:
		return float64(int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24)) / (1 << 31)
	}
	return float64(int32(binary.LittleEndian.Uint32(b))) / (1 << 31)
}
