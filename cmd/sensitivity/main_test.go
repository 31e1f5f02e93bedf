package main

import (
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/sim/finding"
)

// What the tables say of themselves: each column goes one way (60 dB in the reverberation time, a fall of so many dB takes T·dB/60 to die away, and a
// louder masker leaves less of a solo: common practice and the closed forms of the room).
func TestTablesGoOneWay(t *testing.T) {
	if testing.Short() {
		t.Skip("thirty runs")
	}
	all := series()
	for _, x := range []struct {
		key     string
		columns []column
		up      []bool
	}{
		{"rt", columns[:4], []bool{true, true, true, true}},
		{"rt", columns[5:], []bool{false, true, false, true}},
		{"tempo", columns[6:], []bool{true, false, true}},
		{"fall", fallColumns, []bool{true, true, true, true, true}},
		{"level", soloColumns, []bool{false, true}},
	} {
		last := make([]float64, len(x.columns))
		for row, s := range all[x.key] {
			found := map[string][]finding.Finding{}
			for i, c := range x.columns {
				if found[c.demo] == nil {
					f, err := run(c.demo, s)
					require.NoError(t, err)
					found[c.demo] = f
				}
				value, err := strconv.ParseFloat(cell(found[c.demo], c.kind, c.measured), 64)
				if err != nil { // no finding yet
					continue
				}
				switch {
				case row == 0:
				case x.up[i]:
					assert.GreaterOrEqual(t, value, last[i], "%s, %s: %s", x.key, s.name, c.head)
				case last[i] > 0:
					assert.LessOrEqual(t, value, last[i], "%s, %s: %s", x.key, s.name, c.head)
				}
				last[i] = value
			}
		}
	}
}
