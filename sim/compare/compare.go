// Package compare sets two proofs side by side: two rooms, tempi, organs or versions of a score.
package compare

import (
	"math"

	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/remedy"
)

// Side is one of the two in a few figures.
type Side struct {
	Score     string       `json:"score"`
	Room      string       `json:"room"`
	RTS       float64      `json:"rt_s"` // at 500 Hz
	Seat      string       `json:"seat"`
	Organ     string       `json:"organ"`
	Crotchets float64      `json:"crotchets_a_minute"`
	DurationS float64      `json:"duration_s"`
	Tally     remedy.Tally `json:"findings"`
}

// Bar is one bar in both; values are means over the bar, NaN where a side does not have it.
type Bar struct {
	Number     int        `json:"bar"`
	HeardShare [2]float64 `json:"heard_share"`
	Clarity    [2]float64 `json:"clarity"`
	LevelDB    [2]float64 `json:"level_db"` // mean power, dB re 20 µPa
	Fails      [2]int     `json:"fails"`    // findings that begin in the bar
	Warnings   [2]int     `json:"warnings"`
}

// Difference is a comparison of two proofs.
type Difference struct {
	A, B   Side
	Bars   []Bar
	OnlyA  []finding.Finding // no finding of the kind in the same bars of B
	OnlyB  []finding.Finding
	Common []Pair
}

// Pair is a finding that both have.
type Pair struct{ A, B finding.Finding }

// Documents compares two proofs bar by bar. Bars are matched by number, the first time each comes.
func Documents(a, b *proof.Document) Difference {
	d := Difference{A: side(a), B: side(b)}
	pa, pb := bars(a), bars(b)
	for n := 0; n <= max(last(pa), last(pb)); n++ {
		x, okA := pa[n]
		y, okB := pb[n]
		if !okA && !okB {
			continue
		}
		if !okA {
			x = none()
		}
		if !okB {
			y = none()
		}
		d.Bars = append(d.Bars, Bar{Number: n, HeardShare: [2]float64{x.share, y.share}, Clarity: [2]float64{x.clarity, y.clarity},
			LevelDB: [2]float64{x.level, y.level}, Fails: [2]int{x.fails, y.fails}, Warnings: [2]int{x.warnings, y.warnings}})
	}
	matched := map[int]bool{}
	for _, f := range a.Findings {
		hit := false
		for j, g := range b.Findings {
			if !matched[j] && f.Kind == g.Kind && f.Bar <= max(g.Bar, g.ToBar) && g.Bar <= max(f.Bar, f.ToBar) {
				matched[j], hit = true, true
				d.Common = append(d.Common, Pair{f, g})
				break
			}
		}
		if !hit {
			d.OnlyA = append(d.OnlyA, f)
		}
	}
	for j, g := range b.Findings {
		if !matched[j] {
			d.OnlyB = append(d.OnlyB, g)
		}
	}
	return d
}

func side(d *proof.Document) Side {
	return Side{Score: d.Score.File, Room: d.Room.Name, RTS: (d.Room.RT60["500"] + d.Room.RT60["1000"]) / 2, Seat: d.Room.Seat, Organ: d.Organ.Name,
		Crotchets: math.Round(d.Settings.Crotchets*10) / 10, DurationS: d.Score.DurationS, Tally: remedy.NewTally(d.Findings)}
}

type means struct {
	share, clarity, level float64
	fails, warnings       int
}

func none() means { return means{share: math.NaN(), clarity: math.NaN(), level: math.NaN()} }

// bars takes the means of the timeline over each bar.
func bars(d *proof.Document) map[int]means {
	out := map[int]means{}
	for i, b := range d.Bars {
		if _, again := out[b.Number]; again {
			continue
		}
		end := d.Score.DurationS
		if i+1 < len(d.Bars) {
			end = d.Bars[i+1].AtS
		}
		from, to := int(b.AtS/d.Timeline.StepS), int(end/d.Timeline.StepS)
		m := means{share: mean(d.Timeline.HeardShare, from, to), clarity: mean(d.Timeline.Clarity, from, to), level: level(d.Timeline.LevelDB, from, to)}
		for _, f := range d.Findings {
			if f.Bar != b.Number {
				continue
			}
			switch f.Severity {
			case finding.Fail:
				m.fails++
			case finding.Warning:
				m.warnings++
			}
		}
		out[b.Number] = m
	}
	return out
}

func last(m map[int]means) int {
	n := -1
	for k := range m {
		n = max(n, k)
	}
	return n
}

func mean(v []float32, from, to int) float64 {
	sum, n := 0.0, 0
	for i := max(0, from); i < to && i < len(v); i++ {
		sum += float64(v[i])
		n++
	}
	if n == 0 {
		return math.NaN()
	}
	return sum / float64(n)
}

func level(v []float32, from, to int) float64 {
	sum, n := 0.0, 0
	for i := max(0, from); i < to && i < len(v); i++ {
		sum += math.Pow(10, float64(v[i])/10)
		n++
	}
	if n == 0 || sum == 0 {
		return math.NaN()
	}
	return 10 * math.Log10(sum/float64(n))
}
