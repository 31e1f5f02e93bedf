package measure

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"afterchord/acoustics/impulse"
	"afterchord/acoustics/octave"
)

// Take is one burst of a recording: a clap, a balloon, and the room's answer to it.
type Take struct {
	Recording  int     // index of the recording it stands in
	AtS        float64 // where it begins, s
	EndS       float64 // where the next one or the recording ends, s
	Result     Result
	Used       bool
	Cautions   []string // what is wrong with it; empty for a good one
	from, to   int      // samples
	rate       int
	measured   bool    // it is long enough for figures
	wrong      string  // what the recorder has done to it
	quiet      string  // the caution that says why neither 500 Hz nor 1 kHz gives a time by itself
	first      bool    // nothing rings before it
	directOver float64 // of the direct sound over the room's answer, dB, beyond what a decay has
}

// Joined are the figures of several takes together.
type Joined struct {
	Takes    []Take
	Result   Result       // means of the takes used; the decays are those of the best
	Spread   octave.Bands // standard deviation of the reverberation time re its mean, per band; 0 with one take; of averaged takes that of their time ([Joined.Averaged])
	Best     int          // index of the take with the widest range above its noise
	Cautions []string     // what everything made from these takes has to be read with
	read     [octave.N]reading
}

// Bounds of what counts as a burst and as trouble. They are our own, set on simulated claps (see takes_test.go).
const (
	frameS        = 0.01 // of the envelope, s
	riseDB        = 9.0  // a burst rises by so much over the 40 ms before it
	belowTopDB    = 22.0 // and comes within so much of the loudest
	overFloorDB   = 14.0 // and stands so much over the quiet
	apartS        = 0.25 // closer bursts count as one
	directEndS    = 0.03 // after so long the direct sound is over, s
	nearDB        = 3.0  // direct sound so much over the room's answer: too near
	gateDB        = 14.0 // a fall by so much from one frame to the next but one: a gate
	aboveDigit    = 3.0  // a level of fewer last digits of the file is no sound
	mostScatter   = 5.95 // dB, of a steady noise in the bins of a short spectrum; 5.3 to 5.8 without suppression
	mostDrift     = 2.0  // dB, of the noise before a clap
	mostBulge     = -2.4 // mean curvature of the bands, %
	mostMet       = 0.85 // of a take, up to where a decay that meets the noise leaves enough noise to know it
	regainDB      = 1.6  // noise that changes by so much round the clap: automatic gain
	mostSpread    = 0.10 // takes that differ by more are not sure
	mostBend      = 7.0  // curvature beyond which the time depends on where it is read, % (ISO 3382-2:2008, Annex B, calls beyond 10 % far from straight)
	mostBendEarly = 12.0 // of the second ten decibels of T20 over the first, %, where there is no T30
	longestDecay  = 60.0 // s; no building rings longer
	noLine        = 50.0 // degree of non-linearity beyond which a level falls in no line at all, per mille
)

// ErrNoTake is returned where a recording has no burst that can be measured.
var ErrNoTake = errors.New("no clap or burst could be measured in the recording")

// Takes finds every burst in the recordings, measures and judges each by itself, and joins the good ones: the mean of their
// times, with the spread. A burst is used where 500 Hz or 1 kHz gives a time and nothing shows that a gate or an automatic gain has
// changed the decay. A direct sound that stands far over the room's answer is left out of the fit.
func Takes(recordings []*impulse.Response) (Joined, error) {
	var j Joined
	var first error
	for n, rec := range recordings {
		mono := monoOf(rec)
		if _, err := Onset(mono, rec.Rate); err != nil {
			first = err
			continue
		}
		for i, at := range bursts(mono, rec.Rate) {
			t := Take{first: i == 0, rate: rec.Rate, Cautions: slices.Clone(rec.Cautions), Recording: n, from: at[0], to: at[1], AtS: float64(at[0]) / float64(rec.Rate), EndS: float64(at[1]) / float64(rec.Rate)}
			if err := t.measure(rec, mono); err != nil {
				t.Cautions = append(t.Cautions, err.Error())
			}
			j.Takes = append(j.Takes, t)
		}
	}
	if len(j.Takes) == 0 {
		if first == nil {
			first = ErrNoTake
		}
		return j, first
	}
	j.together(recordings)
	j.join()
	return j, nil
}

