package musicxml

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"path"
	"strings"
)

// sniffed is how much of a text is looked through for its first element.
const sniffed = 64 << 10

// Sniff tells whether data are MusicXML: XML whose first element is one of a score's. It need not have an XML
// declaration, and may be in UTF-16 or begin with a byte order mark or blank lines.
func Sniff(data []byte) bool {
	text, err := utf8Text(data[:min(len(data), sniffed)])
	if err != nil || !bytes.HasPrefix(text, []byte("<")) {
		return false
	}
	switch FirstElement(data) {
	case "score-partwise", "score-timewise":
		return true
	case "":
		return bytes.Contains(text, []byte("<score-"))
	}
	return false
}

// FirstElement is the name of the first element of an XML text, "" where there is none.
func FirstElement(data []byte) string {
	text, err := utf8Text(data[:min(len(data), sniffed)])
	if err != nil {
		return ""
	}
	d := xml.NewDecoder(bytes.NewReader(text))
	d.CharsetReader, d.Strict = charset, false
	for {
		t, err := d.RawToken()
		if err != nil {
			return ""
		}
		if e, ok := t.(xml.StartElement); ok {
			return e.Name.Local
		}
	}
}

// SniffCompressed tells whether data are compressed MusicXML, a .mxl file.
func SniffCompressed(data []byte) bool {
	if !bytes.HasPrefix(data, []byte("PK\x03\x04")) {
		return false
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil || len(z.File) > maxEntries {
		return true // damaged, which reading says
	}
	name, f, err := scoreIn(z)
	if err != nil {
		return true
	}
	ext := strings.ToLower(path.Ext(name))
	return f != nil && (ext == ".xml" || ext == ".musicxml" || ext == "")
}
