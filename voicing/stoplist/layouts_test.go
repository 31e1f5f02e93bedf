package stoplist

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"afterchord/voicing"
)

// asks are what a layout prints and can be asked for.
type asks struct{ feet, compass bool }

// layout is a way in which lists are printed; what is not set is as in a plain list: a heading, a stop a line, then the couplers in words.
type layout struct {
	name string
	asks asks
	stop func(p *sheet, n int, s sheetStop) string
	head func(p *sheet, d sheetDivision) string
	body func(p *sheet, l layout) string
	tail func(p *sheet) string
	pair func(p *sheet, c sheetCoupler) string
	text func(string) string
}

func (l layout) print(p sheet) string {
	if l.stop == nil {
		l.stop = func(p *sheet, _ int, s sheetStop) string { return s.with("'", p) }
	}
	if l.head == nil {
		l.head = func(_ *sheet, d sheetDivision) string { return d.name }
	}
	if l.body == nil {
		l.body = lines("\n", "\n", "\n\n")
	}
	if l.pair == nil {
		l.pair = inWords
	}
	if l.tail == nil {
		l.tail = func(p *sheet) string { return behind(p, l.pair, p.words.couplers+"\n", "\n", "\n") }
	}
	text := l.body(&p, l) + l.tail(&p)
	if l.text != nil {
		text = l.text(text)
	}
	return text
}

var romans = []string{"", "I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI", "XII"}

// size is the length with a sign behind it, or the number of ranks.
func (s sheetStop) size(sign string) string {
	if s.ranks > 0 {
		return romans[min(s.ranks, 12)]
	}
	return voicing.FeetText(s.feet) + sign
}

func (s sheetStop) full(p *sheet) string {
	if half := p.words.halves[s.half]; half != "" {
		return s.name + " " + half
	}
	return s.name
}

func (s sheetStop) with(sign string, p *sheet) string { return s.full(p) + " " + s.size(sign) }

// inSize prints a stop with a sign behind its length.
func inSize(sign string) func(*sheet, int, sheetStop) string {
	return func(p *sheet, _ int, s sheetStop) string { return s.with(sign, p) }
}

// compound prints compound stops with ranks and length, others as in plain lists.
func compound(print func(p *sheet, s sheetStop, feet string) string) func(*sheet, int, sheetStop) string {
	return func(p *sheet, _ int, s sheetStop) string {
		if s.ranks == 0 {
			return s.with("'", p)
		}
		return print(p, s, voicing.FeetText(s.feet))
	}
}

// counted puts a number before each stop.
func counted(form string) func(*sheet, int, sheetStop) string {
	return func(p *sheet, n int, s sheetStop) string { return fmt.Sprintf(form, n) + s.with("'", p) }
}

func bulleted(sign string) func(*sheet, int, sheetStop) string {
	return func(p *sheet, _ int, s sheetStop) string { return sign + s.with("'", p) }
}

// items are the stops of a division, and its tremulant.
func items(p *sheet, l layout, n *int, d sheetDivision) []string {
	var out []string
	for _, s := range d.stops {
		*n++
		out = append(out, l.stop(p, *n, s))
	}
	if d.tremulant {
		out = append(out, p.words.tremulant)
	}
	return out
}

func lines(behindHead, between, after string) func(*sheet, layout) string {
	return func(p *sheet, l layout) string {
		var b strings.Builder
		n := 0
		for _, d := range p.divisions {
			b.WriteString(l.head(p, d) + behindHead + strings.Join(items(p, l, &n, d), between) + after)
		}
		return b.String()
	}
}

// inWords is a coupler as it is said; the octaves stand ahead or behind the division that sounds.
func inWords(p *sheet, c sheetCoupler) string {
	sounds, octave := p.divisions[c.sounds].name, p.words.octaves[c.shift]
	if p.words.unitBefore {
		if octave != "" && p.lang == "it" {
			return octave + sounds + " al " + p.divisions[c.keys].name
		}
		return octave + p.words.coupler(sounds, p.divisions[c.keys].name, p.divisions[c.keys].pedal && octave == "")
	}
	return p.words.coupler(sounds+octave, p.divisions[c.keys].name, false)
}

