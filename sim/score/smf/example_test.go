package smf_test

import (
	"fmt"
	"os"

	"afterchord/sim/score/smf"
)

func ExampleRead() {
	data, err := os.ReadFile("../../demos/drop.mid")
	if err != nil {
		fmt.Println(err)
		return
	}
	s, err := smf.Read(data, "drop.mid")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(s.Title)
	for _, w := range s.Words {
		fmt.Printf("%s: %s on the %s, %.2f s\n", s.Position(w.At), w.Text, s.Parts[w.Part].Name, s.Seconds(w.At))
	}
	// Output:
	// Threshold (sudden piano after full chords)
	// bar 1, beat 1: ff on the Great, 0.00 s
	// bar 1, beat 1: ff on the Pedal, 0.00 s
	// bar 7, beat 1: p on the Swell, 18.95 s
	// bar 7, beat 1: p on the Pedal, 18.95 s
}
