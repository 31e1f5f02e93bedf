package table

import (
	"bytes"
	"io"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"
)

// Rows prints a table of text, at most as wide as the terminal: the columns named in wrap
// (by index) share the room that the others leave and are wrapped.
func Rows(w io.Writer, head []string, rows [][]string, wrap []int, o Options) error {
	t := table.NewWriter()
	t.SetStyle(o.style())
	width := make([]int, len(head))
	clean := make([][]string, len(rows))
	for c, h := range head {
		width[c] = text.LongestLineLen(h)
	}
	for r, row := range rows {
		clean[r] = make([]string, len(row))
		for c, s := range row {
			clean[r][c] = o.clean(s)
			width[c] = max(width[c], text.LongestLineLen(clean[r][c]))
		}
	}
	left := o.width() - 2*len(head)
	wrapped := make([]bool, len(head))
	for _, c := range wrap {
		wrapped[c] = true
	}
	for c := range head {
		if !wrapped[c] {
			left -= width[c]
		}
	}
	var configs []table.ColumnConfig
	for _, c := range wrap {
		configs = append(configs, table.ColumnConfig{Number: c + 1, WidthMax: max(14, left/len(wrap)), WidthMaxEnforcer: text.WrapSoft})
	}
	t.SetColumnConfigs(configs)
	t.AppendHeader(cells(head))
	for _, row := range clean {
		t.AppendRow(cells(row))
	}
	var b bytes.Buffer
	for _, l := range strings.Split(t.Render(), "\n") {
		b.WriteString(strings.TrimRight(l, " ") + "\n")
	}
	return write(w, b.String())
}

func cells(s []string) table.Row {
	out := make(table.Row, len(s))
	for i, x := range s {
		out[i] = x
	}
	return out
}