// numeral is a division in the short couplers of lists.
func numeral(d sheetDivision) string {
	if d.pedal {
		return "P"
	}
	return romans[d.number]
}

func pairWith(sign string) func(*sheet, sheetCoupler) string {
	return func(p *sheet, c sheetCoupler) string {
		return map[int]string{12: "Super ", -12: "Sub "}[c.shift] + numeral(p.divisions[c.sounds]) + sign + numeral(p.divisions[c.keys])
	}
}

func byNames(p *sheet, c sheetCoupler) string {
	return map[int]string{12: "Super ", -12: "Sub "}[c.shift] + p.divisions[c.sounds].name + "/" + p.divisions[c.keys].name
}

// behind prints couplers and facts.
func behind(p *sheet, pair func(*sheet, sheetCoupler) string, head, between, end string) string {
	var out string
	if len(p.couplers) > 0 {
		var parts []string
		for _, c := range p.couplers {
			parts = append(parts, pair(p, c))
		}
		out = head + strings.Join(parts, between) + end
	}
	if a := p.facts["action"]; a != "" {
		out += p.words.action + ": " + a + end
	}
	if a := p.facts["pitch"]; a != "" {
		out += p.words.pitch + ": " + a + end
	}
	return out
}

func headNumbered(p *sheet, d sheetDivision) string {
	if d.unnumbered() {
		return d.name
	}
	return romans[d.number] + ". " + d.name
}

// unnumbered tells whether a heading has no number before its name: that of the pedal, or one whose name is its number.
func (d sheetDivision) unnumbered() bool { return d.pedal || d.role == "" }

func hasCompass(d sheetDivision) bool { return d.high > 0 && d.low == 36 }

func upper(s string) string { return strings.ToUpper(s) }

// grid are the divisions side by side, each with so many cells to a row; a row of headings first. At most so many divisions stand beside each other; 0 for all.
func grid(p *sheet, l layout, most, each int, cell func(p *sheet, s sheetStop) []string) [][][]string {
	if most == 0 {
		most = len(p.divisions)
	}
	var out [][][]string
	for divisions := range slices.Chunk(p.divisions, most) {
		var head []string
		for _, d := range divisions {
			head = append(append(head, l.head(p, d)), make([]string, each-1)...)
		}
		rows := [][]string{head}
		for i, any := 0, true; any; i++ {
			var row []string
			any = false
			for _, d := range divisions {
				c := make([]string, each)
				switch {
				case i < len(d.stops):
					c = cell(p, d.stops[i])
				case i == len(d.stops) && d.tremulant:
					c[0] = p.words.tremulant
				default:
					row = append(row, c...)
					continue
				}
				row, any = append(row, c...), true
			}
			if any {
				rows = append(rows, row)
			}
		}
		out = append(out, rows)
	}
	return out
}

func oneCell(p *sheet, s sheetStop) []string  { return []string{s.with("'", p)} }
func twoCells(p *sheet, s sheetStop) []string { return []string{s.full(p), s.size("'")} }
func sizeAhead(p *sheet, s sheetStop) []string {
	return []string{s.size("'"), s.full(p)}
}

// padded are columns that spaces keep apart, at least so many.
func padded(most, each, least int, cell func(*sheet, sheetStop) []string) func(*sheet, layout) string {
	return func(p *sheet, l layout) string {
		var b strings.Builder
		for _, rows := range grid(p, l, most, each, cell) {
			width := make([]int, len(rows[0]))
			for _, row := range rows[min(1, each-1):] { // a heading is wider than the column of lengths beside it
				for i, c := range row {
					width[i] = max(width[i], len([]rune(c))+least)
				}
			}
			for k, row := range rows {
				line := ""
				for i := 0; i < len(row); i += each {
					at := len([]rune(line))
					full := 0
					for j := range each {
						full += width[i+j]
						line += row[i+j]
						if k > 0 || j == each-1 {
							line += strings.Repeat(" ", max(0, at+full-len([]rune(line))))
						}
					}
				}
				b.WriteString(strings.TrimRight(line, " ") + "\n")
			}
			b.WriteString("\n")
		}
		return b.String()
	}
}

