package desk

import (
	"errors"
	"fmt"
	"math"
	"net/http"

	"afterchord/acoustics/loudness"
	"afterchord/sim/sound"
)

// Loudness is measured at a lower rate than the sound is heard at, and over no more than
// the first ten minutes: above 12 kHz a pipe organ adds nothing to it.
const (
	loudnessRate = 24000
	loudnessMost = 600 // s
)

type loudnessRequest struct {
	Side Side `json:"side"`
	Dry  bool `json:"dry"`
	Ears bool `json:"ears"` // for headphones
}

type loudnessReply struct {
	LKFS        float64 `json:"lkfs"`          // programme loudness of the stream, ITU-R BS.1770
	PeakDBFS    float64 `json:"peak_dbfs"`     // of the stream
	LoudestDB   float64 `json:"loudest_db"`    // highest 125 ms at the seat, dB re 20 µPa
	FullScaleDB float64 `json:"full_scale_db"` // of a momentary pressure at full scale
}

// loudness measures a side, so that the page can play versions equally loud.
func (d *Desk) loudness(w http.ResponseWriter, r *http.Request) error {
	var in loudnessRequest
	if err := readJSON(w, r, &in); err != nil {
		return err
	}
	p, err := d.store.Get(r.PathValue("id"))
	if err != nil {
		return err
	}
	pr, key, err := d.play(p, in.Side)
	if err != nil {
		return err
	}
	job, err := jobOf(pr, loudnessRate, in.Dry, in.Ears)
	if err != nil {
		return err
	}
	key = fmt.Sprintf("%s %t %t", key, in.Dry, in.Ears)
	if x, ok := d.loud.get(key); ok {
		writeJSON(w, http.StatusOK, x)
		return nil
	}
	if err := d.sounds.enter(r.Context()); err != nil {
		return err
	}
	held := true
	defer func() {
		if held {
			d.sounds.leave()
		}
	}()
	meter := loudness.NewMeter(loudnessRate)
	frames, peak := 0, 0.0
	rep, err := sound.Render(r.Context(), job, func(block []float32) error {
		d.opt.Breathe()
		meter.Add(block)
		for _, v := range block {
			peak = max(peak, math.Abs(float64(v)))
		}
		if frames += len(block) / 2; frames > loudnessMost*loudnessRate {
			return errStop
		}
		if d.sounds.wanted() { // who wants to hear goes first
			d.sounds.leave()
			err := d.sounds.again(r.Context())
			held = err == nil
			return err
		}
		return nil
	}, nil)
	if err != nil && !errors.Is(err, errStop) {
		return err
	}
	reply := loudnessReply{LKFS: finite(meter.Integrated()), PeakDBFS: finite(20 * math.Log10(peak)),
		LoudestDB: finite(rep.LoudestDB), FullScaleDB: sound.DefaultFullScaleDB}
	d.loud.put(key, reply)
	writeJSON(w, http.StatusOK, reply)
	return nil
}

// errStop ends a measurement that has heard enough.
var errStop = errors.New("enough")

// finite stands -200 dB for silence, which JSON cannot write.
func finite(v float64) float64 {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return -200
	}
	return math.Round(v*100) / 100
}
