package levels

import (
	"testing"

	"afterchord/acoustics"
	"afterchord/voicing"
)

func listener(t *testing.T, organ, room, seat string) (*Listener, *voicing.Organ) {
	o, _ := voicing.BuiltIn(organ)
	r, _ := acoustics.BuiltIn(room)
	s, err := r.Seat(seat)
	if err != nil {
		t.Fatal(err)
	}
	return NewListener(o, r, s), o
}

func TestPrint(t *testing.T) {
	for _, organ := range voicing.BuiltIns() {
		for _, room := range acoustics.BuiltIns() {
			l, o := listener(t, organ, room, "middle")
			s, _ := l.Softest()
			full := l.Whole("fff")
			t.Logf("%s %s: softest %s %.1f (%.1f A), full %.1f (%.1f A)", organ, room, o.Divisions[s.Division].Stops[s.Stop].Name, s.Level.DB, s.Level.DBA, full.DB, full.DBA)
			for _, x := range l.Dynamics() {
				if !x.First && (x.StepDB < 4 || x.StepDB > 8) {
					n := "whole"
					if x.Division >= 0 {
						n = o.Divisions[x.Division].Name
					}
					t.Logf("    %s %s: %.2f", n, x.Mark, x.StepDB)
				}
			}
		}
	}
}
