package finding

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// Threshold is one limit with its default, unit and reason.
type Threshold struct {
	Name    string
	Default float64
	Unit    string
	Reason  string
}

// Table lists every threshold. A user changes one by name in a settings file.
var Table = slices.Concat(heardTable, coachTable)

// heardTable lists the limits of the checks on what the building, the pipes and the ear do.
var heardTable = []Threshold{
	{"covered_share", 0.1, "1", "below a tenth of its own loudness a sound is not noticed as an entry"},
	{"blurred_share", 0.5, "1", "below half its own loudness the old sound is the louder of the two to the ear"},
	{"covered_drop_db", 6, "dB", "one dynamic step (4 to 8 dB, common practice); a smaller fall is a thinner texture, not a change of dynamic"},
	{"covered_warn_s", 0.3, "s", "a quaver at 100 crotchets a minute: the ear misses a whole short note"},
	{"covered_warn_share", 0.25, "1", "share of the first note's own length that is lost before it counts as a warning"},
	{"covered_fail_share", 0.6, "1", "most of the first note is lost"},
	{"covered_fail_s", 1, "s", "a second of blur is what coaches warn of after a forte in a church (common practice)"},
	{"run_dip_db", 2, "dB", "two just noticeable level steps of about 1 dB; about twice the depth at which slow modulation is just detected (from memory)"},
	{"run_fail_dip_db", 1, "dB", "one just noticeable level step: nothing separates the notes"},
	{"run_fast_s", 0.5, "s", "onsets further apart than this are heard one by one whatever the dip"},
	{"run_low_key", 48, "key", "below C3 neighbouring notes share auditory bands and pipes are slow (ERB at 100 Hz is 35 Hz, Glasberg & Moore 1990)"},
	{"late_shift_jnd", 3, "1", "three times the just noticeable displacement (Friberg & Sundberg 1995): clearly uneven"},
	{"late_share", 0.5, "1", "half its amplitude: 6 dB below full speech, when a note is heard to have started"},
	{"blur_clarity", 0.67, "1", "the old harmony is half as loud to the ear as the new one: plainly heard beside it"},
	{"blur_warn_share", 0.25, "1", "a quarter of a harmony's length without a clear harmony"},
	{"blur_fail_share", 0.5, "1", "half of it"},
	{"solo_share", 0.5, "1", "a solo that keeps less than half its loudness does not stand out"},
	{"solo_fail_share", 0.25, "1", "a solo that keeps a quarter of its loudness is lost"},
	{"jnd_level_db", 1, "dB", "just noticeable difference of level, about 1 dB (ISO 3382-1 Annex A for G; from memory)"},
}

// Defaults are the thresholds with their default values.
func Defaults() Thresholds {
	t := make(Thresholds, len(Table))
	for _, x := range Table {
		t[x.Name] = x.Default
	}
	return t
}

// Set changes one threshold; it errs on a name that is not in Table.
func (t Thresholds) Set(name string, v float64) error {
	if _, ok := t[name]; !ok {
		names := slices.Sorted(maps.Keys(t))
		return fmt.Errorf("no threshold is called %q; there are %s", name, strings.Join(names, ", "))
	}
	t[name] = v
	return nil
}