// ragged are columns whose places were lost in part: a few spaces between cells, whatever the width.
func ragged(p *sheet, l layout) string {
	var b strings.Builder
	for _, rows := range grid(p, l, 2, 1, oneCell) {
		for k, row := range rows {
			line := row[0]
			if len(row) > 1 && row[1] != "" {
				line += strings.Repeat(" ", max(4+k%3, 30+k%4-len([]rune(line)))) + row[1]
			}
			b.WriteString(line + "\n")
		}
		b.WriteString("\n")
	}
	return b.String()
}

// separated are rows with a sign between their cells.
func separated(most, each int, cell func(*sheet, sheetStop) []string, first, between, last, underHead string) func(*sheet, layout) string {
	return func(p *sheet, l layout) string {
		var b strings.Builder
		for _, rows := range grid(p, l, most, each, cell) {
			for k, row := range rows {
				b.WriteString(first + strings.Join(row, between) + last + "\n")
				if k == 0 && underHead != "" {
					b.WriteString(strings.Replace(underHead, "*", strings.Repeat("---|", len(row)), 1) + "\n")
				}
			}
			b.WriteString("\n")
		}
		return b.String()
	}
}

// wikiTable is the mark-up of an encyclopaedia: a table with the divisions side by side.
func wikiTable(p *sheet, l layout) string {
	var b strings.Builder
	for _, rows := range grid(p, l, 0, 1, oneCell) {
		b.WriteString("{| class=\"wikitable\"\n! " + strings.Join(rows[0], " !! ") + "\n")
		for _, row := range rows[1:] {
			b.WriteString("|-\n| " + strings.Join(row, " || ") + "\n")
		}
		b.WriteString("|}\n")
	}
	return b.String()
}

// wikiNested is a table of tables, one to each division.
func wikiNested(p *sheet, l layout) string {
	var b strings.Builder
	b.WriteString("{| border=\"0\" cellspacing=\"0\" cellpadding=\"20\" style=\"border-collapse:collapse;\"\n|-\n")
	n := 0
	for _, d := range p.divisions {
		compass := ""
		if hasCompass(d) {
			compass = " " + p.words.compass(d.low, d.high)
		}
		fmt.Fprintf(&b, "| style=\"vertical-align:top\" |\n{| border=\"0\"\n| colspan=\"3\" | '''%s'''%s\n----\n", headNumbered(p, d), compass)
		for _, s := range d.stops {
			n++
			fmt.Fprintf(&b, "|-\n| %d. || %s || %s\n", n, s.full(p), s.size("′"))
		}
		if d.tremulant {
			fmt.Fprintf(&b, "|-\n| || ''%s''\n", p.words.tremulant)
		}
		b.WriteString("|}\n")
	}
	return b.String() + "|}\n"
}

// wikiStars are the stops of a division as the items of a list.
func wikiStars(p *sheet, l layout) string {
	var b strings.Builder
	n := 0
	for _, d := range p.divisions {
		b.WriteString("=== " + l.head(p, d) + " ===\n")
		for _, s := range items(p, l, &n, d) {
			b.WriteString("* " + s + "\n")
		}
	}
	return b.String()
}

// cellsDown has a cell a line.
func cellsDown(most int, cell func(*sheet, sheetStop) []string) func(*sheet, layout) string {
	return func(p *sheet, l layout) string {
		var b strings.Builder
		for _, rows := range grid(p, l, most, len(cell(p, p.divisions[0].stops[0])), cell) {
			for k, row := range rows {
				for _, c := range row {
					if k > 0 || c != "" {
						b.WriteString(c + "\n")
					}
				}
			}
			b.WriteString("\n")
		}
		return b.String()
	}
}

