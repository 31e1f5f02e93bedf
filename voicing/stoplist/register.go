package stoplist

import (
	"fmt"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// registerHead heads a division as registers of organs print it: "Great   Key action: tracker   Stop action: me   Compass-low: C   Compass-high: g3
// Keys: 56   Enclosed".
var registerHead = lazyregexp.New(`(?i)^\s*(.+?)[\s|,;]+(?:key action[: ]+(\S+)[\s|,;]+)?(?:stop action[: ]+\S+[\s|,;]+)?compass[- ]low[: ]+(\S+)[\s|,;]+compass[- ]high[: ]+(\S+)(?:[\s|,;]+keys[: ]+(\d\d))?(.*)$`)

// registerActions are actions as registers shorten them.
var registerActions = map[string]string{"me": "mechanical", "tr": "tracker", "pn": "pneumatic", "tp": "tubular pneumatic", "ep": "electro-pneumatic", "el": "electric", "ba": "barker"}

// headedByRegister reads such a line.
func (r *reader) headedByRegister(line string) bool {
	m := registerHead.FindStringSubmatch(line)
	if m == nil {
		return false
	}
	d, ok := heading(m[1])
	if !ok {
		return false
	}
	if low, high, ok := keysOf(m[3], m[4], d.Pedal, atoi(m[5])); ok {
		d.LowKey, d.HighKey = low, high
	} else if n := atoi(m[5]); n > 0 && strings.EqualFold(m[3], "c") {
		d.LowKey, d.HighKey = 36, 35+n
	}
	rest := plain(m[6])
	d.Enclosed = d.Enclosed || strings.Contains(rest, "enclosed") && !strings.Contains(rest, "unenclosed")
	r.current, r.section, r.columns = r.open(d), inStops, nil
	r.say(IsHeading, r.headingText(r.current), "")
	action := strings.ToLower(strings.Trim(m[2], ".,;"))
	if long := registerActions[action]; long != "" {
		action = long
	}
	if kind := keyAction(action); kind != "" {
		if r.list.Facts.Action == "" {
			r.list.Facts.Action, r.list.Facts.ActionSaid = kind, actionSaid(action, kind)
		}
		r.say(IsFact, fmt.Sprintf("%s: %s action", r.list.Divisions[r.current].Name, kind), "")
	}
	return true
}
