package room

import (
	"slices"
	"strconv"
	"strings"

	"afterchord/acoustics/octave"
)

// bandsOf reads a table of octave bands ("31.5", "63", … "8000"). Bands that are not
// given take the nearest given one's value, the lower of two equally near.
func bandsOf(table map[string]float64, what string, lo, hi float64) (octave.Bands, error) {
	var out octave.Bands
	var given [octave.N]bool
	for _, key := range sortedKeys(table) {
		v := table[key]
		hz, err := strconv.ParseFloat(key, 64)
		band := -1
		for i, c := range octave.Centres {
			if err == nil && hz == c {
				band = i
			}
		}
		if band < 0 {
			return out, badValue(what+"."+key, "%s: %q is not an octave band: give 31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000", what, key)
		}
		if !(v >= lo && v <= hi) {
			return out, badValue(what+"."+key, "%s: %v at %s Hz: give a number from %g to %g", what, v, key, lo, hi)
		}
		out[band], given[band] = v, true
	}
	if len(table) == 0 {
		return out, badValue(what, "%s: no octave band given", what)
	}
	return nearestGiven(out, given), nil
}

// notGiven says which bands of a table of reverberation times are filled from their neighbours. Without 500 Hz and 1 kHz, on which everything rests, there
// is nothing to fill them from.
func notGiven(table map[string]float64) (cautions []string, err error) {
	var missing []string
	for _, hz := range octave.Centres {
		if !slices.ContainsFunc(sortedKeys(table), func(key string) bool { v, err := strconv.ParseFloat(key, 64); return err == nil && v == hz }) {
			missing = append(missing, strconv.FormatFloat(hz, 'g', -1, 64))
		}
	}
	switch {
	case slices.Contains(missing, "500") && slices.Contains(missing, "1000"):
		return nil, badValue("", "rt60: give the times at 500 and 1000 Hz, on which the reverberation time of a room rests")
	case len(missing) > 0:
		return []string{"no reverberation time is given at " + strings.Join(missing, ", ") + " Hz: that of the nearest band is taken"}, nil
	}
	return nil, nil
}

// nearestGiven fills the bands that are not given with the value of the nearest one that is, the lower of two equally
// near; where none is they stay.
func nearestGiven(v octave.Bands, given [octave.N]bool) octave.Bands {
	filled := v
	for i := range filled {
		for d := 0; !given[i] && d < octave.N; d++ {
			if i-d >= 0 && given[i-d] {
				filled[i] = v[i-d]
				break
			}
			if i+d < octave.N && given[i+d] {
				filled[i] = v[i+d]
				break
			}
		}
	}
	return filled
}
