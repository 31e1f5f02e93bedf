package desk

import (
	"fmt"
	"strings"

	"afterchord/acoustics/lazyregexp"
	"afterchord/render/terms"
	"afterchord/voicing/stoplist"
)

var (
	// readStop is the reading of a stop: its division and name as printed, the ranks of a compound stop, its pipes, and from or up to which key.
	readStop = lazyregexp.New(`^(.+?)(?:, (\S+ ranks from [\d /]+))? \(([a-z -]+(?:, celeste)?)\)(?:, (.+))?$`)
	// readCoupler is the name that a coupler gets.
	readCoupler = lazyregexp.New(`^(.+?)( octave| sub-octave)?(?: to (.+))?$`)
	// readKeys is a compass.
	readKeys = lazyregexp.New(`^([A-G]#?\d)-([A-G]#?\d)$`)
	// readCount is a number of things in the words of the list: "12 kombinationen".
	readCount = lazyregexp.New(`^\d+ [\pL .'-]+$`)
	// quoted are words of the list; what an example adds to them is ours.
	quoted = lazyregexp.New(`"([^"]*?)((?: Flute| Trumpet)(?: [^"]*)?)?"`)
)

// standIns stand for words of the list while a sentence is put into a language: they may have any shape.
var standIns = []string{"①", "②", "③", "④", "⑤", "⑥"}

// listSaying says what was read of a stop list in a language; the names in it stay as they are printed.
type listSaying struct {
	*terms.Language
	line  string // as printed
	whole bool   // the tables had all that was asked for
}

// sayList are the texts of a stop list as it was read, its questions and what was assumed too, in a language: those that its tables have; none
// in English.
func sayList(l *terms.Language, list *stoplist.List) map[string]string {
	if l == nil {
		return nil
	}
	out := map[string]string{}
	printed := ""
	put := func(text string, say func(*listSaying, string) string) {
		s := listSaying{l, printed, true}
		if said := say(&s, text); s.whole && text != "" {
			out[text] = said
		}
	}
	for _, line := range list.Lines {
		printed = line.Text
		for _, x := range line.Readings {
			put(x.Ask, (*listSaying).remarks)
			switch x.What {
			case stoplist.IsUnread:
			case stoplist.IsStop:
				put(x.Text, (*listSaying).stop)
			case stoplist.IsHeading:
				put(x.Text, (*listSaying).heading)
			case stoplist.IsCoupler:
				put(x.Text, (*listSaying).couplers)
			default:
				put(x.Text, (*listSaying).facts)
			}
		}
	}
	for _, text := range append(list.Doubts(), list.Supposed()...) {
		put(text, (*listSaying).remarks)
	}
	return out
}

// say is a text of the tables.
func (s *listSaying) say(text string) string {
	said, ok := s.Say(text)
	s.whole = s.whole && ok
	return said
}

// form is a text of the tables with words of the list put in.
func (s *listSaying) form(format string, printed ...string) string {
	var swap []string
	args := make([]any, len(printed))
	for i, p := range printed {
		args[i], swap = standIns[i], append(swap, standIns[i], p)
	}
	return strings.NewReplacer(swap...).Replace(s.say(fmt.Sprintf(format, args...)))
}

func (s *listSaying) stop(text string) string {
	m := readStop.FindStringSubmatch(text)
	if m == nil {
		s.whole = false
		return text
	}
	said := m[1]
	if m[2] != "" {
		said += ", " + s.say(m[2])
	}
	if said += " (" + s.say(m[3]) + ")"; m[4] != "" {
		said += ", " + s.say(m[4])
	}
	return said
}

func (s *listSaying) heading(text string) string {
	name, rest, more := strings.Cut(text, ", ")
	if !more {
		return name
	}
	return name + ", " + s.facts(rest)
}

// couplers are the names of couplers: "Swell to Great, Swell octave".
func (s *listSaying) couplers(text string) string {
	var out []string
	for _, name := range strings.Split(text, ", ") {
		m := readCoupler.FindStringSubmatch(name)
		switch {
		case m[2] == "" && m[3] == "": // "nothing that sounds"
			out = append(out, s.say(name))
		case m[3] == "":
			out = append(out, s.form("coupler of %s"+m[2], m[1]))
		default:
			out = append(out, s.form("coupler from %s"+m[2]+" to %s", m[1], m[3]))
		}
	}
	return strings.Join(out, ", ")
}

// facts are what the list says of a division or the whole organ; a sentence among them may have a comma.
func (s *listSaying) facts(text string) string {
	if said, ok := s.fact(text); ok {
		return said
	}
	for i := strings.LastIndex(text, ", "); i > 0; i = strings.LastIndex(text[:i], ", ") {
		if first, ok := s.fact(text[:i]); ok {
			return first + ", " + s.facts(text[i+2:])
		}
	}
	if name, rest, ok := strings.Cut(text, ": "); ok {
		return name + ": " + s.facts(rest)
	}
	s.whole = false
	return text
}

func (s *listSaying) fact(text string) (string, bool) {
	if m := readKeys.FindStringSubmatch(text); m != nil {
		return s.Key(m[1]) + "–" + s.Key(m[2]), true
	}
	if said, ok := s.Say(text); ok {
		return said, true
	}
	return text, readCount.MatchString(text) || strings.Contains(s.line, text) // in the list's own words
}

// remarks are what was assumed, and questions, "; " between them.
func (s *listSaying) remarks(text string) string {
	one := &listSaying{s.Language, s.line, true}
	if said := one.remark(text); one.whole {
		return said
	}
	if first, rest, more := strings.Cut(text, "; "); more {
		return s.remark(first) + "; " + s.remarks(rest)
	}
	s.whole = false
	return text
}

func (s *listSaying) remark(text string) string {
	var printed []string
	format := quoted.ReplaceAllStringFunc(strings.ReplaceAll(text, "%", "%%"), func(q string) string {
		m := quoted.FindStringSubmatch(q)
		if len(printed) == len(standIns) {
			return q
		}
		printed = append(printed, m[1])
		return `"%s` + m[2] + `"`
	})
	if head, names, ok := strings.Cut(format, " (they are "); ok { // the divisions that there are
		if names, tail, ok := strings.Cut(names, "): "); ok && len(printed) < len(standIns) {
			at := strings.Count(head, "%s")
			printed = append(printed[:at:at], append([]string{names}, printed[at:]...)...)
			format = head + " (they are %s): " + tail
		}
	}
	return s.form(format, printed...)
}
