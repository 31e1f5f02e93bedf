package voicing

import (
	"fmt"
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// RegChange is what one line of registration asks for.
type RegChange struct {
	Division int             // the division it concerns; -1 where it names none
	Mode     ChangeMode      // how Draw and Retire act on what is drawn
	Draw     Registration    // stops, couplers and tremulants to draw
	Retire   Registration    // and to retire
	Afresh   []int           // divisions whose stops are set afresh by it
	Reduce   []int           // divisions that are to have about half the stops they have
	Box      map[int]float64 // division -> 0 shut … 1 open; nil where the box stays
	General  int             // general piston, from 1; 0 for none
	Read     []string        // what was understood, in words
	Unread   []string        // what was not

	soft   bool             // the softest stop of each length
	absent bool             // a division was named that the organ lacks
	kind   func(*Stop) bool // of the stops read last, for lengths that follow
}

// ChangeMode is how a RegChange acts.
type ChangeMode string

const (
	// Replace sets the stops of the division afresh ("Gt 8' flutes").
	Replace ChangeMode = "replace"
	// Adjust draws and retires and leaves the rest ("+ reeds", "Sw to Gt").
	Adjust ChangeMode = "adjust"
)

// Apply returns what is drawn after the change. A general piston of the first eight is taken
// as set to the dynamic plan (see GeneralPiston).
func (c RegChange) Apply(o *Organ, r Registration) Registration {
	if c.General > 0 {
		r = o.GeneralPiston(c.General)
	}
	for _, d := range c.Reduce {
		r = o.reduced(r, d)
	}
	for _, d := range c.Afresh {
		r.Stops[d] = 0
	}
	return r.Without(c.Retire).With(c.Draw)
}

// GeneralPiston is what general piston n (from 1) is set to: the dynamic plan of every division with couplers, the first
// the softest mark and the last the loudest, spread over the marks. Zero where the organ has no such piston.
func (o *Organ) GeneralPiston(n int) Registration {
	if n < 1 || n > o.Pistons {
		return Registration{}
	}
	i := len(marks) - 1
	if o.Pistons > 1 {
		i = (n - 1) * (len(marks) - 1) / (o.Pistons - 1)
	}
	var by [MaxDivisions]string
	for d := range o.Divisions {
		by[d] = marks[i]
	}
	return o.Draw(by)
}

// ParseRegistration reads one line of registration as it stands in a score: "Gt 8' flutes", "Gt: Octave 4, Mixture IV",
// "+ reeds", "- mixtures", "Sw. box closed", "Sw to Gt", "Sw to Gt off", "Ped. 16, 8", "Soft Pedal 16", "Ped. reduce",
// "Ped. 16 8 (uncoupled)", "SW: Gamba 8", "General 3", "tremulant on", "Sw ff". Parts are parted by semicolons or commas; a division
// holds until another is named, a sign until a semicolon. A line that names stops of a division without + or - sets that
// division afresh. ok is true where everything was understood; what was and what was not is in Read and Unread.
func ParseRegistration(o *Organ, text string) (change RegChange, ok bool) {
	c := RegChange{Division: -1, Mode: Adjust}
	whole := text
	if len(text) > 1000 {
		text = text[:1000]
	}
	for _, clause := range strings.FieldsFunc(text, func(r rune) bool { return r == ';' || r == '\n' }) {
		sign := ""
		c.kind, c.absent = nil, false
		clause, c.soft = takeSoft(spelledOut(clause))
		for _, part := range splitRegistration(clause) {
			p := WithoutOpening(strings.TrimSpace(part))
			if mark, rest := leadingSign(p); mark != "" {
				sign, p = mark, withoutArticle(rest)
			}
			if p == "" {
				continue
			}
			if !c.part(o, p, &sign) {
				c.Unread = append(c.Unread, strings.TrimSpace(part))
			}
		}
	}
	if len(c.Read) == 0 && len(c.Unread) == 0 && strings.TrimSpace(whole) != "" {
		c.Unread = append(c.Unread, strings.TrimSpace(whole))
	}
	c.kind, c.absent, c.soft = nil, false, false
	return c, len(c.Unread) == 0 && len(c.Read) > 0
}

// afresh notes that the stops of the division in hand are set anew.
func (c *RegChange) afresh() {
	c.Mode = Replace
	if !slices.Contains(c.Afresh, c.Division) {
		c.Afresh = append(c.Afresh, c.Division)
	}
}

// signWords stand for + and -.
var signWords = []struct{ word, sign string }{
	{"+", "+"}, {"-", "-"}, {"−", "-"}, {"–", "-"},
	{"add ", "+"}, {"draw ", "+"}, {"plus ", "+"},
	{"off ", "-"}, {"retire ", "-"}, {"less ", "-"}, {"without ", "-"}, {"no ", "-"},
	{"ajoutez ", "+"}, {"ajouter ", "+"}, {"mettez ", "+"}, {"mettre ", "+"}, {"tirez ", "+"}, {"avec ", "+"}, {"mit ", "+"}, {"con ", "+"}, {"with ", "+"},
	{"aggiungere ", "+"}, {"aggiungi ", "+"}, {"hinzu ", "+"}, {"dazu ", "+"},
	{"ôtez ", "-"}, {"otez ", "-"}, {"ôter ", "-"}, {"retirez ", "-"}, {"supprimez ", "-"}, {"enlevez ", "-"}, {"sans ", "-"}, {"moins ", "-"}, {"ohne ", "-"}, {"senza ", "-"},
	{"via ", "-"}, {"togliere ", "-"}, {"togli ", "-"}, {"levare ", "-"}, {"abstoßen ", "-"},
}

// leadingSign finds +, - or a word for one at the head of p; mark is "" where there is none.
func leadingSign(p string) (mark, rest string) {
	p = strings.TrimSpace(p)
	for _, w := range signWords {
		if len(p) >= len(w.word) && strings.EqualFold(p[:len(w.word)], w.word) {
			return w.sign, strings.TrimSpace(p[len(w.word):])
		}
	}
	return "", p
}

// shiftWords are the ends of a coupler's name that move it by an octave, semitones.
var shiftWords = []struct {
	word  string
	shift int
}{{" sub-octave", -12}, {" sub", -12}, {" octave", 12}, {" super", 12}, {" 16'", -12}, {" 16", -12}, {" 4'", 12}, {" 4", 12}}

// splitRegistration cuts a clause at commas, brackets, " and ", "&" and before each " + ".
func splitRegistration(text string) []string {
	for _, sep := range []string{" & ", " and ", " und ", " et ", " e ", "(", ")", "[", "]"} {
		text = strings.ReplaceAll(text, sep, ",")
	}
	text = strings.ReplaceAll(text, " + ", ", +")
	text = strings.ReplaceAll(text, " - ", ", -")
	return strings.Split(text, ",")
}

// part reads one part of the line; false where it makes no sense.
func (c *RegChange) part(o *Organ, p string, sign *string) bool {
	if uncoupledWords[strings.Trim(strings.ToLower(p), " .")] && c.uncoupled(o, p, *sign) || c.piston(o, p) || c.coupler(o, p, *sign) || c.tremulant(o, p, *sign) {
		return true
	}
	if NamesPiston(p) { // its number is no length
		return false
	}
	if first, then, ok := markFirst(o, p); ok {
		return c.part(o, first, sign) && c.part(o, then, sign)
	}
	if mark, rest := closingSign(p); mark != "" {
		return c.part(o, rest, &mark)
	}
	rest := p
	d, r, found := leadingDivision(o, p)
	if !found {
		if q := divisionLast(o, p); q != p {
			d, r, found = leadingDivision(o, q)
		}
	}
	if found {
		c.Division, rest, c.absent, c.kind = d, r, false, nil
		if mark, after := leadingSign(rest); mark != "" {
			*sign, rest = mark, after
		}
		rest = WithoutOpening(rest)
		if movesNothing(rest) {
			if c.soft && *sign == "" { // "Soft Pedal"
				return c.mark(o, "p")
			}
			return true // the stops follow in the next part
		}
	}
	if c.absent = c.absent || absentDivision(o, rest); c.absent { // what follows is for keys that are not there
		return false
	}
	return c.uncoupled(o, rest, *sign) || c.coupled(o, rest, *sign) || c.reduce(o, rest) || c.box(o, rest) || c.tremulant(o, rest, *sign) || c.mark(o, rest) ||
		c.full(o, rest, *sign) || c.upTo(o, rest) || c.stops(o, rest, *sign)
}

// leadingDivision finds the longest name of a division at the head of p.
func leadingDivision(o *Organ, p string) (d int, rest string, ok bool) {
	words := strings.Fields(strings.ReplaceAll(p, ":", ": "))
	for n := min(3, len(words)); n > 0; n-- {
		name := strings.Join(words[:n], " ")
		if strings.HasPrefix(name, "8") || len(name) == 1 && strings.ContainsAny(name, "12345pr") {
			continue // a length, or a dynamic mark
		}
		if d, ok := o.DivisionByName(strings.TrimRight(name, ".: ")); ok {
			return d, strings.Join(words[n:], " "), true
		}
	}
	return 0, p, false
}

// uncoupled reads "uncoupled": every coupler of the division's keys in, or every coupler where none is named.
func (c *RegChange) uncoupled(o *Organ, p, sign string) bool {
	p = strings.Trim(strings.ToLower(p), " .")
	if !uncoupledWords[p] && !(sign == "-" && (p == "coupler" || p == "couplers")) {
		return false
	}
	for i, cp := range o.Couplers {
		if (c.Division < 0 || cp.From == c.Division && cp.To != c.Division) && !cp.Fixed {
			c.Retire.Couplers |= 1 << i
		}
	}
	c.Read = append(c.Read, "uncoupled")
	return true
}

// reduce reads "Ped. reduce".
func (c *RegChange) reduce(o *Organ, p string) bool {
	if c.Division < 0 || !reduceWords[strings.Trim(strings.ToLower(p), " .")] {
		return false
	}
	c.Reduce = append(c.Reduce, c.Division)
	c.Read = append(c.Read, o.Divisions[c.Division].Name+" reduced")
	return true
}

// absentDivision reports whether p begins with the usual name of a division that the organ lacks.
func absentDivision(o *Organ, p string) bool {
	words := strings.Fields(strings.ReplaceAll(p, ":", " "))
	if len(words) < 2 || len(words[0]) < 2 {
		return false
	}
	w := strings.Trim(words[0], ". ")
	if _, known := roleNames()[strings.ToLower(w)]; !known {
		return false
	}
	_, ok := o.DivisionByName(w)
	return !ok
}

var pistonWord = lazyregexp.New(`(?i)\b(pistons?|general|gen\.|combination|comb\.|setzer|kombination|combinaison|combinazione|combinatie)\s*(no\.?|nr\.?|n°)?\s*\d+\b`)

// NamesPiston reports whether words ask for a piston by its number, a general one or one of a division: "Sw. piston 1", "Gen. 3".
func NamesPiston(text string) bool { return pistonWord.MatchString(text) }

func (c *RegChange) piston(o *Organ, p string) bool {
	for _, w := range []string{"general piston", "general", "gen.", "piston"} {
		rest, found := strings.CutPrefix(strings.ToLower(p), w)
		if !found {
			continue
		}
		n := 0
		if _, err := fmt.Sscanf(strings.TrimSpace(rest), "%d", &n); err != nil || n < 1 || n > o.Pistons {
			return false
		}
		c.General = n
		c.Read = append(c.Read, fmt.Sprintf("general piston %d", n))
		return true
	}
	return false
}
