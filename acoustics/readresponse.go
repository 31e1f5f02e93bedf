package acoustics

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"math"

	"github.com/go-audio/wav"
)

const (
	maxResponseFile = 256 << 20 // bytes
	maxResponseS    = 60.0
)

// ReadResponse reads an impulse response or a recording from a WAV file.
func ReadResponse(path string) (*Response, error) {
	data, err := readLimited(path, maxResponseFile)
	if err != nil {
		return nil, err
	}
	resp, err := DecodeResponse(data)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return resp, nil
}

// DecodeResponse reads WAV data: PCM of 8, 16, 24 or 32 bits or 32-bit float, any rate from 8 to 384 kHz, up
// to a minute. One channel is used for both ears; of more than two the first two.
// Samples are re full scale.
func DecodeResponse(data []byte) (resp *Response, err error) {
	defer func() {
		if p := recover(); p != nil { // the decoder is not ours
			resp, err = nil, fmt.Errorf("damaged WAV: %v", p)
		}
	}()
	if err := checkChunks(data); err != nil {
		return nil, err
	}
	d := wav.NewDecoder(bytes.NewReader(data))
	d.ReadInfo()
	if err := d.Err(); err != nil {
		return nil, fmt.Errorf("no WAV: %w", err)
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
		return nil, fmt.Errorf("no sound in the WAV: %w", err)
	}
	width := bits / 8
	if width < 1 || width > 4 || bits%8 != 0 || isFloat && width != 4 {
		return nil, fmt.Errorf("WAV of %d bits: give 8, 16, 24 or 32 bits, or 32-bit float", bits)
	}
	if d.PCMChunk == nil {
		return nil, errors.New("no sound in the WAV")
	}
	frames := min(int(d.PCMLen()), len(data)) / (width * channels)
	if float64(frames) > maxResponseS*float64(rate) {
		return nil, fmt.Errorf("%.0f s long: give at most %g s", float64(frames)/float64(rate), maxResponseS)
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
		return nil, errors.New("no sound in the WAV")
	}
	out := &Response{Rate: rate, L: make([]float64, frames), R: make([]float64, frames)}
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
		return errors.New("no WAV: it does not begin with RIFF and WAVE")
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
	return errors.New("no sound in the WAV")
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

// Resample changes the rate of x from Hz to Hz with a windowed sinc: Kaiser window, β = 10 (about 100
// dB of stop band), 32 zero crossings each side, cut off at 0.95 of the lower Nyquist
// frequency. The spectrum in the pass band is kept, so an impulse response is scaled by from/to.
func Resample(x []float64, from, to int) []float64 {
	if from == to {
		return append([]float64(nil), x...)
	}
	const crossings, beta, phases = 32, 10.0, 512
	ratio := float64(to) / float64(from)
	cut := 0.95 * min(1, ratio)
	half := crossings / cut
	// The kernel in a table, linearly interpolated.
	size := int(half*phases) + 2
	table := make([]float64, size+1)
	for i := range table {
		t := float64(i) / phases
		if u := t / half; u < 1 {
			s := cut
			if t > 0 {
				s = math.Sin(math.Pi*cut*t) / (math.Pi * t)
			}
			table[i] = s * bessel0(beta*math.Sqrt(1-u*u)) / bessel0(beta)
		}
	}
	out := make([]float64, int(math.Ceil(float64(len(x))*ratio)))
	for i := range out {
		at := float64(i) / ratio
		a, z := max(0, int(math.Ceil(at-half))), min(len(x)-1, int(at+half))
		var sum float64
		for j := a; j <= z; j++ {
			p := math.Abs(at-float64(j)) * phases
			k := int(p)
			if k+1 >= len(table) {
				continue
			}
			f := p - float64(k)
			sum += x[j] * (table[k] + f*(table[k+1]-table[k]))
		}
		out[i] = sum / ratio
	}
	return out
}

// bessel0 is the modified Bessel function I0 by its series.
func bessel0(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; k < 60; k++ {
		term *= x / 2 / k
		sum += term * term
	}
	return sum
}
