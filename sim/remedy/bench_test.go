package remedy

import (
	"testing"

	"afterchord/sim/proof"
)

// BenchmarkOffer is what the report's list of remedies costs on a demo piece.
func BenchmarkOffer(b *testing.B) {
	in := demo(b, "drop", "cathedral")
	p, err := proof.Run(in)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		Offer(in, p, 3)
	}
}
