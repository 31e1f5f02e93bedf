package performance

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"afterchord/sim/score"
	"afterchord/voicing"
)

// pedalTop is the highest mean key of an unnamed lowest part that is still taken for
// the pedal: pedal lines live below about C4 (compass C2 to F4, common practice).
const pedalTop = 55

// Reasons of an assignment.
const (
	byUser = "--assign"
	byName = "its name"
)

// assign says which division plays each part. In this order: the user's word, the
// part's name, else staff and register.
func assign(s *score.Score, o *voicing.Organ, user map[string]string) ([]Assignment, error) {
	out := make([]Assignment, len(s.Parts))
	for i := range out {
		out[i] = Assignment{Part: i, Division: -1}
	}
	if err := assignByUser(s, o, user, out); err != nil {
		return nil, err
	}
	for i, p := range s.Parts {
		if out[i].Division >= 0 {
			continue
		}
		if d, ok := o.DivisionByName(p.Name); ok {
			out[i].Division, out[i].Why = d, fmt.Sprintf(byName+", %q", p.Name)
		}
	}
	assignDoublings(s, o, user, out)
	assignByRegister(s, o, out)
	return out, nil
}

// assignDoublings lets a pedal line that is written out again an octave lower, as for
// instruments without a 16 ft stop, be played once: the line on the pedal, its copy by
// the stop. What the user has assigned stays.
func assignDoublings(s *score.Score, o *voicing.Organ, user map[string]string, out []Assignment) {
	pedal := -1
	for d := range o.Divisions {
		if o.Divisions[d].Pedal {
			pedal = d
		}
	}
	if pedal < 0 || len(user) > 0 {
		return
	}
	for _, d := range Doublings(s) {
		leader := &out[d.Leader]
		sum, n := 0, 0
		for _, x := range s.Notes {
			if x.Part == d.Leader {
				sum, n = sum+x.Key, n+1
			}
		}
		if leader.Silent || leader.Division >= 0 && leader.Division != pedal || sum >= pedalTop*n {
			continue
		}
		if leader.Division < 0 {
			leader.Division, leader.Why = pedal, fmt.Sprintf("a bass line that %q doubles an octave lower", s.Parts[d.Part].Name)
		}
		out[d.Part] = Assignment{Part: d.Part, Division: pedal, Silent: true,
			Why: fmt.Sprintf("not played: %q an octave lower, which a 16 ft stop does by itself (--assign plays it)", s.Parts[d.Leader].Name)}
	}
}

// AssignError is an assignment by the user that names a part or a division which does not exist.
type AssignError struct{ error }

func assignErrorf(format string, a ...any) error { return AssignError{fmt.Errorf(format, a...)} }

func assignByUser(s *score.Score, o *voicing.Organ, user map[string]string, out []Assignment) error {
	for _, part := range slices.Sorted(maps.Keys(user)) {
		division := user[part]
		d, ok := o.DivisionByName(division)
		if !ok {
			return assignErrorf("--assign %q: %s has no division %q; it has %s", part+"="+division, o.Name, division, divisionNames(o))
		}
		hit := false
		for i, p := range s.Parts {
			if strings.EqualFold(p.Name, part) || strings.EqualFold(fmt.Sprintf("Track %d", p.Track), part) ||
				strings.EqualFold(fmt.Sprintf("Part %d", i+1), part) {
				out[i].Division, out[i].Why, hit = d, byUser, true
			}
		}
		if !hit {
			return assignErrorf("--assign %q: no part of %s is called that; its parts are %s", part+"="+division, s.File, partNames(s))
		}
	}
	return nil
}

// assignByRegister places what has no name: the lowest part on the pedal where it
// lies low and another part is left for the hands, everything else on the main manual.
func assignByRegister(s *score.Score, o *voicing.Organ, out []Assignment) {
	pedal, manual := -1, 0
	for d := len(o.Divisions) - 1; d >= 0; d-- {
		if o.Divisions[d].Pedal {
			pedal = d
		} else {
			manual = d
		}
	}
	if d, ok := o.DivisionByName("Great"); ok { // the main manual (common practice)
		manual = d
	}
	mean := make([]float64, len(s.Parts))
	count := make([]float64, len(s.Parts))
	top := make([]int, len(s.Parts))
	for _, n := range s.Notes {
		mean[n.Part] += float64(n.Key)
		count[n.Part]++
		top[n.Part] = max(top[n.Part], n.Key)
	}
	lowest, taken, playing := -1, false, 0
	for i := range mean {
		if count[i] == 0 {
			continue
		}
		playing++
		mean[i] /= count[i]
		if out[i].Division >= 0 {
			taken = taken || out[i].Division == pedal
			continue
		}
		if lowest < 0 || mean[i] < mean[lowest] {
			lowest = i
		}
	}
	if lowest >= 0 && pedal >= 0 && !taken && playing >= 3 && mean[lowest] < pedalTop &&
		top[lowest] <= o.Divisions[pedal].HighKey && polyphony(s, lowest) <= 2 {
		out[lowest].Division = pedal
		out[lowest].Why = fmt.Sprintf("lowest of %d parts, mean key %s", playing, score.KeyName(int(mean[lowest]+0.5)))
	}
	for i := range out {
		if out[i].Division < 0 {
			out[i].Division = manual
			out[i].Why = "no name that says otherwise: the main manual"
		}
	}
}

// polyphony is the most keys that a part holds at once.
func polyphony(s *score.Score, part int) int {
	most := 0
	var ends []score.Tick
	for _, n := range s.Notes {
		if n.Part != part {
			continue
		}
		kept := ends[:0]
		for _, e := range ends {
			if e > n.On {
				kept = append(kept, e)
			}
		}
		ends = append(kept, n.Off)
		most = max(most, len(ends))
	}
	return most
}

func divisionNames(o *voicing.Organ) string {
	var names []string
	for _, d := range o.Divisions {
		names = append(names, d.Name)
	}
	return strings.Join(names, ", ")
}

func partNames(s *score.Score) string {
	var names []string
	for _, p := range s.Parts {
		names = append(names, fmt.Sprintf("%q (Track %d)", p.Name, p.Track))
	}
	return strings.Join(names, ", ")
}
