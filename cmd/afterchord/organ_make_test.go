package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

const leaflet = `The organ of the invented church at Vale, built 1898
Great (56 notes)
Open Diapason 8
Stopped Diapason 8
Principal 4
Xylindrum 8
Swell, enclosed
Salicional 8
Oboe 8
Tremulant
Pedal
Bourdon 16
Sw to Gt, Gt to Ped
`

func TestOrganMake(t *testing.T) {
	dir := t.TempDir()
	list, out := filepath.Join(dir, "leaflet.txt"), filepath.Join(dir, "vale.toml")
	require.NoError(t, os.WriteFile(list, []byte(leaflet), 0o644))
	said, err := inProcess("organ", "make", list, "--out", out)
	require.NoError(t, err)
	require.Contains(t, said, "not understood: Xylindrum 8")
	require.Contains(t, said, "3 divisions, 6 stops")
	said, err = inProcess("organ", "check", out)
	require.NoError(t, err)
	require.Contains(t, said, "no mistakes")
	said, err = inProcess("organ", "show", out)
	require.NoError(t, err)
	require.Contains(t, said, "Swell to Great")
	_, err = inProcess("organ", "make", list, "--out", out)
	require.ErrorContains(t, err, "is there already", "corrected by hand, perhaps")
	_, err = inProcess("organ", "make", list, "--out", out, "--force")
	require.NoError(t, err)
	_, err = inProcess("organ", "make", list, "--out", "vale.txt")
	require.ErrorContains(t, err, "ends in .toml")
	empty := filepath.Join(dir, "empty.txt")
	require.NoError(t, os.WriteFile(empty, []byte("nothing\n"), 0o644))
	_, err = inProcess("organ", "make", empty)
	require.ErrorContains(t, err, "no stop was found")
}
