package voicing

// marks are the dynamic marks of a plan, softest first.
var marks = [...]string{"ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"}

// Marks lists the dynamic marks of a plan, softest first.
func Marks() []string { return append([]string(nil), marks[:]...) }

func markIndex(mark string) int {
	for i, m := range marks {
		if m == mark {
			return i
		}
	}
	return -1
}

// PlanMarks lists the dynamic marks that the description gives for division, softest first.
func (o *Organ) PlanMarks(division int) []string {
	var out []string
	for i, m := range marks {
		if division >= 0 && division < len(o.Divisions) && o.plan[i].given[division] {
			out = append(out, m)
		}
	}
	return out
}

// Plan is what the dynamic mark ("ppp" … "fff") draws on division: stops of that
// division, couplers worked from its keys, its tremulant. A division whose
// description leaves the mark out draws the nearest mark that it has, the softer of two
// equally near; an unknown mark is read as "mf".
func (o *Organ) Plan(mark string, division int) Registration {
	if division < 0 || division >= len(o.Divisions) {
		return Registration{}
	}
	want := markIndex(mark)
	if want < 0 {
		want = markIndex("mf")
	}
	for off := range marks {
		for _, i := range [2]int{want - off, want + off} {
			if i >= 0 && i < len(marks) && o.plan[i].given[division] {
				return o.plan[i].draws[division]
			}
		}
	}
	return Registration{}
}

// Draw is the whole registration where each division plays at its own mark: byDivision[d]
// is "" for a division that does not play. A division that does not play but is reached by
// a drawn coupler draws its plan too, at the loudest mark among the keyboards coupled to it,
// as a player prepares it.
func (o *Organ) Draw(byDivision [MaxDivisions]string) Registration {
	var r Registration
	for d := range o.Divisions {
		if byDivision[d] != "" {
			r = r.With(o.Plan(byDivision[d], d))
		}
	}
	var coupled [MaxDivisions]int // mark index + 1
	for c, cp := range o.Couplers {
		if m := markIndex(byDivision[cp.From]); m >= 0 && byDivision[cp.To] == "" && o.on(r, c) {
			coupled[cp.To] = max(coupled[cp.To], m+1)
		}
	}
	for d := range o.Divisions {
		if coupled[d] > 0 {
			p := o.Plan(marks[coupled[d]-1], d)
			r.Stops[d] |= p.Stops[d]
			for c, cp := range o.Couplers { // octave couplers of the coupled division, not its own borrowings
				if cp.From == d && cp.To == d {
					r.Couplers |= p.Couplers & (1 << c)
				}
			}
		}
	}
	return r
}
