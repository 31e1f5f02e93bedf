// Package sample builds documents for the tests of what is rendered. The curves follow
// closed forms (a level that holds, a tail that falls by 60 dB in T); nothing here reaches the product.
package sample

import (
	"fmt"
	"math"

	"afterchord/sim/finding"
	"afterchord/sim/proof"
)

// Document is a piece of so many bars of 2 s at ten notes a bar: four bars loud, four bars soft,
// in a room of T s, with a finding at each fall in level.
func Document(bars int, rt float64) *proof.Document {
	const barS, step, loud, soft = 2.0, 0.02, 88.0, 64.0
	d := &proof.Document{
		Schema: proof.Schema,
		Score:  proof.ScoreInfo{File: "study.mid", Title: "Study in two levels", Format: "SMF 1", Bars: bars, Notes: 10 * bars, DurationS: barS * float64(bars)},
		Room: proof.RoomInfo{Name: "hall", Title: "the hall of the test", VolumeM3: 14000, EDT: rt, C80: -4.2, D50: 0.17, Seat: "middle",
			DistanceM: 22, CriticalM: 3.2, NoiseDBA: 28, RT60: map[string]float64{}},
		Organ: proof.OrganInfo{Name: "village", Title: "the village organ", PitchHz: 440, Temperament: "equal",
			Mapping: []proof.MappingInfo{{Part: "Right hand", Division: "Great", Why: "highest part", Notes: 6 * bars},
				{Part: "Left hand", Division: "Swell", Why: "named Swell", Notes: 3 * bars}, {Part: "Feet", Division: "Pedal", Why: "lowest part", Notes: bars}},
			Dynamics: []proof.PassageInfo{{Part: "Right hand", Bar: 1, ToBar: 4, Dynamic: "ff", Source: "mark in the score"}, {Part: "Right hand", Bar: 5, ToBar: 8, Dynamic: "p", Source: "velocity 48"}},
			Levels:   map[string]proof.Level{"ff": {Low: 84, High: 90}, "p": {Low: 60, High: 66}}},
		Settings:  proof.Settings{TempoFactor: 1, Crotchets: 120, Thresholds: map[string]float64{"covered_share": 0.1, "blurred_share": 0.5}, Version: "test"},
		Sound:     &proof.SoundInfo{File: "heard.wav", RateHz: 48000, Bits: 24, DurationS: barS*float64(bars) + rt, FullScaleDB: 104, PeakDBFS: -1, LoudestDB: 91},
		Divisions: []string{"Great", "Swell", "Pedal"},
		Remarks:   []proof.Remark{{Text: "No metre in the file; 4/4 assumed."}, {Bar: 3, Text: "Sustain pedal ignored: an organ has none."}},
		Timeline:  proof.Timeline{StepS: step},
	}
	for i, f := range []float64{31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000} {
		d.Room.RT60[fmt.Sprintf("%g", f)] = rt * []float64{1.3, 1.3, 1.25, 1.15, 1, 0.95, 0.8, 0.55, 0.3}[i]
	}
	for b := range bars {
		at := barS * float64(b)
		share := 1.0
		if b%8 == 4 {
			share = 0.05
		} else if b%8 == 5 {
			share = 0.4
		}
		d.Bars = append(d.Bars, proof.BarInfo{Number: b + 1, AtS: at})
		for k := range 6 {
			d.Notes = append(d.Notes, proof.NoteInfo{OnS: at + float64(k)*barS/6, OffS: at + float64(k+1)*barS/6 - 0.05, Key: 60 + (b*5+k*4)%24, Division: 0, Share: share})
		}
		for k := range 3 {
			d.Notes = append(d.Notes, proof.NoteInfo{OnS: at, OffS: at + barS, Key: 48 + 4*k + b%3, Division: 1, Share: share})
		}
		d.Notes = append(d.Notes, proof.NoteInfo{OnS: at, OffS: at + barS, Key: 36 + b*7%12, Division: 2, Share: share})
		if b%4 == 0 {
			c := proof.ChangeInfo{AtS: at, Bar: b + 1, Beat: 1, On: []string{"Principal 8", "Octave 4", "Mixture"}, Why: "ff on Great"}
			if b%8 == 4 {
				c.On, c.Off, c.Why = nil, c.On, "p on Great"
			}
			d.Organ.Changes = append(d.Organ.Changes, c)
		}
		if b%8 == 4 {
			d.Findings = append(d.Findings, drop(len(d.Findings)+1, b+1, at, barS, rt, loud, soft))
		}
	}
	for i := range int(barS * float64(bars) / step) {
		t := float64(i) * step
		bar := int(t / barS)
		level, residue := loud, loud-6+math.Sin(7*t)
		share, clarity := 0.95, 0.7+0.2*math.Sin(t)
		if bar%8 >= 4 {
			level = soft
			residue = math.Max(soft-8, loud-60*(t-barS*float64(bar/8*8+4))/rt)
			share = 1 / (1 + math.Exp((residue-level+5)/3))
		}
		d.Timeline.LevelDB = append(d.Timeline.LevelDB, float32(level+1.5*math.Sin(11*t)))
		d.Timeline.ResidueDB = append(d.Timeline.ResidueDB, float32(residue))
		d.Timeline.HeardShare = append(d.Timeline.HeardShare, float32(share))
		d.Timeline.Clarity = append(d.Timeline.Clarity, float32(clarity))
	}
	return d
}

