// Package words turns the values of a report into the words and figures that people
// read: the names and units of what was measured, places, severities, times.
package words

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

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

// labels names the measured values that the findings give. What is not here is
// named after its key.
var labels = map[string]string{
	"drop_db":             "fall in level",
	"covered_s":           "covered for",
	"blurred_s":           "blurred for",
	"clear_after_s":       "all clear after",
	"note_s":              "length of the note",
	"share_lost":          "share of the note lost",
	"rest_needed_s":       "rest needed",
	"softer_needed_db":    "or the loud side softer by",
	"rt_needed_s":         "or a reverberation time of",
	"notes_lost":          "notes lost",
	"unclear_s":           "unclear for",
	"worst_share":         "share of the worst note heard",
	"just_noticeable_ms":  "just noticeable",
	"speak_ms":            "time to speak",
	"note_ms":             "length of the note",
	"needs_s":             "time needed",
	"has_s":               "time there is",
	"between_onsets_s":    "time between onsets",
	"lasts_s":             "lasts",
	"stretch_m":           "stretch",
	"leap_m":              "leap",
	"lowest_key":          "lowest key",
	"highest_key":         "highest key",
	"right_foot_share":    "played by the right foot",
	"loudness_added":      "loudness added, of the whole",
	"loudness_added_most": "most loudness added, of the whole",
	"still_held_s":        "still held for",
	"worst_at_s":          "worst at",
	"dip_db":              "dip between the notes",
	"needed_dip_db":       "dip needed",
	"gap_s":               "gap between the notes",
	"rise_s":              "pipe's rise",
	"max_tempo":           "fastest tempo that separates",
	"speak_s":             "time to speak",
	"shift_ms":            "onset moved by",
	"clarity":             "clarity (0 to 1)",
	"foreign_db":          "old harmony re the new",
	"roughness":           "roughness of the overlap",
	"share":               "share of the line heard",
	"lacks_db":            "level lacking",
	"repeats_s":           "time between onsets",
	"tempo":               "tempo as played",
	"residue_db":          "level left over",
	"level_db":            "level of the new sound",
	"heard_share":         "share of the sound heard",
	"interval_s":          "time between onsets",
	"just_noticeable_s":   "just noticeable",
}

// order puts what a reader asks first at the front; the rest follows by name.
var order = []string{"drop_db", "covered_s", "blurred_s", "clear_after_s", "note_s", "share_lost",
	"dip_db", "needed_dip_db", "gap_s", "rise_s", "speak_s", "shift_ms", "clarity", "foreign_db",
	"roughness", "share", "lacks_db", "rest_needed_s", "softer_needed_db", "rt_needed_s", "max_tempo"}

// units maps the ending of a key to a unit; the first that fits holds.
var units = []struct{ suffix, unit string }{
	{"_dba", "dB(A)"}, {"_dbfs", "dBFS"}, {"_db", "dB"}, {"_ms", "ms"}, {"_hz", "Hz"},
	{"_cents", "cents"}, {"_phon", "phon"}, {"_sone", "sone"}, {"_per_s", "a second"}, {"_m3", "m³"}, {"_m", "m"},
	{"_s", "s"}, {"_pa", "Pa"}, {"_percent", "%"}, {"_semitones", "semitones"}, {"_beats", "beats"},
}

// Measured lists what a finding measured in the order to read it. A value that is not
// finite is left out.
func Measured(m map[string]float64) []Figure {
	keys := make([]string, 0, len(m))
	for k, v := range m {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			keys = append(keys, k)
		}
	}
	rank := func(k string) int {
		if i := slices.Index(order, k); i >= 0 {
			return i
		}
		return len(order)
	}
	slices.SortFunc(keys, func(a, b string) int {
		if d := rank(a) - rank(b); d != 0 {
			return d
		}
		return strings.Compare(a, b)
	})
	out := make([]Figure, 0, len(keys))
	for _, k := range keys {
		out = append(out, Measure(k, m[k]))
	}
	return out
}

// Measure names one value: the ending of the key gives the unit, the rest the label.
func Measure(key string, v float64) Figure {
	f := Figure{Key: key, Label: labels[key]}
	stem := key
	for _, u := range units {
		if s, ok := strings.CutSuffix(key, u.suffix); ok {
			stem, f.Unit = s, u.unit
			break
		}
	}
	percent := key == "share" || strings.HasPrefix(key, "share_") || strings.HasSuffix(key, "_share")
	if percent {
		f.Unit = "%"
		v *= 100
	}
	if strings.Contains(key, "tempo") && f.Unit == "" && v > 5 {
		f.Unit = "crotchets/min"
	}
	if f.Label == "" {
		f.Label = strings.ReplaceAll(stem, "_", " ")
	}
	if key == "stretch_m" || key == "leap_m" { // over the keys: centimetres hide in metres
		f.Unit, v = "mm", 1000*v
	}
	f.Value = number(v, f.Unit)
	if key == "lowest_key" || key == "highest_key" {
		f.Value = score.KeyName(int(v))
	}
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

// BarBeat writes a place as "bar 9, beat 2½".
func BarBeat(bar int, beat float64) string {
	if beat < 1 || math.IsNaN(beat) || math.IsInf(beat, 0) {
		return fmt.Sprintf("bar %d", bar)
	}
	return score.Position{Bar: bar, Beat: beat}.String()
}

// Rank orders severities, the worst first: 0 for a fail, 1 for a warning, 2 for the rest.
func Rank(s finding.Severity) int {
	switch s {
	case finding.Fail:
		return 0
	case finding.Warning:
		return 1
	}
	return 2
}

// WorstFirst is a copy of the findings with fails before warnings before notes, and the
// order of the document within each.
func WorstFirst(fs []finding.Finding) []finding.Finding {
	out := slices.Clone(fs)
	slices.SortStableFunc(out, func(a, b finding.Finding) int { return Rank(a.Severity) - Rank(b.Severity) })
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

// Count writes "1 note", "3 notes".
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
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
