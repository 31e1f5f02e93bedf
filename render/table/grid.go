package table

import (
	"bytes"
	"io"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"
)

// Grid prints rows under head in the common look. A column whose head begins with ">" stands to the right, as numbers
// do; the mark is not printed. Cells are cleaned as [Options.Text] does.
func Grid(w io.Writer, o Options, head []string, rows [][]string) error {
	t := table.NewWriter()
	t.SetStyle(o.style())
	first := table.Row{}
	var configs []table.ColumnConfig
	for i, h := range head {
		c := table.ColumnConfig{Number: i + 1}
		if name, right := strings.CutPrefix(h, ">"); right {
			h, c.Align, c.AlignHeader = name, text.AlignRight, text.AlignRight
		}
		first = append(first, o.Text(h))
		configs = append(configs, c)
	}
	t.AppendHeader(first)
	t.SetColumnConfigs(configs)
	for _, r := range rows {
		row := table.Row{}
		for _, c := range r {
			row = append(row, o.Text(c))
		}
		t.AppendRow(row)
	}
	var b bytes.Buffer
	for _, l := range strings.Split(t.Render(), "\n") {
		b.WriteString(strings.TrimRight(l, " ") + "\n")
	}
	return write(w, b.String())
}

// Text is s fit for the terminal: no control characters, one line and, in plain output, ASCII only.
func (o Options) Text(s string) string { return o.clean(s) }