// couplersBeside are the couplers in the last column of a table.
func couplersBeside(p *sheet, l layout) string {
	rows := grid(p, l, 0, 1, oneCell)[0]
	column := []string{p.words.couplers}
	for _, c := range p.couplers {
		column = append(column, pairWith("/")(p, c))
	}
	if len(p.couplers) == 0 {
		column = nil
	}
	var b strings.Builder
	for i := range max(len(rows), len(column)) {
		line := ""
		row := make([]string, len(rows[0]))
		if i < len(rows) {
			row = rows[i]
		}
		if i < len(column) {
			row = append(slices.Clone(row), column[i])
		}
		for _, c := range row {
			line += c + strings.Repeat(" ", max(3, 34-len([]rune(c))))
		}
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	return b.String()
}

// couplersBetween has the couplers of a division behind its stops.
func couplersBetween(p *sheet, l layout) string {
	var b strings.Builder
	n := 0
	for i, d := range p.divisions {
		b.WriteString(l.head(p, d) + "\n" + strings.Join(items(p, l, &n, d), "\n") + "\n")
		for _, c := range p.couplers {
			if c.keys == i {
				b.WriteString(l.pair(p, c) + "\n")
			}
		}
		b.WriteString("\n")
	}
	return b.String()
}

func onlyFacts(p *sheet) string {
	q := *p
	q.couplers = nil
	return behind(&q, inWords, "", "", "\n")
}

// pedalFirst changes the order of the divisions: the pedal, then the manuals.
func pedalFirst(p *sheet, l layout) string {
	q := *p
	q.divisions = slices.Clone(p.divisions)
	slices.SortStableFunc(q.divisions, func(a, b sheetDivision) int {
		return map[bool]int{true: 0, false: 1}[a.pedal] - map[bool]int{true: 0, false: 1}[b.pedal]
	})
	return lines("\n", "\n", "\n\n")(&q, l)
}

// inARow is the end of a list in one line.
func inARow(pair func(*sheet, sheetCoupler) string) func(p *sheet) string {
	return func(p *sheet) string { return behind(p, pair, p.words.couplers+": ", ", ", ". ") }
}

func replacing(pairs ...string) func(string) string { return strings.NewReplacer(pairs...).Replace }

var withinWord = regexp.MustCompile(`(\pL{4})(\pL{3})`)

func fullWidth(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' {
			return r - '0' + '０'
		}
		return r
	}, s)
}

func underlined(sign string) func(*sheet, sheetDivision) string {
	return func(_ *sheet, d sheetDivision) string {
		return d.name + "\n" + strings.Repeat(sign, len([]rune(d.name)))
	}
}

func smallHeads(s string) string { return strings.ToLower(s) }

// titleCase is how phones and word processors begin each word.
func titleCase(s string) string {
	before := ' '
	return strings.Map(func(r rune) rune {
		b := before
		before = r
		if b == ' ' || b == '\n' {
			return unicode.ToUpper(r)
		}
		return r
	}, s)
}