// Sound is the take's part of its recording.
func (t *Take) Sound(recordings []*impulse.Response) *impulse.Response {
	r := recordings[t.Recording]
	from := max(0, t.from-r.Rate/50)
	return &impulse.Response{Rate: r.Rate, L: r.L[from:t.to], R: r.R[from:t.to]}
}

// envelope is the level of x in frames, dB; the low rumble of a building is weakened.
func envelope(x []float64, rate int) []float64 {
	step := max(1, int(frameS*float64(rate)))
	out := make([]float64, 0, len(x)/step)
	last := 0.0
	for a := 0; a+step <= len(x); a += step {
		sum := 0.0
		for _, v := range x[a : a+step] {
			d := v - 0.97*last
			last = v
			sum += d * d
		}
		out = append(out, 10*math.Log10(sum/float64(step)+1e-20))
	}
	return out
}

// bursts are the beginnings and ends of the bursts in x, samples; at least one.
func bursts(x []float64, rate int) [][2]int {
	env := envelope(x, rate)
	step := max(1, int(frameS*float64(rate)))
	var peaks [][2]int
	if len(env) > 8 {
		sorted := slices.Sorted(slices.Values(env))
		floor, top := sorted[len(sorted)/10], sorted[len(sorted)-1]
		for i := 0; i < len(env); i++ {
			before := floor
			if i > 0 {
				before = math.Inf(-1)
				for _, e := range env[max(0, i-4):i] {
					before = math.Max(before, e)
				}
			}
			if env[i] < before+riseDB || env[i] < top-belowTopDB || env[i] < floor+overFloorDB {
				continue
			}
			if n := len(peaks); n > 0 && float64(i*step-peaks[n-1][0]) < apartS*float64(rate) {
				continue
			}
			peaks = append(peaks, [2]int{i * step, len(x)})
		}
	}
	if len(peaks) == 0 {
		onset, _ := Onset(x, rate)
		peaks = [][2]int{{onset, len(x)}}
	}
	for i := 1; i < len(peaks); i++ {
		peaks[i-1][1] = max(peaks[i-1][0]+1, peaks[i][0]-2*step)
	}
	return peaks
}

// measure fills in the take's figures and what is wrong with them.
func (t *Take) measure(rec *impulse.Response, mono []float64) error {
	rate := rec.Rate
	start := max(0, t.from-rate/50)
	if t.to-t.from < rate/4 {
		return errors.New("too short: let the room ring out before the next clap")
	}
	res, err := Response(&impulse.Response{Rate: rate, L: rec.L[start:t.to], R: rec.R[start:t.to]})
	if err != nil {
		return err
	}
	res.OnsetS += float64(start) / float64(rate)
	t.Result = res
	t.measured = true
	t.nearness(rec)
	wrong := t.handled(mono)
	for b := range t.Result.Bands {
		band := &t.Result.Bands[b]
		if band.EDT.Reliable && !band.T20.Reliable && !band.T30.Reliable {
			band.EDT.Reliable, band.EDT.Why = false, "only the first 10 dB stand over the noise"
		}
		if wrong != "" {
			band.mark(wrong)
		} else if band.bent(b) || band.bentEarly(b) {
			doubt(&band.T30, &band.T20, &band.EDT)
		}
	}
	why := t.noTime()
	if res.Clipped {
		t.Cautions = append(t.Cautions, "too loud: the recording is clipped; turn the level down or step back")
	}
	switch {
	case wrong != "":
		t.Cautions = append(t.Cautions, wrong)
	case res.Clipped:
	case why != "":
		t.Cautions = append(t.Cautions, why)
		if why == notStraight {
			wrong = why
		} else {
			t.quiet = why
		}
	}
	t.wrong = wrong
	t.Used = wrong == "" && why == ""
	return nil
}

