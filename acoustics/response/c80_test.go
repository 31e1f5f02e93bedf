package response

import (
	"fmt"
	"math"
	"testing"

	"afterchord/acoustics/longtest"
	"afterchord/acoustics/measure"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/room"
)

// C80 of the sound is that of the path at every seat, within half of what is just noticeable (1 dB; ISO 3382-1, Table
// A.1, from memory).
func TestClarityComesBackAtEverySeat(t *testing.T) {
	names := []string{"practice-room", "chapel", "concert-hall", "parish-church", "cathedral"}
	for _, name := range names[:longtest.Of(2, len(names))] {
		r, _ := room.BuiltIn(name)
		for _, seat := range r.Seats {
			path := r.OrganPath(seat)
			m, err := measure.Response(Organ(r, seat, 48000))
			if err != nil {
				t.Fatal(err)
			}
			line := ""
			for b := 1; b <= 8; b++ {
				off := m.Bands[b].C80.Value - path.ClarityC80(b)
				line += fmt.Sprintf(" %+.2f", off)
				slack := 0.5
				if b == 1 || b == 2 && name == "practice-room" {
					slack = 1.1 // so few modes lie in 80 ms of the bass that the reflections cannot make up for chance
				}
				if !(math.Abs(off) <= slack) {
					t.Errorf("%s %s, %g Hz: C80 is %.2f dB for %.2f dB", r.Name, seat.Name, octave.Centres[b], m.Bands[b].C80.Value, path.ClarityC80(b))
				}
			}
			t.Logf("%s %s: %s dB", r.Name, seat.Name, line)
		}
	}
}
