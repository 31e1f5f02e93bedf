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

// notPlayed are what a user may write for the division of a part that is to be left out.
var notPlayed = []string{"none", "silent", "nothing"}

// assign says which division plays each part. In this order: the user's word; the part's name, which a part keeps
// whatever else it looks like; a bass that an export printed twice; else staff and register.
func assign(s *score.Score, o *voicing.Organ, user map[string]string) ([]Assignment, error) {
	out := make([]Assignment, len(s.Parts))
	for i := range out {
		out[i] = Assignment{Part: i, Division: -1}
	}
	if err := assignByUser(s, o, user, out); err != nil {
		return nil, err
	}
	said := make([]saying, len(s.Parts))
	for i, p := range s.Parts {
		d, says := readPartName(o, p.Name)
		said[i] = says
		if out[i].Division < 0 && says == saysDivision {
			out[i].Division, out[i].Why = d, fmt.Sprintf(byName+", %q", p.Name)
		}
	}
	standAside(s, o, out, said)
	l := newLay(s, o)
	l.printedTwice(out, said)
	l.byRegister(out, said)
	return out, nil
}

// standAside gives a part whose name means a division that this organ lacks, and that stands in for it on another part's manual, a manual of
// which no part has the name: a Solo is not the Choir's where there is a part for the Choir, nor an Oberwerk the Rückpositiv's.
func standAside(s *score.Score, o *voicing.Organ, out []Assignment, said []saying) {
	own := func(p int) bool {
		return said[p] == saysDivision && out[p].Why != byUser && !o.StandsIn(s.Parts[p].Name, out[p].Division)
	}
	taken := make([]bool, len(o.Divisions)) // by a part that has its name, or by the user
	for p := range out {
		if d := out[p].Division; d >= 0 && (own(p) || out[p].Why == byUser) {
			taken[d] = true
		}
	}
	standsIn := map[int]string{} // the name of the part that has a division in place of its own
	for p := range out {
		d := out[p].Division
		if said[p] != saysDivision || own(p) || out[p].Why == byUser || o.Divisions[d].Pedal {
			continue
		}
		if !taken[d] {
			taken[d], standsIn[d] = true, s.Parts[p].Name
			continue
		}
		if voicing.SameDivision(standsIn[d], s.Parts[p].Name) {
			continue
		}
		for i := range o.Divisions {
			if !o.Divisions[i].Pedal && !taken[i] {
				out[p].Why = fmt.Sprintf("%s, on the %s since another part has the %s", out[p].Why, o.Divisions[i].Name, o.Divisions[d].Name)
				out[p].Division, taken[i] = i, true
				break
			}
		}
	}
}

// AssignError is an assignment by the user that names a part or a division which does not exist.
type AssignError struct{ error }

func assignErrorf(format string, a ...any) error { return AssignError{fmt.Errorf(format, a...)} }

func assignByUser(s *score.Score, o *voicing.Organ, user map[string]string, out []Assignment) error {
	for _, part := range slices.Sorted(maps.Keys(user)) {
		division := user[part]
		silent := slices.ContainsFunc(notPlayed, func(w string) bool { return strings.EqualFold(w, division) })
		d, ok := o.DivisionByName(division)
		if silent {
			d = mainManual(o)
		} else if !ok {
			return assignErrorf("--assign %q: %s has no division %q; it has %s, or none to leave the part out", part+"="+division, o.Name, division, divisionNames(o))
		}
		hit := false
		for i, p := range s.Parts {
			if strings.EqualFold(p.Name, part) || strings.EqualFold(fmt.Sprintf("Track %d", p.Track), part) ||
				strings.EqualFold(fmt.Sprintf("Part %d", i+1), part) {
				out[i].Division, out[i].Why, out[i].Silent, hit = d, byUser, silent, true
			}
		}
		if !hit {
			return assignErrorf("--assign %q: no part of %s is called that; its parts are %s", part+"="+division, s.File, partNames(s))
		}
	}
	return nil
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