// What a bent decay says of the take.
const notStraight = "the decay is not straight: an automatic gain in the recorder, or a coupled space"

// noTime says the one reason why neither 500 Hz nor 1 kHz gives a time; "" where one does.
func (t *Take) noTime() string {
	var mid *Band
	for _, m := range MidBands {
		mid = &t.Result.Bands[m.Band]
		if mid.T30.Reliable || mid.T20.Reliable {
			return ""
		}
	}
	switch {
	case mid.T20.Why == bends:
		return notStraight
	case t.to-t.from < int(1.5*float64(t.rate)) || !math.IsNaN(mid.T20.Value) && mid.RangeDB >= rangeT20:
		return "too short: the recording ends, or the next clap begins, before the room has died away"
	case mid.RangeDB < rangeT20:
		return fmt.Sprintf("too noisy: at 1 kHz the clap stands %.0f dB above the noise and needs %.0f", math.Floor(mid.RangeDB), rangeT20)
	}
	return "no decay to be read at 1 kHz: " + mid.T20.Why
}

// nearness takes the direct sound out of the fits where it stands far over the room's answer.
func (t *Take) nearness(rec *impulse.Response) {
	over, n := 0.0, 0.0
	i := int(math.Round(directEndS / DecayStepS))
	for _, m := range MidBands {
		band := &t.Result.Bands[m.Band]
		if rt := band.RT().Value; len(band.Decay) > i && rt > 0 {
			over += -band.Decay[i] - 60*directEndS/rt
			n++
		}
	}
	if n == 0 || over/n < nearDB {
		return
	}
	t.directOver = over / n
	from := t.from + int(directEndS*float64(rec.Rate))
	if from >= t.to {
		return
	}
	late, err := Response(&impulse.Response{Rate: rec.Rate, L: rec.L[from:t.to], R: rec.R[from:t.to]})
	if err != nil {
		return
	}
	why := fmt.Sprintf("too near: the direct sound is %.0f dB above the room's response", t.directOver)
	for b := range t.Result.Bands {
		band, after := &t.Result.Bands[b], &late.Bands[b]
		band.T20, band.T30, band.Curvature, band.NonLinearity, band.RangeDB, band.early, band.met = after.T20, after.T30, after.Curvature, after.NonLinearity, after.RangeDB, after.early, after.met
		band.EDT = Figure{Value: math.NaN(), Why: why} // of the direct sound alone
		for _, f := range []*Figure{&band.C80, &band.D50, &band.Ts} {
			if f.Reliable {
				f.Reliable, f.Why = false, why
			}
		}
	}
	t.Cautions = append(t.Cautions, why+"; the time is read without it, clarity is not sure. Clap farther from the microphone")
}

// regained tells whether the level of the building's noise changes round the clap, as an automatic gain makes it: it turns down for the clap and comes
// back while the room rings. The noise is heard first in the treble, where the room has died away while it still rings at 500 Hz.
func (t *Take) regained(mono []float64) bool {
	rate := t.rate
	step := max(1, int(frameS*float64(rate)))
	floor := 20 * math.Log10(leastSound(mono[t.from:t.to]))
	level := func(a, z int) []float64 { return atLeast(floor, trebleLevel(mono[max(0, a):max(0, z)], rate, step)) }
	after := level(t.from, t.to)
	const window = 15 // frames
	if len(after) < 3*window {
		return false
	}
	low, lowAt := math.Inf(1), 0
	for i := 0; i+window <= len(after); i += window / 3 {
		if m := median(after[i : i+window]); m < low {
			low, lowAt = m, i
		}
	}
	if rest := after[lowAt+window:]; len(rest) >= 3*window {
		if median(rest[len(rest)-2*window:])-low > regainDB {
			return true
		}
	}
	if !t.first {
		return false
	}
	before := level(t.from-60*step, t.from-6*step)
	return len(before) > window && median(before)-low > regainDB
}

