package voicing

import "math/bits"

// Describe lists what r draws as a player would say it: "Great: Octave 4", "Swell to Great", "Swell: Tremulant".
func (o *Organ) Describe(r Registration) []string {
	var out []string
	for d := range o.Divisions {
		div := &o.Divisions[d]
		for w := r.Stops[d]; w != 0; w &= w - 1 {
			if s := bits.TrailingZeros64(w); s < len(div.Stops) {
				out = append(out, div.Name+": "+div.Stops[s].Name)
			}
		}
		if r.Tremulants>>d&1 != 0 {
			out = append(out, div.Name+": Tremulant")
		}
	}
	for c := range o.Couplers {
		if r.Couplers>>c&1 != 0 {
			out = append(out, o.Couplers[c].Name)
		}
	}
	return out
}

// StopNames lists the stops of r in division, as engraved.
func (o *Organ) StopNames(r Registration, division int) []string {
	var out []string
	for w := r.Stops[division]; w != 0; w &= w - 1 {
		if s := bits.TrailingZeros64(w); s < len(o.Divisions[division].Stops) {
			out = append(out, o.Divisions[division].Stops[s].Name)
		}
	}
	return out
}

// Diff lists what has to be drawn (on) and retired (off) to go from a to b, in the words of Describe.
func (o *Organ) Diff(a, b Registration) (on, off []string) {
	return o.Describe(b.Without(a)), o.Describe(a.Without(b))
}

// Without returns what r draws and o does not.
func (r Registration) Without(o Registration) Registration {
	for d := range r.Stops {
		r.Stops[d] &^= o.Stops[d]
	}
	r.Couplers &^= o.Couplers
	r.Tremulants &^= o.Tremulants
	return r
}

// Knobs lists all that can be drawn, in the words of Describe.
func (o *Organ) Knobs() []string {
	var all Registration
	for d := range o.Divisions {
		all.Stops[d] = 1<<len(o.Divisions[d].Stops) - 1
		if o.Divisions[d].TremulantHz > 0 {
			all.Tremulants |= 1 << d
		}
	}
	for c := range o.Couplers {
		all.Couplers |= 1 << c
	}
	return o.Describe(all)
}
