package room

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"afterchord/acoustics/octave"
)

// bandsOf reads a table of octave bands ("31.5", "63", … "8000"). Bands that are not
// given take the nearest given one's value, the lower of two equally near.
func bandsOf(table map[string]float64, what string, lo, hi float64) (octave.Bands, error) {
	v, given, err := givenBands(table, what, lo, hi)
	if err != nil {
		return v, err
	}
	return nearestGiven(v, given), nil
}

// givenBands reads the bands that a table gives, and says which these are.
func givenBands(table map[string]float64, what string, lo, hi float64) (out octave.Bands, given [octave.N]bool, err error) {
	for _, key := range slices.Sorted(maps.Keys(table)) {
		v := table[key]
		hz, err := strconv.ParseFloat(key, 64)
		band := slices.Index(octave.Centres[:], hz)
		if err != nil || band < 0 {
			return out, given, badValue(what+"."+key, "%s: %q is not an octave band: give 31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000", what, key)
		}
		if !(v >= lo && v <= hi) {
			return out, given, badValue(what+"."+key, "%s: %v at %s Hz: give a number from %g to %g", what, v, key, lo, hi)
		}
		if given[band] {
			return out, given, badValue(what+"."+key, "%s: %s Hz is given twice", what, strconv.FormatFloat(hz, 'g', -1, 64))
		}
		out[band], given[band] = v, true
	}
	if len(table) == 0 {
		return out, given, badValue(what, "%s: no octave band given", what)
	}
	return out, given, nil
}

// notGiven says which bands of a table of reverberation times are filled from their neighbours. Without 500 Hz and 1 kHz, on which everything rests, there
// is nothing to fill them from.
func notGiven(given [octave.N]bool) (cautions []string, err error) {
	if !given[octave.Index(500)] && !given[octave.Index(1000)] {
		return nil, badValue("", "rt60: give the times at 500 and 1000 Hz, on which the reverberation time of a room rests")
	}
	var missing []string
	for b, hz := range octave.Centres {
		if !given[b] {
			missing = append(missing, strconv.FormatFloat(hz, 'g', -1, 64))
		}
	}
	if len(missing) > 0 {
		cautions = []string{"no reverberation time is given at " + strings.Join(missing, ", ") + " Hz: that of the nearest band is taken"}
	}
	return cautions, nil
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
