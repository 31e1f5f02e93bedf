package musicxml_test

import (
	"fmt"
	"io"
	"os"

	"afterchord/sim/score/musicxml"
)

func ExampleRead() {
	data, err := os.ReadFile("../../../testdata/vesper.musicxml")
	if err != nil {
		fmt.Println(err)
		return
	}
	s, err := musicxml.Read(data, "vesper.musicxml")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(s.Title, s.Format)
	var played []int
	for _, b := range s.Bars {
		played = append(played, b.Number)
	}
	fmt.Println(played)
	for _, w := range s.Words[:6] {
		fmt.Println(s.Position(w.At), s.Parts[w.Part].Name, w.Kind, w.Text)
	}
	// Output:
	// Vesper Piece MusicXML 4.0
	// [0 1 2 3 1 2 4 5 6 7]
	// bar 0, beat 4 Organ, staff 1 speed Andante
	// bar 0, beat 4 Organ, staff 1 direction Gt. 8, 4, 2
	// bar 0, beat 4 Organ, staff 2 direction II 8
	// bar 0, beat 4 Organ, staff 3 direction Ped. 16, 8
	// bar 0, beat 4 Organ, staff 1 dynamic f
	// bar 5, beat 3 Organ, staff 1 dynamic p
}

func ExampleAnnotate() {
	data, _ := os.ReadFile("../../../testdata/vesper.musicxml")
	s, err := musicxml.Read(data, "vesper.musicxml")
	if err != nil {
		fmt.Println(err)
		return
	}
	// An organist's words over the third beat of bar 5, where the soft passage begins.
	for _, w := range s.Words {
		if w.Text == "p" {
			err = musicxml.Annotate(io.Discard, s, []musicxml.Annotation{{At: w.At, Part: w.Part, Text: "the loud chord still rings"}})
		}
	}
	fmt.Println(err)
	// Output: <nil>
}
