package performance

import (
	"strings"

	"afterchord/acoustics/lazyregexp"
	"afterchord/sim/score"
)

// Words that say whether the feet play, in five languages (common practice): "senza Ped.", "Manualiter", and "con Ped." or "Ped." alone,
// which ends it.
var (
	withoutFeet = lazyregexp.New(`(?i)^(senza|ohne|sans|without|no|sin|zonder)\s+(il\s+|la\s+|le\s+|das\s+|the\s+)?(ped|pedal|pedals|péd|pédale|pédalier|pedale|pedaliera|pedaal|pedalero)\.?$|^(man|manual|manuals|manuale|manualiter|manuals only|manuals alone|manuel|mains seules|manos)\.?( only)?$`)
	withFeet    = lazyregexp.New(`(?i)^((con|mit|avec|with|met|add)\s+(il\s+|la\s+|le\s+|the\s+)?)?(ped|pedal|pedals|péd|pédale|pedale|pedaliera|pedaal|pedaliter)\.?$`)
)

// feetWord reads words that say whether the feet play; ok is false where they say nothing of it.
func feetWord(w score.Word) (play, ok bool) {
	if w.Kind != score.Direction && w.Kind != score.Text && w.Kind != score.Marker {
		return false, false
	}
	text := strings.Trim(strings.TrimSpace(w.Text), "()[] ")
	switch {
	case withoutFeet.MatchString(text):
		return false, true
	case withFeet.MatchString(text):
		return true, true
	}
	return false, false
}

// feetRest are the stretches for which the page says that the feet rest: low notes stay in the hands there.
func feetRest(s *score.Score) func(t score.Tick) bool {
	type stretch struct{ from, to score.Tick }
	var out []stretch
	for _, w := range s.Words {
		play, ok := feetWord(w)
		n := len(out)
		resting := n > 0 && out[n-1].to < 0
		switch {
		case !ok:
		case play && resting:
			out[n-1].to = w.At
		case !play && !resting:
			out = append(out, stretch{w.At, -1})
		}
	}
	return func(t score.Tick) bool {
		for _, x := range out {
			if t >= x.from && (t < x.to || x.to < 0) {
				return true
			}
		}
		return false
	}
}
