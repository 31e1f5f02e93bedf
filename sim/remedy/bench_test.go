package remedy

import (
	"context"
	"testing"

	"afterchord/sim/proof"
)

// BenchmarkOffer is what the report's list of remedies costs on a demo piece.
func BenchmarkOffer(b *testing.B) {
	in := demo(b, "drop", "cathedral")
	p, err := proof.Run(context.Background(), in)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		Offer(context.Background(), in, p, 3)
	}
}
