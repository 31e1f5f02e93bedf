package stoplist

import "strings"

// nothingVanishes lists a line as not understood that is one stop by its whole name and its length, stands among the stops, and was taken for prose: what
// is left out is said.
func (r *reader) nothingVanishes() {
	first, last := -1, -1
	for i := range r.list.Lines {
		for _, x := range r.list.Lines[i].Readings {
			if x.What == IsStop {
				if last = i; first < 0 {
					first = i
				}
			}
		}
	}
	for i := max(first, 0); i < last; i++ {
		line := &r.list.Lines[i]
		if len(line.Readings) != 1 || line.Readings[0].What != IsProse {
			continue
		}
		text := strings.TrimSpace(stripBullet(tidy(line.Text)))
		if len(strings.Fields(text)) > 6 {
			continue
		}
		if found, left := r.stopsIn(bareNumber.ReplaceAllStringFunc(text, withoutCount), false); len(found) == 1 && len(left) == 0 && found[0].how == exactly && found[0].printedFeet {
			line.Readings[0] = Reading{What: IsUnread, Text: text}
		}
	}
}
