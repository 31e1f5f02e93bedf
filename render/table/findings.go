package table

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"
	"golang.org/x/text/unicode/norm"

	"afterchord/acoustics/plural"
	"afterchord/render/internal/words"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
)

// Findings prints the findings, the worst first, on no more than a page (Options.Lines):
// number, where, finding, division, what, and on a wide terminal keys and figures. What does not fit
// is counted in the last line.
func Findings(w io.Writer, d *proof.Document, o Options) error {
	fs := words.WorstFirst(d.Findings)
	top := o.whole(d)
	if d.Unread > 0 {
		top += words.NotRead(d.Unread) + "\n"
	}
	if len(fs) == 0 {
		return write(w, top+"No findings: none of the checks found anything.\n")
	}
	rows := rowsOf(fs, !o.All)
	n := len(rows)
	most := o.lines() - strings.Count(top, "\n")
	var out []byte
	for _, o.rows = range []int{9, 6, 4, 3} { // the fewer findings, the more of each
		if out = o.findings(rows); o.All || bytes.Count(out, []byte("\n"))+2 <= most {
			break
		}
	}
	for !o.All && n > 1 && bytes.Count(out, []byte("\n"))+2 > most {
		// Rows differ in height: shrink by what overflows, at least by one.
		n = max(1, min(n-1, n*most/(bytes.Count(out, []byte("\n"))+2)))
		out = o.findings(rows[:n])
	}
	s := top + string(out) + o.legend()
	rest := 0
	for _, r := range rows[n:] {
		rest += 1 + len(r.also)
	}
	if rest > 0 {
		s += plural.Count(rest, "more finding is", "more findings are") + " in the JSON document.\n"
	}
	return write(w, s)
}

// whole is the line on what the room does to the whole piece, "" where there is none.
func (o Options) whole(d *proof.Document) string {
	if d.Whole == nil {
		return ""
	}
	var b strings.Builder
	for l := range strings.SplitSeq(text.WrapSoft(o.clean(d.Whole.Line), o.width()), "\n") {
		b.WriteString(strings.TrimRight(l, " ") + "\n")
	}
	return b.String()
}

// legend says what the signs of the first column mean.
func (o Options) legend() string {
	return fmt.Sprintf("%s %s  %s %s  %s %s\n",
		o.mark(finding.Fail), finding.Fail.Word(), o.mark(finding.Warning), finding.Warning.Word(), o.mark(finding.Notice), finding.Notice.Word())
}

// findings draws one table. Narrow terminals lose the columns that the page also has.
func (o Options) findings(rows []row) []byte {
	width := o.width()
	columns := []column{{"no.", 3}, {"where", 18}, {"finding", 16}, {"division", 8}, {"keys", 10}, {"what", 0}, {"measured", 26}}
	switch {
	case width < 60:
		columns = []column{{"no.", 3}, {"where", 14}, {"what", 0}}
	case width < 112:
		columns = []column{{"no.", 3}, {"where", 16}, {"finding", 9}, {"division", 9}, {"what", 0}}
	case width > 130:
		columns[1].width, columns[4].width, columns[6].width = 24, 14, 34
	}
	if len(rows) > 0 && slices.ContainsFunc(rows, func(r row) bool { return len(r.also) > 0 && r.also[len(r.also)-1].ID > 9 }) {
		columns[0].width = 5
	}
	left := width - 2*len(columns) - 3
	for _, c := range columns {
		left -= c.width
	}
	t := table.NewWriter()
	t.SetStyle(o.style())
	head := table.Row{""}
	configs := []table.ColumnConfig{}
	for i, c := range columns {
		if c.width == 0 {
			columns[i].width = max(16, left)
			c.width = columns[i].width
		}
		head = append(head, c.name)
		configs = append(configs, table.ColumnConfig{Number: i + 2, WidthMax: c.width, WidthMaxEnforcer: asItIs})
	}
	t.AppendHeader(head)
	t.SetColumnConfigs(configs)
	for _, r := range rows {
		cells := table.Row{o.mark(r.Severity)}
		for _, c := range columns {
			cells = append(cells, o.cell(c, r)) // wrapped
		}
		t.AppendRow(cells)
	}
	var b bytes.Buffer
	for _, l := range strings.Split(t.Render(), "\n") {
		b.WriteString(strings.TrimRight(l, " ") + "\n")
	}
	return b.Bytes()
}

// asItIs leaves a cell alone: the library's own wrapping would join the lines of [Options.cell].
func asItIs(s string, _ int) string { return s }

// row is one line of the table: a finding, and the notes of its kind and division that follow it in the order.
type row struct {
	finding.Finding
	also []finding.Finding
}

// rowsOf makes a row of each finding; with gather, notes of one kind on one division share a row, that of
// the first: forty like remarks would hide the one that differs.
func rowsOf(fs []finding.Finding, gather bool) []row {
	var out []row
	for _, f := range fs {
		i := -1
		if gather && f.Severity == finding.Notice {
			i = slices.IndexFunc(out, func(r row) bool {
				return r.Severity == f.Severity && r.Kind == f.Kind && r.Division == f.Division
			})
		}
		if i < 0 {
			out = append(out, row{Finding: f})
		} else {
			out[i].also = append(out[i].also, f)
		}
	}
	return out
}

