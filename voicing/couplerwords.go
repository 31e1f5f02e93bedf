package voicing

import (
	"slices"
	"strings"
)

// couplerNouns stand before the two keyboards that are coupled; couplerVerbs ask for it.
var couplerNouns = []string{"coupler ", "couple ", "koppel ", "koppeln ", "coppel ", "copula ", "unione ", "union ", "accouplez ", "accoupler ", "accouplement ", "acc. ", "mit koppel ", "unire "}

// between are what stands between the keyboard that is sounded and the one that is played.
var between = []string{" to ", "/", "→", "->", " an ", " au ", " à ", " al ", " sul ", " on ", "-", "–", "+"}

// coupledWords say of a keyboard that others are coupled to it.
var coupledWords = map[string]bool{"coupled": true, "coup": true, "coupl": true, "cpld": true, "couplers": true, "gekoppelt": true, "gek": true, "koppeln": true, "koppel": true, "accouplé": true, "accouplés": true,
	"accouplée": true, "accouplées": true, "accouplement": true, "uniti": true, "unito": true, "unita": true, "unione": true, "accoppiati": true, "manuals coupled": true, "claviers accouplés": true,
	"claviers réunis": true, "manuale gekoppelt": true, "manuali uniti": true, "tastiere unite": true}

// towards are words between "coupled" and a keyboard.
var towards = []string{"to ", "with ", "mit ", "an ", "au ", "aux ", "à ", "al ", "con ", "zu "}

// coupler reads "Sw to Gt", "Sw/Gt", "II an I", "Swell Octave", "Tirasse G.O.", "Gt. coupled to Sw.", "GPR", with "off" behind it
// or a minus before.
func (c *RegChange) coupler(o *Organ, p, sign string) bool {
	q := strings.ToLower(strings.TrimSpace(p))
	off := sign == "-"
	if rest, found := strings.CutSuffix(q, " off"); found {
		q, off = strings.TrimSpace(rest), true
	} else if rest, found := strings.CutSuffix(q, " on"); found {
		q = strings.TrimSpace(rest)
	}
	for _, n := range couplerNouns {
		if rest, found := strings.CutPrefix(q, n); found && rest != "" {
			q = strings.TrimSpace(rest)
			break
		}
	}
	for i, cp := range o.Couplers {
		if strings.EqualFold(cp.Name, q) {
			return c.setCoupler(o, i, off)
		}
	}
	return c.betweenKeyboards(o, q, off) || c.octaveCoupler(o, q, off) || c.tirasse(o, q, off) || c.unionOf(o, p)
}

// betweenKeyboards reads the names of two keyboards, the one that is sounded first; where no coupler goes that way, the
// other way round ("Ped. to Gt."; "II/I" where the Great is II).
func (c *RegChange) betweenKeyboards(o *Organ, q string, off bool) bool {
	for _, sep := range between {
		a, b, found := strings.Cut(q, sep)
		if !found {
			continue
		}
		shift := 0
		a, b = strings.TrimSpace(a), strings.TrimSpace(b)
		for _, w := range shiftWords {
			if rest, found := strings.CutSuffix(b, w.word); found {
				b, shift = rest, w.shift
				break
			}
		}
		to, okTo := o.DivisionByName(a)
		from, okFrom := o.DivisionByName(b)
		if !okTo || !okFrom || a == "" || b == "" {
			continue
		}
		turned := o.Divisions[to].Pedal || manualNumbers[plainName(a)] > 0 && manualNumbers[plainName(b)] > 0
		return c.couple(o, to, from, shift, off) || shift == 0 && turned && c.couple(o, from, to, 0, off)
	}
	return false
}

// couple draws or takes in the coupler by which the keys of from sound the stops of to.
func (c *RegChange) couple(o *Organ, to, from, shift int, off bool) bool {
	for i, cp := range o.Couplers {
		if cp.To == to && cp.From == from && cp.Shift == shift {
			return c.setCoupler(o, i, off)
		}
	}
	return false
}

// octaveCoupler reads "Sw. Sub-octave", "Sw super", "Sw. Octave" where the division has no stop of that name.
func (c *RegChange) octaveCoupler(o *Organ, q string, off bool) bool {
	d, rest, found := leadingDivision(o, q)
	if !found {
		return c.onlyOctaveCoupler(o, q, off)
	}
	for s := range o.Divisions[d].Stops {
		if sameStop(o.Divisions[d].Stops[s].Name, rest) {
			return false
		}
	}
	for _, w := range shiftWords[:4] {
		if rest == strings.TrimSpace(w.word) || rest == strings.TrimSpace(w.word)+" coupler" {
			return c.couple(o, d, d, w.shift, off)
		}
	}
	return false
}

