package main

import (
	"fmt"
	"io"
)

// writeOthers prints how the findings judge a composer of whom the norms know nothing: each organ work by the norms made
// without its composer, against the piano works by the same norms.
func writeOthers(w io.Writer, got []heard, without []fold) {
	fmt.Fprint(w, "\nEach composer by the norms of all others:\n\n| | organ works: places |")
	for _, f := range without {
		fmt.Fprintf(w, " %s |", f.composer)
	}
	fmt.Fprint(w, " AUC |\n|---|---|---|")
	for range without {
		fmt.Fprint(w, "---|")
	}
	fmt.Fprintln(w)
	for _, r := range rows()[:4] {
		var all, medians []float64
		above, pairs := 0.0, 0
		for _, f := range without {
			var organ, piano []float64
			for _, h := range got {
				found, ok := h.others[f.composer]
				if !ok {
					continue
				}
				h.found = found
				if h.piano {
					piano = append(piano, r.rate(h))
				} else {
					organ = append(organ, r.rate(h))
				}
			}
			n := len(organ) * len(piano)
			above, pairs = above+auc(organ, piano)*float64(n), pairs+n
			medians = append(medians, median(organ))
			all = append(all, organ...)
		}
		fmt.Fprintf(w, "| %s | %.2f |", r.name, median(all))
		for _, m := range medians {
			fmt.Fprintf(w, " %.2f |", m)
		}
		fmt.Fprintf(w, " %.2f |\n", above/float64(max(1, pairs)))
	}
}