var layouts = []layout{
	{name: "8'"},
	{name: "8 ft, 8 Fuß, 8 pieds", stop: func(p *sheet, _ int, s sheetStop) string { return s.with(p.words.feet[0], p) }},
	{name: "8ft, 8 Fuss, 8 p., 8 vt", stop: func(p *sheet, _ int, s sheetStop) string { return s.with(p.words.feet[1], p) }},
	{name: "8", stop: inSize("")},
	{name: "8′", stop: inSize("′")},
	{name: "8’", stop: inSize("’")},
	{name: "8´", stop: inSize("´")},
	{name: "8 '", stop: inSize(" '")},
	{name: "dots", stop: func(p *sheet, _ int, s sheetStop) string { return s.full(p) + " ............ " + s.size("'") }},
	{name: "dots, right-aligned", stop: func(p *sheet, _ int, s sheetStop) string {
		return s.full(p) + strings.Repeat(".", max(5, 40-len([]rune(s.full(p))))) + s.size("")
	}},
	{name: "spaces", stop: func(p *sheet, _ int, s sheetStop) string { return fmt.Sprintf("%-30s%5s", s.full(p), s.size("'")) }},
	{name: "spaces, bare", stop: func(p *sheet, _ int, s sheetStop) string { return fmt.Sprintf("%-30s%s", s.full(p), s.size("")) }},
	{name: "tab", stop: func(p *sheet, _ int, s sheetStop) string { return s.full(p) + "\t" + s.size("'") }},
	{name: "tab, bare", stop: func(p *sheet, _ int, s sheetStop) string { return s.full(p) + "\t" + s.size("") }},
	{name: "comma before length", stop: func(p *sheet, _ int, s sheetStop) string { return s.full(p) + ", " + s.size("'") }},
	{name: "length in brackets", stop: func(p *sheet, _ int, s sheetStop) string { return s.full(p) + " (" + s.size("'") + ")" }},
	{name: "dash before length", stop: func(p *sheet, _ int, s sheetStop) string { return s.full(p) + " – " + s.size("'") }},
	{name: "length first", stop: func(p *sheet, _ int, s sheetStop) string { return s.size("'") + " " + s.full(p) }},
	{name: "length first, bare", stop: func(p *sheet, _ int, s sheetStop) string { return s.size("") + " " + s.full(p) }},
	{name: "length first, tab", stop: func(p *sheet, _ int, s sheetStop) string { return s.size("'") + "\t" + s.full(p) }},
	{name: "1.", stop: counted("%d. ")},
	{name: "1)", stop: counted("%d) ")},
	{name: "1", stop: counted("%d ")},
	{name: "1 bare", stop: func(p *sheet, n int, s sheetStop) string { return fmt.Sprintf("%d %s", n, s.with("", p)) }},
	{name: "1 tab", stop: func(p *sheet, n int, s sheetStop) string {
		return fmt.Sprintf("%d\t%s\t%s", n, s.full(p), s.size("'"))
	}},
	{name: "1. right-aligned", stop: func(p *sheet, n int, s sheetStop) string { return fmt.Sprintf("%3d. %s", n, s.with("'", p)) }},
	{name: "- bullet", stop: bulleted("- ")},
	{name: "• bullet", stop: bulleted("• ")},
	{name: "* bullet", stop: bulleted("* ")},
	{name: "– bullet", stop: bulleted("– ")},
	{name: "CAPITALS", text: upper},
	{name: "lower case", text: smallHeads},
	{name: "Title Case", text: titleCase},
	{name: "head:", head: func(_ *sheet, d sheetDivision) string { return d.name + ":" }},
	{name: "HEAD", head: func(_ *sheet, d sheetDivision) string { return upper(d.name) }},
	{name: "head ====", head: underlined("=")},
	{name: "head ----", head: underlined("-")},
	{name: "**head**", head: func(_ *sheet, d sheetDivision) string { return "**" + d.name + "**" }},
	{name: "## head", head: func(_ *sheet, d sheetDivision) string { return "## " + d.name }, stop: bulleted("- ")},
	{name: "I. head", head: headNumbered},
	{name: "I head", head: func(p *sheet, d sheetDivision) string { return strings.Replace(headNumbered(p, d), ".", "", 1) }},
	{name: "head (I)", head: func(p *sheet, d sheetDivision) string {
		if d.unnumbered() {
			return d.name
		}
		return d.name + " (" + romans[d.number] + ")"
	}},
	{name: "I. Manual: head", head: func(p *sheet, d sheetDivision) string {
		if d.unnumbered() {
			return d.name
		}
		return romans[d.number] + ". " + p.words.manual + " – " + d.name
	}},
	{name: "head C-g", asks: asks{compass: true}, head: func(p *sheet, d sheetDivision) string {
		if hasCompass(d) {
			return d.name + " " + p.words.compass(d.low, d.high)
		}
		return d.name
	}},
	{name: "I head (C-g)", asks: asks{compass: true}, head: func(p *sheet, d sheetDivision) string {
		h := strings.Replace(headNumbered(p, d), ".", "", 1)
		if hasCompass(d) {
			return h + " (" + p.words.compass(d.low, d.high) + ")"
		}
		return h
	}},
	{name: "head (8 stops)", head: func(p *sheet, d sheetDivision) string {
		return d.name + " (" + fmt.Sprintf(p.words.stops, len(d.stops)) + ")"
	}},
	{name: "HEAD, 8 stops:", head: func(p *sheet, d sheetDivision) string {
		return upper(d.name) + ", " + fmt.Sprintf(p.words.stops, len(d.stops)) + ":"
	}},
	{name: "two columns", body: padded(2, 1, 4, oneCell)},
	{name: "three columns", body: padded(3, 1, 4, oneCell)},
	{name: "four columns, narrow", body: padded(4, 1, 3, oneCell)},
	{name: "all columns, length first", body: padded(0, 2, 2, sizeAhead)},
	{name: "columns, lengths apart", body: padded(0, 2, 3, twoCells)},
	{name: "columns, ragged", body: ragged},
	{name: "columns by tabs", body: separated(0, 1, oneCell, "", "\t", "", "")},
	{name: "columns by tabs, lengths apart", body: separated(0, 2, twoCells, "", "\t", "", "")},
	{name: "columns by tabs, length first", body: separated(0, 2, sizeAhead, "", "\t", "", "")},
	{name: "markdown table", body: separated(0, 1, oneCell, "| ", " | ", " |", "|*")},
	{name: "markdown, lengths apart", body: separated(0, 2, twoCells, "| ", " | ", " |", "|*")},
	{name: "bars", body: separated(0, 1, oneCell, "", " | ", "", "")},
	{name: "wiki table", body: wikiTable},
	{name: "wiki table of tables", body: wikiNested, pair: pairWith("/"), asks: asks{compass: true}},
	{name: "wiki stars", body: wikiStars},
	{name: "csv", body: separated(0, 2, twoCells, "", ";", "", "")},
	{name: "a cell a line", body: cellsDown(1, twoCells)},
	{name: "a cell a line, length first", body: cellsDown(1, sizeAhead)},
	{name: "a cell a line, beside", body: cellsDown(2, twoCells)},
	{name: "Head: a, b", body: lines(": ", ", ", ".\n"), tail: inARow(inWords)},
	{name: "Head: a; b", body: lines(": ", "; ", ".\n"), tail: inARow(inWords)},
	{name: "Head: a – b", body: lines(": ", " – ", "\n"), tail: inARow(pairWith("/"))},
	{name: "Head: a / b", body: lines(": ", " / ", "\n"), tail: inARow(inWords)},
	{name: "Head, below a, b", body: lines("\n", ", ", "\n\n"), tail: inARow(inWords)},
	{name: "Head, below a b", body: lines("\n", " ", "\n\n"), tail: inARow(inWords)},
	{name: "Head: 8 a, b", body: lines(": ", ", ", "\n"), stop: inSize(""), tail: inARow(inWords)},
	{name: "Head (8 stops): a, b", head: func(p *sheet, d sheetDivision) string {
		return d.name + " (" + fmt.Sprintf(p.words.stops, len(d.stops)) + ")"
	}, body: lines(": ", ", ", "\n"), tail: inARow(inWords)},
	{name: "Mixture IV 1 1/3'", asks: asks{feet: true}, stop: compound(func(p *sheet, s sheetStop, feet string) string {
		return s.full(p) + " " + s.size("") + " " + feet + "'"
	})},
	{name: "Mixture 1 1/3' IV", asks: asks{feet: true}, stop: compound(func(p *sheet, s sheetStop, feet string) string {
		return s.full(p) + " " + feet + "' " + s.size("")
	})},
	{name: "IV Mixture", stop: compound(func(p *sheet, s sheetStop, _ string) string { return s.size("") + " " + s.full(p) })},
	{name: "Mixture 4f. 1 1/3'", asks: asks{feet: true}, stop: compound(func(p *sheet, s sheetStop, feet string) string {
		return s.full(p) + " " + fmt.Sprintf(p.words.ranks, s.ranks) + " " + feet + "'"
	})},
	{name: "Mixture 4 ranks", stop: compound(func(p *sheet, s sheetStop, _ string) string {
		return s.full(p) + " " + fmt.Sprintf(p.words.ranks, s.ranks)
	})},
	{name: "Mixture 1⅓' (4 ranks)", asks: asks{feet: true}, stop: compound(func(p *sheet, s sheetStop, feet string) string {
		return s.full(p) + " " + strings.NewReplacer(" 1/3", "⅓", " 2/3", "⅔", " 1/2", "½", " 3/5", "⅗").Replace(feet) + "′ (" + fmt.Sprintf(p.words.ranks, s.ranks) + ")"
	})},
	{name: "couplers II/I, III/I", head: headNumbered, tail: inARow(pairWith("/"))},
	{name: "couplers II-I a line", head: headNumbered, pair: pairWith("-")},
	{name: "couplers by names", pair: byNames},
	{name: "couplers, unheaded", tail: func(p *sheet) string { return behind(p, inWords, "", "\n", "\n") }},
	{name: "couplers in a column", head: headNumbered, body: couplersBeside, tail: onlyFacts},
	{name: "couplers between", body: couplersBetween, tail: onlyFacts},
	{name: "blank lines between", text: func(s string) string { return strings.ReplaceAll(strings.ReplaceAll(s, "\n\n", "\n"), "\n", "\n\n") }},
	{name: "no blank lines", text: func(s string) string { return strings.ReplaceAll(s, "\n\n", "\n") }},
	{name: "indented", text: func(s string) string { return "    " + strings.ReplaceAll(s, "\n", "\n    ") }},
	{name: "windows line ends", text: func(s string) string { return strings.ReplaceAll(s, "\n", "\r\n") }},
	{name: "old line ends", text: func(s string) string { return strings.ReplaceAll(s, "\n", "\r") }},
	{name: "non-breaking spaces", text: func(s string) string { return strings.ReplaceAll(s, " ", "\u00a0") }},
	{name: "soft hyphens", text: func(s string) string { return withinWord.ReplaceAllString(s, "$1\u00ad$2") }},
	{name: "ligatures", text: replacing("ffl", "ﬄ", "fl", "ﬂ", "fi", "ﬁ", "ff", "ﬀ", "Fl", "Fl")},
	{name: "decomposed accents", text: norm.NFD.String},
	{name: "full-width digits", text: fullWidth},
	{name: "quoted e-mail", text: func(s string) string { return "> " + strings.ReplaceAll(s, "\n", "\n> ") }},
	{name: "pedal first", body: pedalFirst},
	{name: "prose around", text: nil, body: func(p *sheet, l layout) string {
		return p.words.before + "\n\n" + lines("\n", "\n", "\n\n")(p, l)
	}, tail: func(p *sheet) string {
		return behind(p, inWords, p.words.couplers+"\n", "\n", "\n") + "\n" + p.words.after + "\n"
	}},
	{name: "one line, commas", body: lines(": ", ", ", ". "), tail: inARow(inWords)},
	{name: "one line, semicolons", body: lines(" - ", "; ", ". "), tail: inARow(inWords)},
	{name: "one line, CAPITAL heads", head: func(_ *sheet, d sheetDivision) string { return upper(d.name) }, body: lines(" ", " ", " "), tail: inARow(pairWith("/"))},
	{name: "one line, plain heads", body: lines(" ", " ", " "), tail: inARow(inWords)},
	{name: "one line, counted, bare", body: lines(" ", " ", " "), stop: func(p *sheet, n int, s sheetStop) string { return fmt.Sprintf("%d %s", n, s.with("", p)) }, tail: inARow(inWords)},
	{name: "one line, length first", body: lines(" ", " ", " "), stop: func(p *sheet, _ int, s sheetStop) string { return s.size("'") + " " + s.full(p) }, tail: inARow(inWords)},
	{name: "one line, bullets", body: lines(" • ", " • ", " "), tail: inARow(inWords)},
	{name: "one line between prose", body: func(p *sheet, l layout) string { return p.words.before + " " + lines(" ", " ", " ")(p, l) }, tail: func(p *sheet) string {
		return inARow(inWords)(p) + p.words.after
	}},
}