// onlyOctaveCoupler reads "super coupler", "sub-octave coupler" on an organ that has just one.
func (c *RegChange) onlyOctaveCoupler(o *Organ, q string, off bool) bool {
	only := -1
	for _, w := range shiftWords[:4] {
		if q != strings.TrimSpace(w.word)+" coupler" {
			continue
		}
		for i, cp := range o.Couplers {
			if cp.Shift == w.shift && cp.From == cp.To && !cp.Fixed {
				if only >= 0 {
					return false
				}
				only = i
			}
		}
	}
	return only >= 0 && c.setCoupler(o, only, off)
}

// tirasse reads "Tirasse G.O.", "Tirasses", "Tir. R.": manuals to the pedal; the Great where none is named, all where there are
// several tirasses.
func (c *RegChange) tirasse(o *Organ, q string, off bool) bool {
	head, rest, _ := strings.Cut(q, " ")
	head = strings.Trim(head, ".:")
	if head != "tirasse" && head != "tirasses" && head != "tir" && head != "tirez-tirasse" {
		return false
	}
	feet, ok := o.divisionOf(rolePedal)
	if !ok {
		return false
	}
	named := []int{}
	for _, name := range strings.FieldsFunc(rest, func(r rune) bool { return r == ' ' || r == '+' || r == '/' }) {
		if d, ok := o.DivisionByName(name); ok && !slices.Contains(named, d) {
			named = append(named, d)
		}
	}
	if len(named) == 0 && head != "tirasses" && !off {
		d, _ := o.DivisionByName("Great")
		named = append(named, d)
	}
	done := false
	for i, cp := range o.Couplers {
		if cp.From == feet && cp.Shift == 0 && !cp.Fixed && (len(named) == 0 || slices.Contains(named, cp.To)) {
			done = c.setCoupler(o, i, off) || done
		}
	}
	return done
}

// unionOf reads "GPR", "G.P.R.", "GR": the Great with the other manuals of those letters coupled to it (common practice in French
// scores).
func (c *RegChange) unionOf(o *Organ, p string) bool {
	letters := strings.NewReplacer(".", "", " ", "").Replace(p)
	if letters != "GPR" && letters != "GR" { // "G.P." is a general pause
		return false
	}
	great, ok := o.DivisionByName("Great")
	if !ok {
		return false
	}
	c.Division = great
	for _, r := range letters[1:] {
		name := map[rune]string{'P': "Positif", 'R': "Récit"}[r]
		if d, ok := o.DivisionByName(name); ok && d != great {
			c.couple(o, d, great, 0, false)
		}
	}
	c.Read = append(c.Read, o.Divisions[great].Name)
	return true
}

// coupled reads "coupled to Sw.", "gekoppelt", "Récit accouplé" behind a division: that keyboard sounds the other one too; a
// pedal that is coupled to none in particular sounds the Great, the Great every manual that can be coupled to it, and any other manual
// is sounded by the Great.
func (c *RegChange) coupled(o *Organ, p, sign string) bool {
	q := strings.Trim(strings.ToLower(p), " .")
	head, rest, _ := strings.Cut(q, " ")
	if !coupledWords[strings.Trim(head, ".")] && !coupledWords[q] {
		return false
	}
	if coupledWords[q] {
		rest = ""
	}
	off := sign == "-"
	great, _ := o.DivisionByName("Great")
	from := c.Division
	if from < 0 {
		from = great
	}
	for _, w := range towards {
		if after, found := strings.CutPrefix(rest, w); found {
			rest = after
			break
		}
	}
	rest = strings.TrimPrefix(rest, "full ")
	if rest != "" {
		to, ok := o.DivisionByName(rest)
		return ok && to != from && (c.couple(o, to, from, 0, off) || c.couple(o, from, to, 0, off))
	}
	if o.Divisions[from].Pedal {
		return c.couple(o, great, from, 0, off)
	}
	if from != great {
		return c.couple(o, from, great, 0, off)
	}
	done := false
	for i, cp := range o.Couplers {
		if cp.From == great && cp.To != great && cp.Shift == 0 && !cp.Fixed {
			done = c.setCoupler(o, i, off) || done
		}
	}
	return done
}

func (c *RegChange) setCoupler(o *Organ, i int, off bool) bool {
	if off {
		c.Retire.Couplers |= 1 << i
		c.Read = append(c.Read, o.Couplers[i].Name+" off")
	} else {
		c.Draw.Couplers |= 1 << i
		c.Read = append(c.Read, o.Couplers[i].Name)
	}
	return true
}