// trebleLevel is the level of the treble in frames, dB: of a second-order band-pass at 5 kHz, or at a third of a low sampling rate (the cookbook formula
// of audio equalisers, R. Bristow-Johnson, Q 0.7).
func trebleLevel(x []float64, rate, step int) []float64 {
	w := 2 * math.Pi * math.Min(5000, float64(rate)/3) / float64(rate)
	alpha := math.Sin(w) / 1.4
	b, a1, a2 := alpha/(1+alpha), -2*math.Cos(w)/(1+alpha), (1-alpha)/(1+alpha)
	var x1, x2, y1, y2 float64
	out := make([]float64, 0, len(x)/step)
	for a := 0; a+step <= len(x); a += step {
		sum := 0.0
		for _, v := range x[a : a+step] {
			y := b*(v-x2) - a1*y1 - a2*y2
			x2, x1, y2, y1 = x1, v, y1, y
			sum += y * y
		}
		out = append(out, 10*math.Log10(sum/float64(step)+1e-20))
	}
	return out
}

func median(v []float64) float64 {
	sorted := slices.Sorted(slices.Values(v))
	return sorted[len(sorted)/2]
}

// join makes one result of the takes.
func (j *Joined) join() {
	j.distrust()
	j.fewOfMany()
	used := 0
	widest := math.Inf(-1)
	for i := range j.Takes {
		t := &j.Takes[i]
		r := (t.Result.Bands[octave.Index(500)].RangeDB + t.Result.Bands[octave.Index(1000)].RangeDB) / 2
		if t.Used {
			used++
			r += 1000
		}
		if r > widest {
			widest, j.Best = r, i
		}
	}
	j.Result = j.Takes[j.Best].Result
	for b := range j.Result.Bands {
		j.joinBand(b)
	}
	averaged := j.saidOfMeans()
	switch {
	case used == 0:
		j.Cautions = append(j.Cautions, "no clap or burst is good enough: the times are not sure")
	case used == 1:
		j.Cautions = append(j.Cautions, "measured from a single clap or burst: three or more, in different places, show the spread")
	case len(averaged) > 0:
		j.Cautions = append(j.Cautions, fmt.Sprintf("measured from %d of %d claps or bursts", used, len(j.Takes)))
	default:
		j.Cautions = append(j.Cautions, fmt.Sprintf("measured from %d of %d claps or bursts, which differ by %s (standard deviation)", used, len(j.Takes), percent(j.MidSpread())))
	}
	j.Cautions = append(j.Cautions, averaged...)
	if used > 0 {
		j.unsureAt()
	}
	for _, t := range j.Takes {
		for _, c := range t.Cautions {
			if !slices.ContainsFunc(j.Cautions, func(said string) bool { return Brief(said) == Brief(c) }) {
				j.Cautions = append(j.Cautions, c)
			}
		}
	}
}

