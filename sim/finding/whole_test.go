package finding

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestWhereThePieceWouldBeTypical(t *testing.T) {
	for _, x := range []struct {
		whole Whole
		want  string
	}{
		{Whole{Tempo: 66, RT: 2.1}, "; at crotchet = 66, or in a room of 2.1 s, it would be typical"},
		{Whole{RT: 2.1}, "; the room is too long for this piece, at any tempo down to two thirds of the written one: in a room of 2.1 s it would be typical"},
		{Whole{Tempo: 66}, "; at crotchet = 66 it would be typical"},
		{Whole{}, "; the room is too long for this piece, at any tempo down to two thirds of the written one"},
	} {
		assert.Equal(t, x.want, x.whole.where())
	}
}
