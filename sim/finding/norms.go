package finding

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"math"
	"sync"
)

// Measure is a number that an acoustic check takes at a place, the higher the worse.
type Measure string

// The measures, each compared with organ music in a room of the same reverberation time.
const (
	MeasureBlur     Measure = "harmony-clash-tone-s" // time until a change of harmony is clear times the old tones that clash
	MeasureRepeats  Measure = "repeats-lost"         // strokes of one key in a passage times 1 − dip/needed dip of each
	MeasureFigure   Measure = "low-figure-lost"      // the same of different low notes in quick succession
	MeasureEntry    Measure = "entry-blurred-s"      // time until an entry after a fall in level is clear, s
	MeasureUneven   Measure = "uneven-speech-jnd"    // displacement of an onset by the pipes' speech, just noticeable differences
	MeasureSolo     Measure = "solo-lost-share"      // 1 − share of its loudness that a solo note keeps; of bars that have a solo
	MeasureThin     Measure = "figure-missing-share" // 1 − share of a broken chord that is there at a time; 0 where something sustains it
	MeasureBass     Measure = "basses-lost"          // basses that a hand lets go for their chords, in a passage, times the share of the chord that is without
	MeasureUnspoken Measure = "unspoken-share"       // 1 − length/time to speak of a note let go too soon
)

// Measures lists them.
var Measures = []Measure{MeasureBlur, MeasureRepeats, MeasureFigure, MeasureEntry, MeasureUneven, MeasureUnspoken, MeasureSolo, MeasureThin, MeasureBass}

// Own reports whether the norms of a measure are of the bars that have such a thing alone, not of all.
func (m Measure) Own() bool { return m == MeasureSolo }

// Norms says how often organ music has what the checks measure: for each measure and reverberation time the
// worst value of a bar, at Levels (shares of bars that have less), over the bars of Works, on several organs,
// at several dynamics and tempi. Piece holds what whole works have.
type Norms struct {
	Works  []string                `json:"works"`
	Bars   int                     `json:"bars"`   // that were counted, in each room
	RTs    []float64               `json:"rt_s"`   // reverberation times of the tables, s, rising
	Levels []float64               `json:"levels"` // shares of bars, rising
	Bar    map[Measure][][]float64 `json:"bar"`    // [RT][level], rising along the levels
	Speech map[string][]float64    `json:"speech"` // MeasureUneven, which no room changes, for each organ at mf; AnyOrgan for all of them
	Piece  PieceNorms              `json:"piece"`
}

// PieceNorms is, for each reverberation time, the share of a work's changes of harmony that are blurred for blur_part of their
// length and more, at 10, 50 and 90 % of works, and the blurred share of the harmonies of a bar, at 10, 50 and 90 % of bars.
type PieceNorms struct {
	Shares [][3]float64 `json:"share"`
	Bars   [][3]float64 `json:"bar"`
}

//go:embed norms.json
var normsFile []byte

// Repertoire is the norms that the program carries, made by cmd/norms.
var Repertoire = sync.OnceValue(func() *Norms {
	n, err := ParseNorms(normsFile)
	if err != nil {
		panic(err) // the program's own table; a test reads it
	}
	return n
})

// ParseNorms reads a table of norms and checks its shape.
func ParseNorms(data []byte) (*Norms, error) {
	var n Norms
	if err := json.Unmarshal(data, &n); err != nil {
		return nil, fmt.Errorf("norms: %w", err)
	}
	if len(n.RTs) == 0 || len(n.Levels) < 2 || len(n.Piece.Shares) != len(n.RTs) || len(n.Piece.Bars) != len(n.RTs) {
		return nil, fmt.Errorf("norms: %d reverberation times, %d levels and %d rows of pieces do not make a table", len(n.RTs), len(n.Levels), len(n.Piece.Shares))
	}
	if len(n.Speech[AnyOrgan]) != len(n.Levels) {
		return nil, fmt.Errorf("norms: speech has %d values for %d levels", len(n.Speech[AnyOrgan]), len(n.Levels))
	}
	for _, m := range Measures {
		if m == MeasureUneven {
			continue
		}
		if len(n.Bar[m]) != len(n.RTs) {
			return nil, fmt.Errorf("norms: %q has %d rows for %d reverberation times", m, len(n.Bar[m]), len(n.RTs))
		}
		for _, row := range n.Bar[m] {
			if len(row) != len(n.Levels) {
				return nil, fmt.Errorf("norms: %q has a row of %d values for %d levels", m, len(row), len(n.Levels))
			}
		}
	}
	return &n, nil
}

