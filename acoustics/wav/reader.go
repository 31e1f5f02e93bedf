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
	Rate int // Hz
	L, R []float64
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

// Decode reads WAV data: PCM of 8, 16, 24 or 32 bits or 32-bit float, any rate from 8 to 384 kHz, up
// to a minute. One channel is used for both ears; of more than two the first two.
// Samples are re full scale.
func Decode(data []byte) (sound *Sound, err error) {
	defer func() {
		if p := recover(); p != nil { // the decoder is not ours
			sound, err = nil, fmt.Errorf("damaged WAV: %v", p)
		}
	}()
	if err := checkChunks(data); err != nil {
		return nil, err
	}
	d := wav.NewDecoder(bytes.NewReader(data))
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
		return nil, fmt.Errorf("WAV of format %d: give PCM or 32-bit float", d.WavAudioFormat)
	}
	isFloat := d.WavAudioFormat == float
	if d.WavAudioFormat == extensible {
		if i := bytes.Index(data, []byte("fmt ")); i >= 0 && i+34 <= len(data) {
			isFloat = binary.LittleEndian.Uint16(data[i+32:]) == float
		}
	}
	if err := d.FwdToPCM(); err != nil {
		return nil, fmt.Errorf("there is no sound in the WAV file: %w", err)
	}
	width := bits / 8
	if width < 1 || width > 4 || bits%8 != 0 || isFloat && width != 4 {
		return nil, fmt.Errorf("WAV of %d bits: give 8, 16, 24 or 32 bits, or 32-bit float", bits)
	}
	if d.PCMChunk == nil {
		return nil, errors.New("there is no sound in the WAV file")
	}
	frames := min(int(d.PCMLen()), len(data)) / (width * channels)
	if float64(frames) > maxSeconds*float64(rate) {
		return nil, fmt.Errorf("%.0f s long: give at most %g s", float64(frames)/float64(rate), maxSeconds)
	}
	raw := make([]byte, frames*width*channels)
	got := 0
	for got < len(raw) {
		n, err := d.PCMChunk.Read(raw[got:])
		got += n
		if err != nil || n == 0 {
			break
		}
	}
	frames = got / (width * channels)
	if frames == 0 {
		return nil, errors.New("there is no sound in the WAV file")
	}
	out := &Sound{Rate: rate, L: make([]float64, frames), R: make([]float64, frames)}
	for i := range frames {
		at := i * width * channels
		out.L[i] = sample(raw[at:at+width], isFloat)
		out.R[i] = out.L[i]
		if channels > 1 {
			out.R[i] = sample(raw[at+width:at+2*width], isFloat)
		}
		if math.IsNaN(out.L[i]+out.R[i]) || math.IsInf(out.L[i]+out.R[i], 0) {
			return nil, fmt.Errorf("sample %d is not a number", i)
		}
	}
	return out, nil
}

// checkChunks makes sure that every part before the sound lies within the file, and the format among them: the
// decoder makes room for whatever length a part claims, and reads on past the sound where no format came before.
func checkChunks(data []byte) error {
	if len(data) < 12 || string(data[:4]) != "RIFF" || string(data[8:12]) != "WAVE" {
		return errors.New("not a WAV file: it does not begin with RIFF and WAVE")
	}
	format := false
	for at := 12; at+8 <= len(data); {
		size := int(binary.LittleEndian.Uint32(data[at+4:]))
		switch id := string(data[at : at+4]); {
		case id == "data" && !format:
			return errors.New("damaged WAV: the sound comes before its format")
		case id == "data":
			return nil
		case size > len(data)-at-8:
			return fmt.Errorf("damaged WAV: part %q at byte %d claims %d bytes, the file has %d", id, at, size, len(data)-at-8)
		case id == "fmt ":
			format = true
		}
		at += 8 + size + size&1
	}
	return errors.New("there is no sound in the WAV file")
}

func sample(b []byte, float bool) float64 {
	switch {
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
