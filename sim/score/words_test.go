package score

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestClassifyWord(t *testing.T) {
	for _, c := range []struct {
		kind WordKind
		in   string
		out  WordKind
		text string
	}{
		{Text, "pp", Mark, "pp"}, {Text, "mf", Mark, "mf"}, {Text, "f maestoso", Mark, "f"}, {Text, "dynamic=MF", Mark, "mf"},
		{Text, "sub. p", Mark, "p"}, {Text, "ffff", Mark, "fff"}, {Marker, "F", Marker, "F"}, {Marker, "P", Marker, "P"},
		{Text, "f 3 of 5", Text, "f 3 of 5"}, {Lyric, "f", Lyric, "f"}, {Text, "dim.", Hairpin, "diminuendo"},
		{Text, "decresc.", Hairpin, "diminuendo"}, {Text, "senza cresc.", Text, "senza cresc."}, {Text, "end cresc.", Hairpin, "stop"},
		{Text, "end hairpin", Hairpin, "stop"}, {Text, "Andante", Text, "Andante"}, {Text, "", Text, ""},
		{Text, "poco a poco open box", Hairpin, "crescendo"}, {Text, "close the box gradually", Hairpin, "diminuendo"}, {Text, "opening box", Hairpin, "crescendo"},
		{Text, "Schweller allmählich auf", Hairpin, "crescendo"}, {Text, "fermez peu à peu la boîte", Hairpin, "diminuendo"}, {Text, "open box", Text, "open box"}, {Text, "poco a poco", Text, "poco a poco"},
	} {
		t.Run(c.in, func(t *testing.T) {
			kind, text := ClassifyWord(c.kind, c.in)
			require.Equal(t, c.out, kind, c.in)
			require.Equal(t, c.text, text, c.in)
		})
	}
}
