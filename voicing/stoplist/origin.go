package stoplist

import (
	"strings"

	"afterchord/acoustics/lazyregexp"
)

var (
	// pipesOfNumber names the stop whose pipes are drawn by its number in the list: "(ext. 28)", "from 5".
	pipesOfNumber = lazyregexp.New(`(?i)(?:^|[ (,])(?:ext(?:\.|ension|ended)?|from|derived|borrowed|of) ?(?:of |from )?(?:nos?\.? ?|#)?(\d{1,3})(?:$| ?[).;])`)
	// pipesOfName names it by its name: "(from Bourdon)", "(ext. Open Wood)".
	pipesOfName = lazyregexp.New(`(?i)[( ](?:ext(?:\.|ension|ended)?|from|derived|borrowed) ?(?:of |from )?(?:the )?(\pL[\pL .]{2,}?)(?: \d{1,2}(?:'|ft)?)?\)`)
	// numberAhead is the number of a stop in the list, before its name.
	numberAhead = lazyregexp.New(`(?:^|\s)(\d{1,3})(?:[.)]\s*|\s+)$`)
)

// kindOfOrigin gives the stops that are drawn from the pipes of another, which the list names by its number or its name, the kind of those pipes.
func (r *reader) kindOfOrigin() {
	l := r.list
	texts := map[int]string{}
	for _, line := range l.Lines {
		texts[line.Number] = strings.Join(strings.Fields(line.Text), " ")
	}
	byNumber, byName := map[int][]*Stop{}, map[string][]*Stop{}
	for i := range l.Divisions {
		for k := range l.Divisions[i].Stops {
			s := &l.Divisions[i].Stops[k]
			if n := numberInList(texts[s.Line], s); n > 0 {
				byNumber[n] = append(byNumber[n], s)
			}
			byName[fold(s.Name)] = append(byName[fold(s.Name)], s)
		}
	}
	for i := range l.Divisions {
		for k := range l.Divisions[i].Stops {
			s := &l.Divisions[i].Stops[k]
			if !s.Borrowed || s.unit != "" || s.Kind.Compound != "" || s.Kind.Celeste || s.resultant() != nil {
				continue
			}
			var origin *Stop
			if m := pipesOfNumber.FindStringSubmatch(s.Text); m != nil && len(byNumber[atoi(m[1])]) == 1 {
				origin = byNumber[atoi(m[1])][0]
			} else if m := pipesOfName.FindStringSubmatch(s.Text); m != nil {
				origin = oneKind(byName[fold(m[1])])
			}
			if origin == nil || origin == s || origin.Kind.Compound != "" || origin.Kind.Celeste {
				continue
			}
			was := l.stopText(i, s)
			s.Kind, s.Stopped = origin.Kind, origin.Stopped
			r.retell(s, was, l.stopText(i, s))
		}
	}
}

// numberInList is the number that stands before a stop in its line; 0 for none.
func numberInList(line string, s *Stop) int {
	at := strings.Index(line, strings.Join(strings.Fields(s.Text), " "))
	if at < 0 {
		at = strings.Index(plain(line), plain(s.Name))
	}
	if at < 0 || at > len(line) {
		return 0
	}
	if m := numberAhead.FindStringSubmatch(line[:at]); m != nil {
		return atoi(m[1])
	}
	return 0
}

// oneKind is the first of the stops of a name where all are of one kind of pipes; else nil.
func oneKind(stops []*Stop) *Stop {
	for _, s := range stops {
		if s.Kind.describe() != stops[0].Kind.describe() || s.Stopped != stops[0].Stopped {
			return nil
		}
	}
	if len(stops) == 0 {
		return nil
	}
	return stops[0]
}
