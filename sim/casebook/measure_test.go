package casebook

import (
	"context"
	"fmt"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestTable(t *testing.T) {
	n, mend := 6, 0
	if x, err := strconv.Atoi(os.Getenv("CASES")); err == nil {
		n = x
	}
	if x, err := strconv.Atoi(os.Getenv("MEND")); err == nil {
		mend = x
	}
	rows, err := Measure(context.Background(), Cases, n, mend)
	require.NoError(t, err)
	for _, r := range rows {
		fmt.Printf("%-45s found %3d/%d false %3d helped %d/%d missed %v heard %v helpless %v\n", r.Case, r.Found, r.Of, r.False, r.Helped, r.Tried, r.Missed, r.Heard, r.Helpless)
	}
}
