package remedy_test

import (
	"context"
	"fmt"

	"afterchord/acoustics/room"
	"afterchord/sim/demos"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/remedy"
	"afterchord/sim/score/smf"
	"afterchord/voicing"
)

func ExampleFor() {
	for _, r := range remedy.For(finding.KindRunTogether) {
		fmt.Println(r.Name)
	}
	// Output:
	// detach
	// alternate-hands
	// alternate-octaves
	// slow
}

func ExampleMend() {
	data, _ := demos.Piece("drop")
	s, _ := smf.Read(data, "drop.mid")
	hall, _ := room.BuiltIn("cathedral")
	seat, _ := hall.Seat("middle")
	organ, _ := voicing.BuiltIn("minster")
	in := proof.Input{Score: s, Room: hall, Seat: seat, Organ: organ}
	p, _ := proof.Run(context.Background(), in)
	results, _ := remedy.Mend(context.Background(), in, p.Document.Findings[0], remedy.For(p.Document.Findings[0].Kind))
	best, _, _ := remedy.Best(context.Background(), in, results)
	fmt.Println(best.Kind, "at", best.Where)
	fmt.Println(best.Remedy+":", best.Verdict)
	// Output:
	// covered-entry at bar 7, beat 1
	// release-early: It all but clears it: what is left is worth knowing.
}
