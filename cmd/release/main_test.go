package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"encoding/json"
	"io"
	"runtime/debug"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/render/engraving"
)

var day = time.Date(2024, 3, 1, 12, 0, 0, 0, time.UTC)

func TestArchivesAreTheSameEachTime(t *testing.T) {
	entries := []entry{{"afterchord", bytes.Repeat([]byte("code "), 5000), 0o755}, {"README.md", []byte("read"), 0o644}}
	for name, pack := range map[string]func(string, []entry, time.Time) ([]byte, error){"zip": packZip, "tar": packTar} {
		t.Run(name, func(t *testing.T) {
			a, err := pack("folder", entries, day)
			require.NoError(t, err)
			b, err := pack("folder", entries, day)
			require.NoError(t, err)
			assert.Equal(t, a, b, name)
		})
	}

	packed, err := packZip("folder", entries, day)
	require.NoError(t, err)
	z, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	require.NoError(t, err)
	require.Len(t, z.File, 2)
	assert.Equal(t, "folder/afterchord", z.File[0].Name)
	assert.True(t, z.File[0].Modified.Equal(day))
	f, err := z.File[0].Open()
	require.NoError(t, err)
	data, err := io.ReadAll(f)
	require.NoError(t, err)
	assert.Equal(t, entries[0].data, data)

	packed, err = packTar("folder", entries, day)
	require.NoError(t, err)
	g, err := gzip.NewReader(bytes.NewReader(packed))
	require.NoError(t, err)
	r := tar.NewReader(g)
	h, err := r.Next()
	require.NoError(t, err)
	assert.Equal(t, "folder/afterchord", h.Name)
	assert.EqualValues(t, 0o755, h.Mode)
}

// The bill names what this very program was built from, by package URLs (purl specification, type golang).
func TestBillOfMaterials(t *testing.T) {
	info, ok := debug.ReadBuildInfo()
	require.True(t, ok)
	info.Deps = []*debug.Module{{Path: "github.com/spf13/cobra", Version: "v1.10.2"}}
	data, err := billOf("for linux on arm64", []byte("code"), info, day)
	require.NoError(t, err)
	var bill struct {
		BomFormat  string
		Metadata   struct{ Timestamp string }
		Components []struct{ Name, Purl string }
	}
	require.NoError(t, json.Unmarshal(data, &bill))
	assert.Equal(t, "CycloneDX", bill.BomFormat)
	assert.Equal(t, "2024-03-01T12:00:00Z", bill.Metadata.Timestamp)
	require.GreaterOrEqual(t, len(bill.Components), 2)
	assert.Equal(t, "pkg:golang/github.com/spf13/cobra@v1.10.2", bill.Components[1].Purl)
	if _, ok := engraving.Library(); ok {
		assert.Contains(t, string(data), "pkg:npm/vexflow@", "the engraving library is in the program")
	}
	assert.False(t, strings.Contains(string(data), "serialNumber"), "a number by chance would make two releases differ")
	again, err := billOf("for linux on arm64", []byte("code"), info, day)
	require.NoError(t, err)
	assert.Equal(t, data, again)
}

// What the README links to is in the archive beside it.
func TestLinkedPapers(t *testing.T) {
	names := linked([]byte("see [a](x/A.md), ![b](x/b.png) and [a](x/A.md) again; [there](https://example.org/c) and [below](#d)"))
	assert.Equal(t, []string{"x/A.md", "x/b.png"}, names)
	t.Chdir("../..")
	list, err := papers()
	require.NoError(t, err)
	var have []string
	for _, e := range list {
		have = append(have, e.name)
	}
	for _, name := range []string{"README.md", "LICENSE", "LICENCES.txt", "voicing/FORMAT.md"} {
		assert.Contains(t, have, name)
	}
}
