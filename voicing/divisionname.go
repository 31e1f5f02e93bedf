package voicing

import (
	"strings"
	"sync"
)

// role is what a division is for, whatever it is called.
type role string

const (
	rolePedal    role = "pedal"
	roleGreat    role = "great"
	roleSwell    role = "swell"
	roleChoir    role = "choir"
	rolePositive role = "positive"
	roleSolo     role = "solo"
	roleEcho     role = "echo"
	roleBombarde role = "bombarde"
	roleBrust    role = "brustwerk"
)

// scoreRole is the part in a score of a role in divisions.txt, where it is called otherwise.
var scoreRole = map[string]role{"breast": roleBrust, "upper": roleBrust}

// roleNames is every name by which scores know a division, lower case.
var roleNames = sync.OnceValue(func() map[string]role {
	roles := map[string]role{}
	for _, n := range DivisionNames() {
		if !n.InScores {
			continue
		}
		part, otherwise := scoreRole[n.Role]
		if !otherwise {
			part = role(n.Role)
		}
		roles[plainName(n.Name)] = part
	}
	return roles
})

// standIns is, for a role that an organ lacks, the roles that take its part, best first.
var standIns = map[role][]role{
	roleChoir:    {rolePositive, roleBrust, roleEcho},
	rolePositive: {roleChoir, roleBrust},
	roleBrust:    {rolePositive, roleChoir, roleSwell},
	roleSwell:    {roleBrust, roleEcho, rolePositive, roleChoir},
	roleEcho:     {roleSwell, roleBrust},
	roleSolo:     {roleBombarde, roleChoir, rolePositive, roleSwell},
	roleBombarde: {roleSolo, roleGreat},
}

var manualNumbers = map[string]int{
	"i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5, "1": 1, "2": 2, "3": 3, "4": 4, "5": 5,
}

var manualWords = []string{"manual", "man", "keyboard", "clavier", "klavier", "manuale", "tastiera", "clav", "kl"}

// IsPedalName tells whether name is one of the names of a pedal division.
func IsPedalName(name string) bool { return roleNames()[plainName(name)] == rolePedal }

func plainName(s string) string {
	return strings.Join(strings.Fields(strings.Trim(strings.ToLower(s), " .:()[]{}")), " ")
}

// DivisionByName finds the division that a name in a score or a list means, whatever the case: its own name; else
// the part it plays under an English, German, French or Italian name ("Sw.", "Récit", "Schwellwerk"), or the nearest
// stand-in where the organ has no such division (a Choir for a Positif); else a manual's number ("II", "Man. 2"), counted
// from the nearest keyboard up in the order of Divisions. "Manual" alone is the Great, or the only manual.
// On an organ without a division of the role or a stand-in, ok is false.
func (o *Organ) DivisionByName(name string) (division int, ok bool) {
	if d, ok := o.divisionNamed(strings.TrimSpace(name)); ok {
		return d, true
	}
	plain := plainName(name)
	want, known := roleNames()[plain]
	if short := strings.NewReplacer(".", "", "-", "", " ", "").Replace(plain); !known && strings.ContainsAny(plain, ".-") && len([]rune(short)) > 1 { // "G.-O.", "H.W.", "Org. Espr."
		want, known = roleNames()[short]
	}
	if known {
		if d, ok := o.divisionOf(want); ok {
			return d, true
		}
		for _, r := range standIns[want] {
			if d, ok := o.divisionOf(r); ok {
				return d, true
			}
		}
		if manuals := o.manuals(); want == roleGreat && len(manuals) > 0 {
			return manuals[0], true
		}
		return 0, false
	}
	for _, w := range manualWords {
		if rest, found := strings.CutPrefix(plain, w); found {
			plain = strings.Trim(rest, " .")
			break
		}
		if rest, found := strings.CutSuffix(plain, " "+w); found { // "II. Man.", "2e clavier"
			plain = strings.Trim(rest, " .")
			for _, ordinal := range []string{"er", "re", "ème", "eme", "e", "st", "nd", "rd", "th", "°"} {
				if number, cut := strings.CutSuffix(plain, ordinal); cut && manualNumbers[number] > 0 {
					plain = number
				}
			}
			break
		}
	}
	if n := manualNumbers[plain]; n > 0 {
		if manuals := o.manuals(); n <= len(manuals) {
			return manuals[n-1], true
		}
	}
	return 0, false
}

// divisionOf is the division whose own name has the role.
func (o *Organ) divisionOf(want role) (int, bool) {
	for i := range o.Divisions {
		if want == rolePedal && o.Divisions[i].Pedal || roleNames()[plainName(o.Divisions[i].Name)] == want {
			return i, true
		}
	}
	return 0, false
}

// StandsIn reports whether a division only stands in for the one that a name means, which the organ lacks.
func (o *Organ) StandsIn(name string, division int) bool {
	want, known := roleNames()[plainName(name)]
	is, has := roleNames()[plainName(o.Divisions[division].Name)]
	return known && has && want != is
}

// SameDivision reports whether two names mean one division, in whatever languages.
func SameDivision(a, b string) bool {
	x, y := plainName(a), plainName(b)
	return x == y || roleNames()[x] != "" && roleNames()[x] == roleNames()[y]
}

// manuals are the indexes of the divisions played by hand, nearest keyboard first.
func (o *Organ) manuals() []int {
	var m []int
	for i := range o.Divisions {
		if !o.Divisions[i].Pedal {
			m = append(m, i)
		}
	}
	return m
}