// mostAlso is how many places of like notes are named in a row; the others are counted.
const mostAlso = 6

// place is where the row's finding is, and after it the bars of those like it.
func (r row) place() string {
	s := words.Place(r.Finding)
	var in []int
	for _, f := range r.also {
		in = append(in, f.Bar)
	}
	slices.Sort(in)
	var bars []string
	for _, b := range slices.Compact(in) {
		bars = append(bars, fmt.Sprint(b))
	}
	if len(bars) == 0 {
		return s
	}
	if len(bars) > mostAlso {
		return fmt.Sprintf("%s; also bars %s and %d more", s, strings.Join(bars[:mostAlso], ", "), len(bars)-mostAlso)
	}
	if len(bars) == 1 {
		return s + "; also bar " + bars[0]
	}
	return s + "; also bars " + strings.Join(bars, ", ")
}

// numbers are the numbers of the row's findings: "2-4, 7".
func (r row) numbers() string {
	out, last := fmt.Sprint(r.ID), r.ID
	run := false // the last number printed is the beginning of a range
	for _, f := range r.also {
		if f.ID != last+1 {
			if run {
				out += fmt.Sprintf("-%d", last)
			}
			out, run = out+fmt.Sprintf(", %d", f.ID), false
		} else {
			run = true
		}
		last = f.ID
	}
	if run {
		out += fmt.Sprintf("-%d", last)
	}
	return out
}

type column struct {
	name  string
	width int // 0 takes what is left
}

func (o Options) cell(c column, r row) string {
	f := r.Finding
	switch c.name {
	case "where":
		return text.WrapSoft(o.clean(r.place()), c.width)
	case "no.":
		return text.WrapSoft(r.numbers(), c.width)
	case "finding":
		return text.WrapSoft(o.clean(words.Kind(f.Kind)), c.width)
	case "division":
		return text.WrapSoft(o.clean(f.Division), c.width)
	case "keys":
		return text.WrapSoft(o.clean(few(f.Keys, 4)), c.width)
	case "what":
		return o.cut(text.WrapSoft(o.clean(short(f.Message)), c.width), c.width)
	}
	var lines []string
	for i, m := range words.Measured(f) {
		next := strings.Split(text.WrapSoft(o.clean(m.String()), c.width), "\n")
		if i == 4 || (i > 0 && len(lines)+len(next) > o.rows) {
			break // whole figures only: a number without its unit misleads
		}
		lines = append(lines, next...)
	}
	return strings.Join(lines, "\n")
}

// cut keeps the first lines of wrapped text; the page and the JSON have the whole.
func (o Options) cut(s string, width int) string {
	lines := strings.Split(s, "\n")
	if len(lines) <= o.rows {
		return s
	}
	last := strings.TrimRight(lines[o.rows-1], " ")
	for len([]rune(last))+4 > width && strings.Contains(last, " ") {
		last = last[:strings.LastIndex(last, " ")]
	}
	return strings.Join(append(lines[:o.rows-1], last+" ..."), "\n")
}

// mark is one sign for the severity; colour only repeats it.
func (o Options) mark(s finding.Severity) string {
	sign, colour := "-", text.FgCyan
	switch s {
	case finding.Fail:
		sign, colour = "!", text.FgRed
	case finding.Warning:
		sign, colour = "?", text.FgYellow
	}
	if o.Plain {
		return sign
	}
	return text.Colors{colour, text.Bold}.Sprint(map[string]string{"!": "■", "?": "▲", "-": "○"}[sign])
}

// short is the first sentence.
func short(s string) string {
	if i := strings.Index(s, ". "); i > 0 {
		return s[:i+1]
	}
	return s
}

func few(s []string, n int) string {
	if len(s) <= n {
		return strings.Join(s, " ")
	}
	return fmt.Sprintf("%s +%d", strings.Join(s[:n], " "), len(s)-n)
}

// ascii replaces what we ourselves write outside ASCII; other letters (a title, say)
// become question marks in plain output.
var ascii = strings.NewReplacer("–", "-", "−", "-", "½", ".5", "¼", ".25", "¾", ".75", "⅓", ".33", "⅔", ".67",
	"“", `"`, "”", `"`, "’", "'", "…", "...", "×", "x", "m³", "m3", "²", "2", "³", "3", "°C", "deg C", "µ", "u", "‰", "/1000", "ü", "ue", "ö", "oe", "ä", "ae", "Ü", "Ue", "Ö", "Oe", "Ä", "Ae", "ß", "ss", "æ", "ae", "œ", "oe", "ø", "o", "°", " deg", "♯", "#", "♭", "b")

// clean drops control characters (a part name could carry escape sequences to the
// terminal) and, in plain output, everything that is not ASCII.
func (o Options) clean(s string) string {
	s = o.Terms.Say(s)
	if o.Plain {
		s = norm.NFD.String(ascii.Replace(s)) // accents come off their letters
	}
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return ' '
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r), o.Plain && unicode.Is(unicode.Mn, r):
			return -1
		case o.Plain && r > unicode.MaxASCII:
			return '?'
		}
		return r
	}, s)
}

func write(w io.Writer, s string) error {
	if _, err := io.WriteString(w, s); err != nil {
		return fmt.Errorf("table cannot be written: %w", err)
	}
	return nil
}