// percent is a share in words, never none at all.
func percent(share float64) string {
	if share < 0.01 {
		return "less than 1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*share)
}

// saidOfMeans says of 500 Hz and 1 kHz which time noise leaves, and how sure it is.
func (j *Joined) saidOfMeans() (cautions []string) {
	for _, m := range MidBands {
		name, within, ok := j.Averaged(m.Band)
		if !ok {
			continue
		}
		how := map[string]string{"T15": "noise leaves T15 alone, the decay from -5 to -20 dB", "T20": "T20 is read with the noise taken off"}[name]
		cautions = append(cautions, fmt.Sprintf("at %s %s: sure within %.0f %%", m.Name, how, math.Ceil(100*within)))
	}
	return cautions
}

// unsureAt cautions where the time of 500 Hz or of 1 kHz is not sure.
func (j *Joined) unsureAt() {
	for _, m := range MidBands {
		if band := j.Result.Bands[m.Band]; !band.RT().Reliable {
			j.Cautions = append(j.Cautions, "not sure at "+m.Name+": "+band.T20.Why)
		}
	}
}

// Brief is a caution without its reason and its cure: "too near".
func Brief(caution string) string {
	brief, _, _ := strings.Cut(caution, ":")
	return brief
}

// MidSpread is the larger of the spreads at 500 Hz and 1 kHz, re the time.
func (j *Joined) MidSpread() float64 {
	return max(j.Spread[octave.Index(500)], j.Spread[octave.Index(1000)])
}

// Tells reports whether the takes tell of a room at all: one is used, or at 500 Hz or 1 kHz a decay stands over the noise, though something else spoils it.
func (j *Joined) Tells() bool {
	for _, t := range j.Takes {
		if t.Used {
			return true
		}
	}
	for _, m := range MidBands {
		if band := &j.Result.Bands[m.Band]; band.RangeDB >= rangeT20 && band.NonLinearity.Value <= noLine {
			return true
		}
	}
	return false
}

// Why is the first reason for which a take is not used; "" where all are.
func (j *Joined) Why() string {
	for _, t := range j.Takes {
		if !t.Used && len(t.Cautions) > 0 {
			return t.Cautions[len(t.Cautions)-1]
		}
	}
	return ""
}

// What a good take is told in a recording that the recorder has changed.
const spoilt = "another clap of this recording is spoilt: what the recorder does to one it does to all"

// distrust marks every take of a recording in which the recorder is seen to have changed one. A decay that is not straight is no proof of it where more of the
// recording's takes are good: a recorder bends them all, a room or chance one.
func (j *Joined) distrust() {
	good, bent := map[int]int{}, map[int]int{} // takes by recording
	for _, t := range j.Takes {
		switch {
		case t.Used:
			good[t.Recording]++
		case t.wrong == notStraight:
			bent[t.Recording]++
		}
	}
	for _, seen := range j.Takes {
		if seen.wrong == "" || seen.wrong == notStraight && good[seen.Recording] > bent[seen.Recording] {
			continue
		}
		for k := range j.Takes {
			if t := &j.Takes[k]; t.Recording == seen.Recording && t.wrong == "" {
				if t.Used {
					t.Used = false
					t.Cautions = append(t.Cautions, spoilt)
				}
				for b := range t.Result.Bands {
					t.Result.Bands[b].mark(seen.wrong)
				}
			}
		}
	}
}

// fewOfMany marks a single good take among several that are not: what spoils those may be in it, too little to show.
func (j *Joined) fewOfMany() {
	last, used := -1, 0
	for i := range j.Takes {
		if j.Takes[i].Used {
			last, used = i, used+1
		}
	}
	if used != 1 || len(j.Takes) < 3 {
		return
	}
	t := &j.Takes[last]
	t.Used = false
	why := fmt.Sprintf("it is the only good one of %d takes", len(j.Takes))
	t.Cautions = append(t.Cautions, why)
	for b := range t.Result.Bands {
		t.Result.Bands[b].mark(why)
	}
}

// joinBand averages the figures of band b over the takes that are used and carry them.
func (j *Joined) joinBand(b int) {
	band := &j.Result.Bands[b]
	spreads := map[*Figure]float64{}
	for n, f := range band.figures() {
		var values []float64
		for i := range j.Takes {
			if g := j.Takes[i].Result.Bands[b].figures()[n]; j.Takes[i].Used && g.Reliable {
				values = append(values, g.Value)
			}
		}
		if len(values) == 0 {
			continue
		}
		mean, spread := meanSpread(values)
		*f = Figure{Value: mean, Reliable: true}
		spreads[f] = spread / mean
	}
	time := &band.T30
	if _, ok := spreads[time]; !ok {
		time = &band.T20
	}
	if j.Spread[b] = spreads[time]; j.Spread[b] > mostSpread {
		why := fmt.Sprintf("the claps differ by %.0f %%", 100*j.Spread[b])
		for _, f := range []*Figure{&band.T30, &band.T20, &band.EDT} {
			if f.Reliable {
				f.Reliable, f.Why = false, why
			}
		}
	}
	if band.distorted(b) {
		doubt(&band.T30, &band.T20, &band.EDT)
	}
	j.readTogether(b)
}

func meanSpread(v []float64) (mean, sd float64) {
	for _, x := range v {
		mean += x / float64(len(v))
	}
	for _, x := range v {
		sd += (x - mean) * (x - mean)
	}
	if len(v) > 1 {
		sd = math.Sqrt(sd / float64(len(v)-1))
	}
	return mean, sd
}
