package stoplist

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"afterchord/voicing"
)

// quintSeries is the octaves and fifths from which mixtures are made, ft.
var quintSeries = []float64{8, 4, 2 + 2.0/3, 2, 1 + 1.0/3, 1, 2.0 / 3, 0.5, 1.0 / 3, 0.25, 1.0 / 6, 0.125}

// rows are the rows of a compound stop between two keys of its division, "C2: 1 1/3, 1, 2/3". Mixtures break back one
// step an octave, so that no pipe is smaller than can be made (common practice); cornets, sesquialteras and two low ranks do not break.
func (s *Stop) rows(low, high int) []string {
	switch {
	case len(s.degrees) > 0:
		feet := make([]float64, len(s.degrees))
		for i, d := range s.degrees {
			feet[i] = intervalFeet[d]
		}
		if s.Kind.Compound != "quint" {
			return []string{row(low, feet, 0)}
		}
		return s.breaking(low, high, s.grown(feet))
	case s.Kind.Compound == "cornet":
		all := []float64{8, 4, 2 + 2.0/3, 2, 1.6, 1 + 1.0/3, 1}
		from := 0
		for i, f := range all {
			if math.Abs(f-s.Feet) < 0.01 {
				from = i
			}
		}
		feet := all[from:min(len(all), from+s.Ranks)]
		if !s.grows() {
			return []string{row(low, feet, 0)}
		}
		out := []string{row(low, feet, s.Ranks-s.Least)}
		for key, silent := (low/12+1)*12, s.Ranks-s.Least-1; key <= high && silent >= 0; key, silent = key+12, silent-1 {
			out = append(out, row(key, feet, silent))
		}
		return out
	case s.Kind.Compound == "tierce":
		all := []float64{s.Feet, s.Feet * 0.6, s.Feet * 0.75, s.Feet * 0.5, s.Feet * 3 / 8, s.Feet * 3 / 7}
		if s.Ranks == 1 {
			return []string{row(low, all[:1], 0)}
		}
		return []string{row(low, all[:min(len(all), s.Ranks)], 0)}
	}
	from := 0
	for i, f := range quintSeries {
		if f >= s.Feet-0.01 {
			from = i
		}
	}
	n := min(s.Ranks, 10)
	if n <= 2 && s.Feet >= 2 { // a Rauschquinte of fifth and octave goes through
		return []string{row(low, quintSeries[from:min(len(quintSeries), from+n)], 0)}
	}
	return s.breaking(low, high, quintSeries[from:min(len(quintSeries), from+n)])
}

// grows tells whether a compound stop has fewer ranks in the bass, "3-5fach": a cornet that does goes through the whole keyboard.
func (s *Stop) grows() bool {
	return s.Least > 0 && s.Least < s.Ranks
}

// resultant are the octave and the fifth that an acoustic stop is made of, ft: their difference is heard as its length (common practice); nil for
// any other stop.
func (s *Stop) resultant() []float64 {
	if s.Kind.Name != "Acoustic Bass" || s.Feet < 16 {
		return nil
	}
	return []float64{s.Feet / 2, s.Feet / 3}
}

// grown adds the ranks that come in above to those that are printed for the lowest key: "IV-VI Mixture (15.19.22.26)".
func (s *Stop) grown(printed []float64) []float64 {
	if s.Least != len(printed) {
		return printed
	}
	feet := slices.Clone(printed)
	for _, f := range quintSeries {
		if len(feet) < s.Ranks && f < feet[len(feet)-1]-1e-3 {
			feet = append(feet, f)
		}
	}
	return feet
}

// breaking moves ranks up the series of octaves and fifths by one step an octave.
func (s *Stop) breaking(low, high int, first []float64) []string {
	silent := max(0, s.Ranks-max(1, s.Least))
	if s.Least == 0 || len(s.degrees) > 0 && len(first) == len(s.degrees) {
		silent = 0
	}
	out := []string{row(low, first, silent)}
	step := 1
	for key := (low/12 + 1) * 12; key <= high; key += 12 {
		feet := make([]float64, len(first))
		for i, f := range first {
			at := 0
			for j, q := range quintSeries {
				if math.Abs(q-f) < math.Abs(quintSeries[at]-f) {
					at = j
				}
			}
			feet[i] = quintSeries[max(0, at-step)]
			if at-step < 0 || i > 0 && feet[i] >= feet[i-1] { // the lowest rank stays at 8 ft; the others follow below it
				feet[i] = quintSeries[min(len(quintSeries)-1, max(i, at-step))]
			}
		}
		out = append(out, row(key, feet, max(0, silent-step)))
		step++
	}
	return out
}

func row(key int, feet []float64, silent int) string {
	parts := make([]string, len(feet))
	for i, f := range feet {
		parts[i] = voicing.FeetText(f)
		if i >= len(feet)-silent && i > 0 {
			parts[i] = "-"
		}
	}
	return fmt.Sprintf("%s: %s", voicing.KeyText(key), strings.Join(parts, ", "))
}