// drop is the finding of one fall in level.
func drop(id, bar int, at, barS, rt, loud, soft float64) finding.Finding {
	fall := loud - soft
	covered, blurred := rt*fall/60, rt*(fall+6)/60
	f := finding.Finding{ID: id, Kind: finding.KindCoveredEntry, Bar: bar, Beat: 1, ToBar: bar + 1, Where: fmt.Sprintf("bar %d, beat 1", bar), AtS: at, UntilS: at + blurred,
		Division: "Great", Keys: []string{"C4", "E4", "G4", "C5", "E5"}, Severity: finding.Fail, Count: 1, Weight: blurred,
		Measured: map[string]float64{"drop_db": fall, "inaudible_s": covered, "blurred_s": blurred, "note_s": barS, "share_lost": math.Min(1, blurred/barS), "rest_needed_s": covered},
		Message:  fmt.Sprintf("The loud chord of bar %d still rings over the quiet entry: the first %.1f s of it are not heard at all, and it is clear only after %.1f s.", bar-1, covered, blurred),
		Try:      []string{"Let the loud chord go a dotted crotchet early.", "Draw one stop more for the quiet passage."}}
	if id%3 == 2 {
		f.Severity, f.Kind = finding.Warning, finding.KindBlurredHarmony
	} else if id%3 == 0 {
		f.Severity, f.Kind, f.Count = finding.Notice, finding.KindRunTogether, 4
	}
	t := &finding.Trace{FromS: at - 1, StepS: 0.02, OldTag: fmt.Sprintf("the chord of bar %d", bar-1), NewTag: fmt.Sprintf("the entry of bar %d", bar),
		Spans: []finding.Span{{Name: "inaudible", FromS: at, UntilS: at + covered}, {Name: "blurred", FromS: at + covered, UntilS: at + blurred}}}
	for i := range int((blurred + 2.5) / t.StepS) {
		x := t.FromS + float64(i)*t.StepS - at
		old, now, share := loud, math.Inf(-1), 0.0
		if x >= 0 {
			old, now = loud-60*x/rt, soft
			share = 1 / (1 + math.Exp((old-now+5)/3))
		}
		t.OldDB, t.NewDB, t.Share = append(t.OldDB, float32(old)), append(t.NewDB, float32(now)), append(t.Share, float32(share))
	}
	f.Trace = t
	return f
}
