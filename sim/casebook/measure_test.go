package casebook

import (
	"context"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/proof"
	"afterchord/sim/remedy"
)

// Nearly all of the cases are found and nearly none of the twins; how many of a thousand stands in sim/finding/JUDGEMENT.md.
// CASES and MEND in the environment ask for more pages.
func TestTable(t *testing.T) {
	n, mend := 6, 1
	if testing.Short() {
		n = 2
	}
	if x, err := strconv.Atoi(os.Getenv("CASES")); err == nil {
		n = x
	}
	if x, err := strconv.Atoi(os.Getenv("MEND")); err == nil {
		mend = x
	}
	rows, err := Measure(context.Background(), Cases, n, mend)
	require.NoError(t, err)
	for _, r := range rows {
		require.GreaterOrEqual(t, 20*(r.Found+1), 19*n, "%s: missed %v", r.Case, r.Missed)
		require.LessOrEqual(t, 50*(r.False-1), n, "%s: heard in twins %v", r.Case, r.Heard)
		t.Logf("%-45s found %3d/%d false %3d helped %d/%d missed %v heard %v helpless %v", r.Case, r.Found, r.Of, r.False, r.Helped, r.Tried, r.Missed, r.Heard, r.Helpless)
	}
}

// SHOW="2 1 4 5" prints what is found in pages 1, 4 and 5 of case 2; a minus sign shows the twin.
func TestShow(t *testing.T) {
	words := strings.Fields(os.Getenv("SHOW"))
	if len(words) < 2 {
		t.Skip("SHOW is not set")
	}
	k, _ := strconv.Atoi(words[0])
	for _, w := range words[1:] {
		n, err := strconv.Atoi(strings.TrimPrefix(w, "-"))
		require.NoError(t, err)
		piece, err := Make(Cases[k], uint64(n), w[0] == '-')
		require.NoError(t, err)
		if dir := os.Getenv("SHOWDIR"); dir != "" {
			require.NoError(t, os.WriteFile(dir+"/"+piece.File, piece.Data, 0o644))
		}
		p, err := proof.Run(context.Background(), piece.Input)
		require.NoError(t, err)
		fmt.Println("==", piece.File, piece.Where, piece.Input.Score.TempoAt(0), piece.Input.Score.Metres[0])
		for _, m := range p.Document.Organ.Mapping {
			fmt.Println("  ", m.Part, "->", m.Division, m.Why)
		}
		for _, f := range p.Document.Findings {
			if slices.Contains(Cases[k].Kinds, f.Kind) || os.Getenv("ALL") != "" {
				if os.Getenv("MEND") != "" && slices.Contains(Cases[k].Kinds, f.Kind) {
					rs, err := remedy.Mend(context.Background(), piece.Input, f, remedy.For(f.Kind))
					require.NoError(t, err)
					for _, r := range rs {
						fmt.Println("     >", r.Remedy, "|", r.What, "|", r.Verdict, r.Around[0].Cost, r.Around[1].Cost, r.Before.Cost, r.After.Cost)
					}
				}
				fmt.Println("  ", f.Severity, f.Kind, f.Where, f.Message, f.Measured)
			}
		}
	}
}
