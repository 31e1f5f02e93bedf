package voicing

import (
	"fmt"

	"strings"

	"afterchord/acoustics/plural"
)

// Specification is the stop list as it would be printed: a block for each division with its stops numbered, the breaks of the
// mixtures, then couplers, accessories, compass, action, wind, pitch and temperament.
func Specification(o *Organ) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n%s\n", o.Title, strings.Repeat("=", len([]rune(o.Title))))
	number := 0
	for d := range o.Divisions {
		b.WriteByte('\n')
		o.specDivision(&b, d, &number)
	}
	o.specBreaks(&b)
	o.specAccessories(&b)
	fmt.Fprintf(&b, "\nPitch A4 = %g Hz; %s temperament.\n", o.PitchHz, temperamentTitle(o.Temperament.Name))
	stops, ranks, pipes := o.Count()
	fmt.Fprintf(&b, "%s, %s, %s.\n", plural.Count(stops, "stop"), plural.Count(ranks, "rank"), plural.Count(pipes, "pipe"))
	b.WriteString("Wind pressures in mm of water, for reckoning:\nan organ's wind is set by its builder, and nobody else changes it.\n")
	return b.String()
}

func (o *Organ) specDivision(b *strings.Builder, d int, number *int) {
	div := &o.Divisions[d]
	title := strings.ToUpper(div.Name)
	if !div.Pedal {
		n := 1
		for _, m := range o.manuals() {
			if m == d {
				break
			}
			n++
		}
		if len(o.manuals()) > 1 {
			title += fmt.Sprintf(" (manual %s)", roman(n))
		}
	}
	if div.Enclosed {
		title += ", enclosed"
	}
	fmt.Fprintf(b, "%s\n%s-%s, %d keys; %s action, %.0f ms\n", title, KeyText(div.LowKey), KeyText(div.HighKey),
		div.HighKey-div.LowKey+1, div.Action.Kind, 1000*div.Action.DelayS)
	if len(div.Stops) == 0 {
		b.WriteString("    no pipes of its own\n")
	}
	for i := range div.Stops {
		s := &div.Stops[i]
		*number++
		name, length := s.Name, FeetText(s.Feet)
		if s.Mixture() {
			length = roman(len(s.Ranks))
			name = strings.TrimSpace(strings.TrimSuffix(name, " "+length))
		} else {
			name = strings.TrimSpace(feetAtEnd.ReplaceAllString(name, ""))
		}
		line := fmt.Sprintf("%4d  %-22s %-6s %-22s %4.0f mm", *number, name, length, s.Build(), s.WindPa/pascalPerMM)
		if s.LowKey != div.LowKey || s.HighKey != div.HighKey {
			line += fmt.Sprintf("  %s-%s", KeyText(s.LowKey), KeyText(s.HighKey))
		}
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	if div.TremulantHz > 0 {
		fmt.Fprintf(b, "      Tremulant %.1f beats a second\n", div.TremulantHz)
	}
}

// Build is the family and construction of a stop in words: "stopped flute", "half-length reed", "string, tuned 9 cents sharp".
func (s *Stop) Build() string {
	w := string(s.Family)
	switch s.Construction {
	case Stopped:
		w = "stopped " + w
	case HalfLength:
		w = "half-length " + w
	}
	if s.DetuneCents != 0 {
		w += fmt.Sprintf(", %+g cents", s.DetuneCents)
	}
	return w
}

// specBreaks prints where each mixture breaks back.
func (o *Organ) specBreaks(b *strings.Builder) {
	first := true
	for d := range o.Divisions {
		for i := range o.Divisions[d].Stops {
			s := &o.Divisions[d].Stops[i]
			if !s.Mixture() {
				continue
			}
			if first {
				b.WriteString("\nCOMPOSITION OF THE MIXTURES\n")
				first = false
			}
			fmt.Fprintf(b, "    %s %s\n", o.Divisions[d].Name, s.Name)
			for row, br := range s.Ranks[0].Breaks {
				var feet []string
				for _, r := range s.Ranks {
					if f := r.Breaks[row].Feet; f > 0 {
						feet = append(feet, FeetText(f))
					} else {
						feet = append(feet, "-")
					}
				}
				fmt.Fprintf(b, "      from %-3s %s\n", KeyText(br.FromKey), strings.Join(feet, "  "))
			}
		}
	}
}

func (o *Organ) specAccessories(b *strings.Builder) {
	if len(o.Couplers) > 0 {
		b.WriteString("\nCOUPLERS\n")
		for _, c := range o.Couplers {
			b.WriteString("    " + c.Name)
			if c.Fixed {
				b.WriteString(" (always on)")
			}
			b.WriteByte('\n')
		}
	}
	var list []string
	if o.Pistons > 0 {
		list = append(list, fmt.Sprintf("%d general pistons", o.Pistons))
	}
	for i := range o.Divisions {
		if o.Divisions[i].Enclosed {
			list = append(list, "balanced swell pedal to the "+o.Divisions[i].Name)
		}
	}
	if len(list) > 0 {
		b.WriteString("\nACCESSORIES\n    " + strings.Join(list, "\n    ") + "\n")
	}
}

// Count is how many stops, ranks and pipes the organ has.
func (o *Organ) Count() (stops, ranks, pipes int) {
	for d := range o.Divisions {
		for i := range o.Divisions[d].Stops {
			s := &o.Divisions[d].Stops[i]
			stops++
			ranks += len(s.Ranks)
			for _, r := range s.Ranks {
				for k := s.LowKey; k <= s.HighKey; k++ {
					if r.FeetAt(k) > 0 {
						pipes++
					}
				}
			}
		}
	}
	return stops, ranks, pipes
}

func temperamentTitle(name string) string {
	words := strings.Fields(name)
	for i, w := range words {
		switch {
		case w == "iii":
			words[i] = "III"
		case w == "kirnberger" || w == "vallotti" || w == "werckmeister":
			words[i] = strings.ToUpper(w[:1]) + w[1:]
		}
	}
	return strings.Join(words, " ")
}

func roman(n int) string {
	digits := []struct {
		v int
		s string
	}{{10, "X"}, {9, "IX"}, {5, "V"}, {4, "IV"}, {1, "I"}}
	out := ""
	for _, d := range digits {
		for ; n >= d.v; n -= d.v {
			out += d.s
		}
	}
	return out
}
