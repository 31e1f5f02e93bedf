package figures

import (
	"testing"

	"afterchord/voicing"

	"github.com/stretchr/testify/require"
)

func TestSpeechDrawsEveryStop(t *testing.T) {
	for _, name := range voicing.BuiltIns() {
		o, _ := voicing.BuiltIn(name)
		for d := range o.Divisions {
			f, err := Speech(o, d)
			if len(o.Divisions[d].Stops) == 0 {
				require.Error(t, err)
				continue
			}
			require.NoError(t, err)
			svg, err := f.SVG()
			require.NoError(t, err)
			for i := range o.Divisions[d].Stops {
				require.Contains(t, string(svg), o.Divisions[d].Stops[i].Name)
			}
		}
	}
}
