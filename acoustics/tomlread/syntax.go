package tomlread

import (
	"fmt"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

var (
	curly    = lazyregexp.New(`[“”„‟«»‘’‚]`)
	comma    = lazyregexp.New(`=\s*([-+]?\d+),(\d+)\s*(?:[,}#]|$)`)
	unit     = lazyregexp.New(`=\s*([-+]?\d+(?:\.\d+)?)\s*(\p{L}[^,}#]*|%|°[^,}#]*)`)
	bare     = lazyregexp.New(`=\s*(\p{L}[^,}\]#]*)`)
	twoTimes = lazyregexp.New(`table (\S+) already exists as an array of tables`)
)

// faulty is what is wrong with a line that the decoder could not read: by the line itself where that tells, else by the decoder's message, which names a
// place and seldom the cause.
func faulty(message, line string) (why, do string) {
	line = strings.TrimSpace(line)
	unread := !strings.Contains(message, "already")
	if m := twoTimes.FindStringSubmatch(message); m != nil {
		return fmt.Sprintf("[%s] stands where there may be several", m[1]), fmt.Sprintf("write [[%s]], with two brackets", m[1])
	}
	if m := comma.FindStringSubmatch(line); m != nil && unread {
		return fmt.Sprintf("%s,%s has a comma", m[1], m[2]), fmt.Sprintf("write a point: %s.%s", m[1], m[2])
	}
	if unread && strings.Contains(message, "character") && curly.MatchString(line) {
		return "curly quotes stand where straight ones go", `write "…"`
	}
	if m := unit.FindStringSubmatch(line); m != nil && unread {
		return fmt.Sprintf("a number with %q behind it", strings.TrimSpace(m[2])), fmt.Sprintf("give the number alone, in the unit of the setting: %s", m[1])
	}
	if m := bare.FindStringSubmatch(line); m != nil && unread {
		return fmt.Sprintf("%q has no quotes", strings.TrimSpace(m[1])), "put text into quotes; what can be on or off is true or false, without"
	}
	for _, c := range []struct{ in, why, do string }{
		{"already defined", "", "keep one of them"},
		{"already exists", "", "keep one of them"},
		{"array", "", "values of a list stand between [ and ] with commas"},
		{"strings cannot have new lines", "a text has no end", "end it with the quote that it begins with, on the same line"},
		{"inline table", "", "what belongs together stands between { and } with commas, on one line"},
	} {
		if strings.Contains(message, c.in) {
			if c.why == "" {
				c.why = message
			}
			return c.why, c.do
		}
	}
	return message, "write one setting to a line, key = value: text in quotes, lists in [ ], a point in decimals, what is no setting after #"
}

// faultyLine is the line of data (row, from 1, and its column) on which what is wrong began: where a list's comma or bracket is missed at the beginning of a line, it is the last line before that says something.
func faultyLine(data []byte, row, column int, message string) (int, string) {
	lines := strings.Split(string(data), "\n")
	if row < 1 || row > len(lines) {
		return row, ""
	}
	if strings.Contains(message, "after array value") && column > 0 && strings.TrimSpace(lines[row-1][:min(column-1, len(lines[row-1]))]) == "" {
		for before := row - 1; before >= 1; before-- {
			if text := strings.TrimSpace(lines[before-1]); text != "" && text[0] != '#' {
				return before, ""
			}
		}
	}
	return row, lines[row-1]
}
