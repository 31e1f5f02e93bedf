package finding

import (
	"fmt"
	"math"
)

// Whole is what the room does to the harmony of the whole piece, beside what it does to organ music.
type Whole struct {
	Changes int       `json:"changes"`       // of harmony
	Blurred float64   `json:"blurred_share"` // of them that are blurred for a good part of their length
	Low     float64   `json:"usual_low"`     // one work in ten of organ music has less in a room like this …
	Middle  float64   `json:"usual_middle"`
	High    float64   `json:"usual_high"`                           // … and one in ten more
	Tempo   float64   `json:"typical_crotchets_a_minute,omitempty"` // at the start, where it would be typical; 0 where it is, or nothing sensible helps
	RT      float64   `json:"typical_rt_s,omitempty"`               // the same
	Works   int       `json:"works"`                                // that the norms are made from
	Line    string    `json:"line"`
	BarLow  float64   `json:"bar_low"` // the blurred share of a bar's harmonies: one bar in ten of organ music has less …
	BarHigh float64   `json:"bar_high"`
	Bars    []BarBlur `json:"bars,omitempty"`
}

// BarBlur is the blurred share of the harmonies of a bar.
type BarBlur struct {
	AtS   float64 `json:"at_s"` // of the bar
	Bar   int     `json:"bar"`
	Share float64 `json:"share"`
}

const (
	fewChanges  = 8       // fewer say nothing of a piece
	slowest     = 2.0 / 3 // of the written tempo
	driestTimes = 0.05    // of the reverberation time
)

// RoomOnThePiece compares the changes of harmony of the piece with the repertoire's; nil where there are few.
func RoomOnThePiece(c *Context) *Whole {
	blurs := HarmonyBlurs(c)
	if len(blurs) < fewChanges {
		return nil
	}
	norms, rt, part := c.norms(), c.rt(), c.Thresholds.BlurPart
	w := &Whole{Changes: len(blurs), Blurred: round(BlurredShare(blurs, part, 1, 1), 4), Works: len(norms.Works)}
	w.Low, w.Middle, w.High = norms.Shares(rt)
	w.BarLow, _, w.BarHigh = norms.BarBlurs(rt)
	share := fmt.Sprintf("In this room %.0f of 100 changes of harmony blur for a quarter of their length and more", 100*w.Blurred)
	usual := fmt.Sprintf("of organ music in such rooms %.0f to %.0f of 100", 100*w.Low, 100*w.High)
	switch {
	case w.Blurred > w.High+0.005:
		w.typical(c, norms, blurs)
		w.Line = fmt.Sprintf("%s; %s%s.", share, usual, w.where())
	case w.Blurred < w.Low-0.005:
		w.Line = fmt.Sprintf("%s; %s: the harmony is clearer here than most.", share, usual)
	default:
		w.Line = fmt.Sprintf("%s; %s: as usual.", share, usual)
	}
	w.bars(c, blurs)
	return w
}

// typical finds the quickest tempo and the longest reverberation at which the piece is no more blurred than nine works in ten of the repertoire.
func (w *Whole) typical(c *Context, norms *Norms, blurs []HarmonyBlur) {
	rt, part := c.rt(), c.Thresholds.BlurPart
	for f := 0.99; f >= slowest; f -= 0.01 {
		if BlurredShare(blurs, part, 1, f) <= w.High {
			w.Tempo = math.Floor(f * c.Score.TempoAt(0))
			break
		}
	}
	for k := 0.99; k >= driestTimes; k -= 0.01 {
		if _, _, high := norms.Shares(rt * k); BlurredShare(blurs, part, k, 1) <= high {
			w.RT = round(rt*k, 1)
			break
		}
	}
}

// where says what would make the piece typical.
func (w *Whole) where() string {
	switch {
	case w.Tempo > 0 && w.RT > 0:
		return fmt.Sprintf("; at crotchet = %.0f, or in a room of %.1f s, it would be typical", w.Tempo, w.RT)
	case w.RT > 0:
		return fmt.Sprintf("; the room is too long for this piece, at any tempo down to two thirds of the written one: in a room of %.1f s it would be typical", w.RT)
	case w.Tempo > 0:
		return fmt.Sprintf("; at crotchet = %.0f it would be typical", w.Tempo)
	}
	return "; the room is too long for this piece, at any tempo down to two thirds of the written one"
}

// bars takes the mean over the changes of each bar.
func (w *Whole) bars(c *Context, blurs []HarmonyBlur) {
	count := 0.0
	for _, b := range blurs {
		bar := c.Score.Bars[c.Score.BarAt(c.Score.TickAt(b.AtS))]
		at := c.Score.Seconds(bar.Start)
		k := len(w.Bars) - 1
		if k < 0 || w.Bars[k].AtS != at {
			w.Bars = append(w.Bars, BarBlur{AtS: at, Bar: bar.Number})
			k++
			count = 0
		}
		count++
		w.Bars[k].Share += (b.Part(1, 1) - w.Bars[k].Share) / count
	}
	for i := range w.Bars {
		w.Bars[i].Share = round(w.Bars[i].Share, 3)
	}
}
