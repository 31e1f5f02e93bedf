package casebook

import (
	"fmt"
	"io"
)

// WriteTable prints rows as a Markdown table: of 100 pages found, of 100 twins found for nothing, of 100 pages that
// some rewriting clears or eases. It errs where w does.
func WriteTable(w io.Writer, rows []Row) error {
	share := func(n, of int) string {
		if of == 0 {
			return "-"
		}
		return fmt.Sprintf("%.1f", 100*float64(n)/float64(of))
	}
	if _, err := fmt.Fprintf(w, "| case | pages | found in 100 | twins found in 100 | rewritings tried | cleared or eased in 100 |\n|---|---|---|---|---|---|\n"); err != nil {
		return err
	}
	for _, r := range rows {
		if _, err := fmt.Fprintf(w, "| %s | %d | %s | %s | %d | %s |\n", r.Case, r.Of, share(r.Found, r.Of), share(r.False, r.Of), r.Tried, share(r.Helped, r.Tried)); err != nil {
			return err
		}
	}
	return nil
}
