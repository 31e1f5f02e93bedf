package stoplist

import (
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/voicing"
)

func TestADivisionNameHasOneRole(t *testing.T) {
	roles := map[string]string{}
	for _, d := range voicing.DivisionNames() {
		if !d.InLists {
			continue
		}
		key := fold(d.Name)
		require.Contains(t, []string{"", d.Role}, roles[key], "%s heads two roles", d.Name)
		roles[key] = d.Role
	}
}
