package score

// Dynamic is a dynamic mark from ppp (0) to fff (7); None where nothing is marked.
type Dynamic int

// The dynamic marks.
const (
	PPP Dynamic = iota
	PP
	P
	MP
	MF
	F
	FF
	FFF
	None Dynamic = -1
)

var dynamicNames = [...]string{"ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"}

// String returns the mark as printed, "" for None.
func (d Dynamic) String() string {
	if d < PPP || d > FFF {
		return ""
	}
	return dynamicNames[d]
}

// ParseDynamic reads a mark as printed ("pp", "mf", "fff"); ok is false for anything else.
func ParseDynamic(s string) (d Dynamic, ok bool) {
	for i, n := range dynamicNames {
		if s == n {
			return Dynamic(i), true
		}
	}
	return None, false
}
