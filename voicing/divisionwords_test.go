package voicing

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestNamesOfScoresAndOfLists(t *testing.T) {
	names, err := readDivisionNames("swell\n  de: +Schwellwerk\n  de, lists: Schwell\n  fr, scores: R\n")
	require.NoError(t, err)
	require.Equal(t, []DivisionName{
		{"Schwellwerk", "swell", true, true, true},
		{"Schwell", "swell", false, true, false},
		{"R", "swell", false, false, true},
	}, names)
	_, err = readDivisionNames("swell\n  de, books: Schwellwerk\n")
	require.ErrorContains(t, err, "divisions.txt:2")
}

func TestScoresKnowEachRoleOnce(t *testing.T) {
	known := []role{rolePedal, roleGreat, roleSwell, roleChoir, rolePositive, roleSolo, roleEcho, roleBombarde, roleBrust}
	for name, role := range roleNames() {
		require.Contains(t, known, role, name)
	}
	for _, d := range DivisionNames() {
		if part, otherwise := scoreRole[d.Role]; d.InScores && !otherwise {
			require.Equal(t, role(d.Role), roleNames()[plainName(d.Name)], d.Name)
		} else if d.InScores {
			require.Equal(t, part, roleNames()[plainName(d.Name)], d.Name)
		}
	}
}