// AnyOrgan names the row of Norms.Speech for organs that have none of their own.
const AnyOrgan = "any"

// Setting is where and how something is played, as far as norms differ with it.
type Setting struct {
	RT    float64 // s
	Organ string
}

// between finds the rows on either side of a reverberation time and how far it lies towards the second, on a logarithmic scale.
func (n *Norms) between(rt float64) (i, j int, u float64) {
	last := len(n.RTs) - 1
	if rt <= n.RTs[0] {
		return 0, 0, 0
	}
	for k := 1; k <= last; k++ {
		if rt <= n.RTs[k] {
			return k - 1, k, math.Log(rt/n.RTs[k-1]) / math.Log(n.RTs[k]/n.RTs[k-1])
		}
	}
	return last, last, 0
}

// Rarity is the share of bars of organ music in such a setting whose worst place has value or
// more: 1 for what every bar has. Beyond the highest level it is half the share that lies there.
func (n *Norms) Rarity(m Measure, in Setting, value float64) float64 {
	rows := n.Bar[m]
	i, j, u := n.between(in.RT)
	if m == MeasureUneven {
		own, ok := n.Speech[in.Organ]
		if !ok {
			own = n.Speech[AnyOrgan]
		}
		rows, i, j = [][]float64{own}, 0, 0
	}
	at := func(k int) float64 { return (1-u)*rows[i][k] + u*rows[j][k] }
	if value <= 0 {
		return 1
	}
	last := len(n.Levels) - 1
	if value > at(last) {
		return (1 - n.Levels[last]) / 2
	}
	for k := last; k > 0; k-- {
		if lo, hi := at(k-1), at(k); value > lo {
			return 1 - (n.Levels[k-1] + (value-lo)/(hi-lo)*(n.Levels[k]-n.Levels[k-1]))
		}
	}
	return 1
}

// ranged is the row of a range at a reverberation time.
func (n *Norms) ranged(rows [][3]float64, rt float64) (low, middle, high float64) {
	i, j, u := n.between(rt)
	at := func(k int) float64 { return (1-u)*rows[i][k] + u*rows[j][k] }
	return at(0), at(1), at(2)
}

// Shares is the usual range of the share of a work's changes that blur: low, middle, high.
func (n *Norms) Shares(rt float64) (low, middle, high float64) {
	return n.ranged(n.Piece.Shares, rt)
}

// BarBlurs is the usual range of the blurred share of a bar's harmonies: low, middle, high.
func (n *Norms) BarBlurs(rt float64) (low, middle, high float64) {
	return n.ranged(n.Piece.Bars, rt)
}

// Place is what a check measured at one place, whether it is worth a word or not.
type Place struct {
	Measure Measure
	AtS     float64 // key time
	Value   float64
}

// rt is the reverberation time by which rooms are compared, s: that at 500 Hz and 1 kHz.
func (c *Context) rt() float64 { return c.Field.Hall.Room.MidRT() }

// verdict weighs what is heard at a place against what organ music does in such a room. audible says that a listener
// may hear it, sure that one with keen ears does, too. It is "" where there is nothing to say.
func (c *Context) verdict(m Measure, value float64, audible, sure bool) (Severity, float64) {
	rare := c.norms().Rarity(m, Setting{c.rt(), c.Organ.Name}, value)
	switch {
	case !audible:
		return "", rare
	case sure && rare <= c.Thresholds.RareFail:
		return Fail, rare
	case rare <= c.Thresholds.RareWarn:
		return Warning, rare
	case rare <= c.Thresholds.RareNote:
		return Notice, rare
	}
	return "", rare
}

// usual says how unusual a place is: "that is more than in 97 of 100 bars of organ music in a room like this".
func usual(rare float64, like string) string {
	of, less := 100, math.Floor(100*(1-rare))
	if rare <= 0.005 {
		of, less = 1000, math.Floor(1000*(1-rare))
	}
	return fmt.Sprintf("that is more than in %.0f of %d bars of organ music %s", less, of, like)
}

// What a place is compared with.
const (
	likeRoom  = "in a room like this"
	likeOrgan = "on an organ like this"
	likeSolo  = "that have a solo, in a room like this"
)
