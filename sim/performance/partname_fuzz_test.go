package performance

import (
	"testing"

	"afterchord/voicing"
)

// Whatever a part is called: its division exists, or it names none.
func FuzzPartName(f *testing.F) {
	for _, n := range []string{"Péd.", "Organ (Swell)", ":1", "right:right", "II. Man.", "G.-O.", "Man I", "r. H.", "Staff 3 (Pedal)", "Récit MD", "", "Org-Ped", "1er clavier"} {
		f.Add(n, byte(0))
	}
	organs := voicing.BuiltIns()
	f.Fuzz(func(t *testing.T, name string, which byte) {
		o, _ := voicing.BuiltIn(organs[int(which)%len(organs)])
		d, says := readPartName(o, name)
		if says == saysDivision && (d < 0 || d >= len(o.Divisions)) || says != saysDivision && d != -1 {
			t.Fatalf("%q: division %d, says %q", name, d, says)
		}
	})
}
