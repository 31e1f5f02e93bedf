package musicxml

import (
	"fmt"
	"strings"
	"testing"

	"afterchord/sim/performance"
	"afterchord/sim/score"
	"afterchord/voicing"

	"github.com/stretchr/testify/require"
)

// notes writes a line of one staff and voice in quavers: "C5:2 E5+G5:4 r:2 <words>Sw.</words> D5:8". A token in brackets of
// XML is a direction at that place; "C5:2{<tie type=…/>}" adds to the note.
func notes(staff, voice int, line string) string {
	var out strings.Builder
	total := 0
	for _, tok := range tokens(line) {
		if strings.HasPrefix(tok, "<") {
			if !strings.HasPrefix(tok, "<direction") {
				tok = `<direction><direction-type>` + tok + `</direction-type>` + fmt.Sprintf(`<staff>%d</staff>`, staff) + `</direction>`
			}
			out.WriteString(tok)
			continue
		}
		tok, more, _ := strings.Cut(strings.TrimSuffix(tok, "}"), "{")
		names, length, _ := strings.Cut(tok, ":")
		at := staff
		if n, other, moved := strings.Cut(length, "/"); moved { // "C4:2/2": on another staff
			length = n
			fmt.Sscan(other, &at)
		}
		var d int
		fmt.Sscan(length, &d)
		total += d
		for i, name := range strings.Split(names, "+") {
			chord := ""
			if i > 0 {
				chord = "<chord/>"
			}
			what := "<rest/>"
			if name != "r" {
				alter := ""
				if strings.Contains(name, "b") {
					alter = "<alter>-1</alter>"
				}
				what = fmt.Sprintf("<pitch><step>%s</step>%s<octave>%s</octave></pitch>", name[:1], alter, name[len(name)-1:])
			}
			before, after := "", more
			if strings.HasPrefix(more, "<cue/>") {
				before, after = "<cue/>", more[len("<cue/>"):]
			}
			tie, rest := "", after
			if strings.HasPrefix(after, "<tie") {
				end := strings.Index(after, "/>") + 2
				tie, rest = after[:end], after[end:]
			}
			fmt.Fprintf(&out, "<note>%s%s%s<duration>%d</duration>%s<voice>%d</voice><staff>%d</staff>%s</note>", before, chord, what, d, tie, voice, at, rest)
		}
	}
	fmt.Fprintf(&out, "<backup><duration>%d</duration></backup>", total)
	return out.String()
}

// tokens splits a line at spaces outside of XML and braces.
func tokens(line string) (out []string) {
	depth, start := 0, 0
	flush := func(to int) {
		if t := strings.TrimSpace(line[start:to]); t != "" {
			out = append(out, t)
		}
		start = to
	}
	inTag := false
	for i, c := range line {
		switch {
		case c == '{':
			depth++
		case c == '}':
			depth--
		case depth > 0:
		case c == '<' && !inTag && strings.TrimSpace(line[start:i]) == "":
			inTag = true
		case c == ' ' && !inTag:
			flush(i)
		case c == '|' && inTag: // ends a direction
			out = append(out, strings.TrimSpace(line[start:i]))
			start, inTag = i+1, false
		}
	}
	flush(len(line))
	return out
}

// organPart is a part of so many staves from its bars; the first has the time signature.
func organPart(id, name string, staves int, metre string, bars ...string) (list, body string) {
	beats, unit, _ := strings.Cut(metre, "/")
	list = fmt.Sprintf(`<score-part id="%s"><part-name>%s</part-name></score-part>`, id, name)
	for i, b := range bars {
		attr := ""
		if i == 0 {
			attr = fmt.Sprintf(`<attributes><divisions>2</divisions><time><beats>%s</beats><beat-type>%s</beat-type></time><staves>%d</staves></attributes>`, beats, unit, staves)
		}
		body += fmt.Sprintf(`<measure number="%d">%s%s</measure>`, i+1, attr, b)
	}
	return list, fmt.Sprintf(`<part id="%s">%s</part>`, id, body)
}

func organScore(parts ...[2]string) []byte {
	list, body := "", ""
	for _, p := range parts {
		list, body = list+p[0], body+p[1]
	}
	return []byte(`<score-partwise version="4.0"><part-list>` + list + `</part-list>` + body + `</score-partwise>`)
}

// played is every key with its division, its beginning and its length in crotchets of the score: "Gt C5@0:1".
func played(t *testing.T, s *score.Score) string {
	t.Helper()
	o, ok := voicing.BuiltIn("minster")
	require.True(t, ok)
	p, err := performance.Build(s, o, performance.Options{})
	require.NoError(t, err)
	var out []string
	for _, n := range p.Notes {
		x := s.Notes[n.Score]
		q := float64(s.TicksPerCrotchet)
		out = append(out, fmt.Sprintf("%s %s@%.4g:%.4g", o.Divisions[n.Division].Name[:2], score.KeyName(n.Key), float64(x.On)/q, float64(x.Off-x.On)/q))
	}
	return strings.Join(out, "; ")
}

// marks are the dynamics and hairpins by part, and the speeds.
func marks(s *score.Score) string {
	var out []string
	for _, w := range s.Words {
		if w.Kind == score.Mark || w.Kind == score.Hairpin {
			out = append(out, fmt.Sprintf("%s@%.4g on %d", w.Text, float64(w.At)/float64(s.TicksPerCrotchet), w.Part))
		}
	}
	for _, x := range s.Tempos {
		if !x.Follows || len(s.Tempos) <= 4 {
			out = append(out, fmt.Sprintf("%.4g a minute@%.4g", x.Crotchets, float64(x.At)/float64(s.TicksPerCrotchet)))
		}
	}
	return strings.Join(out, "; ")
}
