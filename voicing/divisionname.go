package voicing

import "strings"

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

// roleNames is every name by which a division is known, lower case (common practice).
var roleNames = map[string]role{
	"pedal": rolePedal, "pedals": rolePedal, "ped": rolePedal, "pedalwerk": rolePedal, "pédale": rolePedal, "pedale": rolePedal,
	"pédalier": rolePedal, "pedalier": rolePedal, "pedaliera": rolePedal, "pédales": rolePedal, "p": rolePedal, "péd": rolePedal, "pd": rolePedal, "pedaal": rolePedal, "pedali": rolePedal,
	"great": roleGreat, "gt": roleGreat, "great organ": roleGreat, "hauptwerk": roleGreat, "hw": roleGreat, "grand orgue": roleGreat,
	"grand-orgue": roleGreat, "go": roleGreat, "g.o": roleGreat, "grand'organo": roleGreat, "grand organo": roleGreat, "grandorgano": roleGreat, "hoofdwerk": roleGreat, "manual": roleGreat, "manuals": roleGreat, "manuale": roleGreat, "gto": roleGreat, "gdo": roleGreat, "gorg": roleGreat,
	"grande organo": roleGreat, "grand' organo": roleGreat, "hptw": roleGreat, "hauptw": roleGreat, "hoofdmanuaal": roleGreat,
	"hauptmanual": roleGreat, "haupt-werk": roleGreat, "hoofdklavier": roleGreat, "grande orgue": roleGreat, "órgano mayor": roleGreat, "organo mayor": roleGreat, "orgue major": roleGreat, "huvudverk": roleGreat, "huvudmanual": roleGreat, "hovedværk": roleGreat, "hovedverk": roleGreat,
	"swell": roleSwell, "sw": roleSwell, "swell organ": roleSwell, "schwellwerk": roleSwell, "récit": roleSwell, "recit": roleSwell,
	"récit expressif": roleSwell, "recit expressif": roleSwell, "réc": roleSwell, "rec": roleSwell, "espressivo": roleSwell, "recitativo": roleSwell, "organo espressivo": roleSwell, "r": roleSwell, "espr": roleSwell, "orgespr": roleSwell, "org espr": roleSwell, "oe": roleSwell, "schwellw": roleSwell, "zwelwerk": roleSwell,
	"svällverk": roleSwell, "svellverk": roleSwell, "svelleværk": roleSwell, "órgano expresivo": roleSwell, "organo expresivo": roleSwell, "expresivo": roleSwell, "recitativo espressivo": roleSwell,
	"choir": roleChoir, "ch": roleChoir, "choir organ": roleChoir, "chororgel": roleChoir, "chorwerk": roleChoir, "unterwerk": roleChoir, "corale": roleChoir,
	"positive": rolePositive, "positiv": rolePositive, "pos": rolePositive, "positif": rolePositive, "rückpositiv": rolePositive, "rückpos": rolePositive, "rückp": rolePositive, "ruckpositiv": rolePositive, "rueckpositiv": rolePositive,
	"positivo": rolePositive, "rugwerk": rolePositive, "rp": rolePositive, "rw": rolePositive, "tergale": rolePositive, "chair": rolePositive,
	"positif de dos": rolePositive, "positif intérieur": rolePositive, "organo positivo": rolePositive, "positivo tergale": rolePositive, "cadereta": rolePositive, "cadireta": rolePositive, "positief": rolePositive, "rugpositief": rolePositive, "rückwerk": rolePositive, "ryggpositiv": rolePositive, "rygpositiv": rolePositive,
	"solo": roleSolo, "so": roleSolo, "solo organ": roleSolo, "solowerk": roleSolo, "assolo": roleSolo,
	"echo": roleEcho, "ec": roleEcho, "echo organ": roleEcho, "echowerk": roleEcho, "fernwerk": roleEcho, "fw": roleEcho, "écho": roleEcho, "eco": roleEcho,
	"bombarde": roleBombarde, "bomb": roleBombarde, "bombardwerk": roleBombarde,
	"brustwerk": roleBrust, "bw": roleBrust, "oberwerk": roleBrust, "ow": roleBrust, "borstwerk": roleBrust, "bovenwerk": roleBrust,
	"bröstverk": roleBrust, "brystværk": roleBrust, "brystverk": roleBrust, "öververk": roleBrust, "overværk": roleBrust, "oververk": roleBrust,
}

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
func IsPedalName(name string) bool { return roleNames[plainName(name)] == rolePedal }

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
	want, known := roleNames[plain]
	if short := strings.NewReplacer(".", "", "-", "", " ", "").Replace(plain); !known && strings.ContainsAny(plain, ".-") && len([]rune(short)) > 1 { // "G.-O.", "H.W.", "Org. Espr."
		want, known = roleNames[short]
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
		if want == rolePedal && o.Divisions[i].Pedal || roleNames[plainName(o.Divisions[i].Name)] == want {
			return i, true
		}
	}
	return 0, false
}

// StandsIn reports whether a division only stands in for the one that a name means, which the organ lacks.
func (o *Organ) StandsIn(name string, division int) bool {
	want, known := roleNames[plainName(name)]
	is, has := roleNames[plainName(o.Divisions[division].Name)]
	return known && has && want != is
}

// SameDivision reports whether two names mean one division, in whatever languages.
func SameDivision(a, b string) bool {
	x, y := plainName(a), plainName(b)
	return x == y || roleNames[x] != "" && roleNames[x] == roleNames[y]
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
