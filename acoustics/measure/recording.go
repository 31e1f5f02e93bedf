package measure

import (
	"errors"
	"slices"

	"afterchord/acoustics/impulse"
)

// Excitation is what made a recording ring.
type Excitation string

// Excitations that [Recording] knows.
const (
	Impulse Excitation = "impulse" // a measured response, balloon burst or hand clap
	CutOff  Excitation = "cut-off" // a chord or noise held and cut off
)

// Recording measures a recording per octave band. An impulse is measured as a response (a balloon or a clap
// colours the bands but not their decay). A sound that was held and cut off (interrupted noise,
// ISO 3382-2) decays from where its level last falls; from it come T20 and T30, not the
// measures that need an impulse. Its decay is integrated once more, which smooths the noise and leaves a straight
// decay as it is; a slower late slope weighs more in it than in a response's.
func Recording(resp *impulse.Response, made Excitation) (Result, error) {
	mono := monoOf(resp)
	if made != CutOff {
		return Channel(mono, resp.Rate)
	}
	at, err := cutOff(mono, resp.Rate)
	if err != nil {
		return Result{}, err
	}
	// The decay itself is already the integral of the response (ISO 3382-1, 5.2), so its negative slope is
	// what a response's energy would be; an exponential's slope has the same rate.
	m, err := measure(mono[at:], resp.Rate, true)
	m.OnsetS += float64(at) / float64(resp.Rate)
	return m, err
}

// cutOff is the last sample at which the level, in windows of 50 ms, lies within 3 dB of
// its median loud level.
func cutOff(x []float64, rate int) (int, error) {
	if _, err := Onset(x, rate); err != nil {
		return 0, err
	}
	step := rate / 20
	var peak float64
	level := make([]float64, len(x)/step)
	for i := range level {
		for _, v := range x[i*step : (i+1)*step] {
			level[i] += v * v
		}
		peak = max(peak, level[i])
	}
	for i := len(level) - 1; i >= 0; i-- {
		if level[i] > peak/2 {
			return i * step, nil
		}
	}
	return 0, errors.New("no end of the sound found")
}

// monoOf is left and right added, or the left where both are the same.
func monoOf(resp *impulse.Response) []float64 {
	out := make([]float64, len(resp.L))
	for i := range out {
		out[i] = (resp.L[i] + resp.R[i]) / 2
	}
	return out
}

// Response measures both channels of a response and gives the left's figures and decays, or the mean of the figures
// where both are reliable.
func Response(resp *impulse.Response) (Result, error) {
	left, err := Channel(resp.L, resp.Rate)
	if err != nil {
		return left, err
	}
	if slices.Equal(resp.L, resp.R) {
		return left, nil
	}
	right, err := Channel(resp.R, resp.Rate)
	if err != nil {
		return left, nil
	}
	for b := range left.Bands {
		l, r := &left.Bands[b], &right.Bands[b]
		others := r.figures()
		for i, f := range l.figures() {
			switch {
			case f.Reliable && others[i].Reliable:
				f.Value = (f.Value + others[i].Value) / 2
			case others[i].Reliable:
				*f = *others[i]
			}
		}
	}
	return left, nil
}
