// Package words turns the values of a report into the words and figures that people
// read: the names and units of what was measured, places, severities, times.
package words

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"afterchord/acoustics/plural"
	"afterchord/sim/finding"
	"afterchord/sim/score"
)

// Figure is one measured value ready to print.
type Figure struct {
	Key   string // as in the JSON
	Label string // "covered for"
	Value string // "1.05"
	Unit  string // "s"; empty for a pure number
}

// String is the figure as a phrase: "covered for 1.05 s".
func (f Figure) String() string { return f.Label + " " + f.Amount() }

// Amount is value and unit: "1.05 s".
func (f Figure) Amount() string {
	switch f.Unit {
	case "":
		return f.Value
	case "%":
		return f.Value + " %"
	}
	return f.Value + " " + f.Unit
}

// Measured lists what a finding of a kind measured in the order to read it, by name what the kind
// does not know. A value that is not finite is left out.
func Measured(f finding.Finding) []Figure {
	kind, _ := finding.KindOf(f.Kind)
	keys := make([]string, 0, len(f.Measured))
	for k, v := range f.Measured {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			keys = append(keys, k)
		}
	}
	rank := func(key string) int {
		if i := slices.IndexFunc(kind.Values, func(v finding.Value) bool { return v.Key == key }); i >= 0 {
			return i
		}
		return len(kind.Values)
	}
	slices.SortFunc(keys, func(a, b string) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), strings.Compare(a, b))
	})
	out := make([]Figure, 0, len(keys))
	for _, k := range keys {
		out = append(out, Measure(k, f.Measured[k]))
	}
	return out
}

// Measure names one measured value.
func Measure(key string, v float64) Figure {
	value, ok := finding.ValueOf(key)
	if !ok { // a document of another version
		value = finding.Value{Key: key, Label: strings.ReplaceAll(key, "_", " ")}
	}
	f := Figure{Key: key, Label: value.Label, Unit: value.Unit}
	switch value.Unit {
	case "%":
		v *= 100
	case "mm":
		v *= 1000
	case "key":
		f.Unit, f.Value = "", score.KeyName(int(v))
		return f
	}
	f.Value = number(v, f.Unit)
	return f
}

// Limit names a threshold of the settings and its value.
func Limit(name string, v float64) Figure {
	f := Figure{Key: name, Label: strings.ReplaceAll(name, "_", " ")}
	i := slices.IndexFunc(finding.Table, func(t finding.Threshold) bool { return t.Name == name })
	if i >= 0 && finding.Table[i].Unit != "1" {
		f.Unit = finding.Table[i].Unit
	}
	f.Value = number(v, f.Unit)
	return f
}

// number writes v with the digits that its unit deserves.
func number(v float64, unit string) string {
	digits := 2
	switch unit {
	case "dB", "dB(A)", "dBFS", "phon", "m":
		digits = 1
	case "ms", "mm", "semitones", "%", "cents", "crotchets/min", "Pa":
		digits = 0
	case "Hz":
		digits = 1
	}
	if v == math.Trunc(v) && unit == "" {
		digits = 0
	}
	return Number(v, digits)
}

// Number writes v with so many decimals, a true minus sign and no minus zero.
func Number(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "–"
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.HasPrefix(s, "-") {
		if strings.Trim(s, "-0.") == "" {
			return s[1:]
		}
		return "−" + s[1:]
	}
	return s
}

// Place says where a finding is, as a musician says it.
func Place(f finding.Finding) string {
	if f.Where != "" {
		return f.Where
	}
	p := BarBeat(f.Bar, f.Beat)
	if f.ToBar > f.Bar {
		return fmt.Sprintf("bars %d–%d", f.Bar, f.ToBar)
	}
	return p
}

// Beside is how many places a finding has where its place does not say so, else 0.
func Beside(f finding.Finding) int {
	if f.Count < 2 || strings.Contains(Place(f), "places") {
		return 0
	}
	return f.Count
}

// BarBeat writes a place as "bar 9, beat 2½".
func BarBeat(bar int, beat float64) string {
	if beat < 1 || math.IsNaN(beat) || math.IsInf(beat, 0) {
		return fmt.Sprintf("bar %d", bar)
	}
	return score.Position{Bar: bar, Beat: beat}.String()
}

// WorstFirst is a copy of the findings with fails before warnings before notes, and the
// order of the document within each.
func WorstFirst(fs []finding.Finding) []finding.Finding {
	out := slices.Clone(fs)
	slices.SortStableFunc(out, func(a, b finding.Finding) int { return cmp.Compare(a.Severity.Rank(), b.Severity.Rank()) })
	return out
}

// Kind is the name of a kind of finding in a sentence: "covered entry".
func Kind(kind string) string { return strings.ReplaceAll(kind, "-", " ") }

// Clock writes seconds as minutes and seconds: "1:07.5".
func Clock(s float64) string {
	if math.IsNaN(s) || math.IsInf(s, 0) {
		return "–"
	}
	sign := ""
	if s < 0 {
		sign, s = "−", -s
	}
	tenths := int64(math.Round(s * 10))
	return fmt.Sprintf("%s%d:%02d.%d", sign, tenths/600, tenths/10%60, tenths%10)
}

// Length writes a duration: "48 s", "10 min 5 s".
func Length(s float64) string {
	if math.IsNaN(s) || math.IsInf(s, 0) {
		return "–"
	}
	whole := int64(math.Round(s))
	if whole < 60 {
		return strconv.FormatInt(whole, 10) + " s"
	}
	return fmt.Sprintf("%d min %d s", whole/60, whole%60)
}

// BarStep is the least of 1, 2, 5, 10, 20, 50 … at which n bars need no more than most labels.
func BarStep(n, most int) int {
	step := 1
	for i := 0; n/step > most && i < 20; i++ {
		if i%3 == 1 {
			step = step * 5 / 2
		} else {
			step *= 2
		}
	}
	return step
}

// NotRead says beside the verdict that instructions about stops were not read.
func NotRead(n int) string {
	return plural.Count(n, "instruction about stops was", "instructions about stops were") + " not read (see the remarks): what sounds may not be what was asked for."
}
