// Package impulse holds stereo impulse responses: what they are, their energy per octave band, and how they are read and
// brought to another sample rate.
package impulse

import "afterchord/acoustics/wav"

// Response is a stereo impulse response. A source of P pW convolved with it has the
// mean square that the listener's pressure has in units of (20 µPa)². Sample 0 is the moment the
// source sounds.
type Response struct {
	Rate     int // Hz
	L, R     []float64
	Cautions []string // what is wrong with the file that it was read from
}

// Read reads an impulse response or a recording from a WAV file (see [Decode]).
func Read(path string) (*Response, error) {
	sound, err := wav.Read(path)
	if err != nil {
		return nil, err
	}
	r := Response(*sound)
	return &r, nil
}

// Decode reads an impulse response or a recording from WAV data (see [Decode]).
func Decode(data []byte) (*Response, error) {
	sound, err := wav.Decode(data)
	if err != nil {
		return nil, err
	}
	r := Response(*sound)
	return &r, nil
}
