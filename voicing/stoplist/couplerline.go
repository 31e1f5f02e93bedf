package stoplist

import (
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// waiting is a coupler or a tremulant, which is read when all divisions are known.
type waiting struct {
	line, reading int // indexes
	text          string
	division      int
}

var (
	atOctaves     = lazyregexp.New(`(?i) at (?:the )?octaves?\b`)
	octavePrefix  = lazyregexp.New(`^(?:octaves? (?:graves?|aigue?s?)|su[bp]er?[ -]?o[kc]tavkoppeln?)`)
	couplersLabel = lazyregexp.New(`^(?i)(koppeln|couplers|koppelingen|accouplements|unioni|kopplungen)\s*[:\-]\s*`)
)

// couplers reads a list of couplers: they wait until all divisions are known.
func (r *reader) couplers(text string) {
	low := plain(text)
	if r.tremulant(text, low) {
		return
	}
	text = strings.TrimSpace(couplersLabel.ReplaceAllString(text, ""))
	var pieces []string
	text = atOctaves.ReplaceAllString(strings.ReplaceAll(text, "koppel / ", "koppel, "), " octave")
	for _, sentence := range sentences(text) {
		from := len(pieces)
		for _, p := range splitList(sentence) {
			if len(pieces) > from && (refOf(p).known() && !isPair(p) || shiftMarks.MatchString(p) && stripShift(p) == "") {
				pieces[len(pieces)-1] += ", " + p // "Tirasses GO, Pos, Réc"; "Swell to Great 16, 8, 4"
				continue
			}
			pieces = append(pieces, p)
		}
	}
	extra := false
	octaves := ""
	for _, p := range pieces {
		p = strings.Trim(stripBullet(p), " .;")
		if p == "" {
			continue
		}
		if r.tremulant(p, plain(p)) {
			continue
		}
		if (isExtra(plain(p)) || extra) && !looksLikeCoupler(p) {
			extra = true
			r.say(IsExtra, "an accessory without pipes", "")
			continue
		}
		if m := octavePrefix.FindString(plain(p)); m != "" {
			octaves = m
		} else if octaves != "" && isPair(p) && len(shiftsOf(p)) == 1 && shiftsOf(p)[0] == 0 {
			p = octaves + " " + p // "Octaves graves GO, Réc/Pos"
		}
		r.say(IsCoupler, p, "")
		at := len(r.list.Lines) - 1
		r.waiting = append(r.waiting, waiting{at, len(r.list.Lines[at].Readings) - 1, p, r.current})
	}
}

// couplersAmong reads the couplers at the head of a list of accessories: "I-P, II-P, II-I, Fondi, Tutti".
func (r *reader) couplersAmong(text string) bool {
	parts := splitList(text)
	n := 0
	for n < len(parts) && isPair(parts[n]) {
		n++
	}
	if n == 0 {
		return false
	}
	r.couplers(strings.Join(parts[:n], ", "))
	if rest := strings.Join(parts[n:], ", "); rest != "" {
		r.other(rest, plain(rest), len(strings.Fields(rest)))
	}
	return true
}
