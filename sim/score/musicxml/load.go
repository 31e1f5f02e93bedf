package musicxml

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"strings"

	"github.com/beevik/etree"
	"golang.org/x/text/encoding/unicode"
)

// Limits on what is read. A long organ symphony is about 20 MB of XML.
const (
	maxXML      = 64 << 20  // bytes, after unpacking
	maxRatio    = 200       // unpacked to packed; scores reach 30
	maxEntries  = 4096      // files in a .mxl
	maxDepth    = 64        // elements within each other; the standard needs 12
	maxElements = 4_000_000 // in all
)

// load unpacks a .mxl if it is one and parses the XML.
func load(data []byte) (doc *etree.Document, packed bool, err error) {
	if bytes.HasPrefix(data, []byte("PK\x03\x04")) {
		packed = true
		if data, err = unzip(data); err != nil {
			return nil, packed, err
		}
	}
	if len(data) > maxXML {
		return nil, packed, faultf("the file is %d MB (at most %d are read)", len(data)>>20, maxXML>>20)
	}
	if data, err = utf8Text(data); err != nil {
		return nil, packed, err
	}
	if err = check(data); err != nil {
		return nil, packed, err
	}
	doc = etree.NewDocument()
	doc.ReadSettings = etree.ReadSettings{CharsetReader: charset, Entity: entities(), MaxDepth: maxDepth, PreserveCData: true}
	if err = doc.ReadFromBytes(data); err != nil {
		return nil, packed, faultf("not well-formed XML: %v", err)
	}
	for _, t := range doc.Child { // what is written is UTF-8
		if p, ok := t.(*etree.ProcInst); ok && p.Target == "xml" {
			p.Inst = `version="1.0" encoding="UTF-8"`
		}
	}
	return doc, packed, nil
}

// utf8Text turns UTF-16 into UTF-8 and takes off a byte order mark and what white space stands before the text.
func utf8Text(data []byte) ([]byte, error) {
	order, wide := unicode.LittleEndian, true
	switch {
	case bytes.HasPrefix(data, []byte("\xef\xbb\xbf")):
		data, wide = data[3:], false
	case bytes.HasPrefix(data, []byte("\xff\xfe")), bytes.HasPrefix(data, []byte("<\x00")):
	case bytes.HasPrefix(data, []byte("\xfe\xff")), bytes.HasPrefix(data, []byte("\x00<")):
		order = unicode.BigEndian
	default:
		wide = false
	}
	if wide {
		out, err := unicode.UTF16(order, unicode.UseBOM).NewDecoder().Bytes(data)
		if err != nil {
			return nil, faultf("the UTF-16 text cannot be read: %v", err)
		}
		data = out
	}
	return bytes.TrimLeft(data, " \t\r\n"), nil
}

func charset(label string, in io.Reader) (io.Reader, error) {
	if strings.HasPrefix(strings.ToLower(label), "utf-16") {
		return in, nil // already turned by its byte order mark
	}
	out, ok := decoded(label, in)
	if !ok {
		return nil, faultf("the encoding %q is not known", label)
	}
	return out, nil
}

// lineFault is a fault where a decoder stands.
func lineFault(d *xml.Decoder, format string, args ...any) error {
	line, _ := d.InputPos()
	return &FormatError{Line: line, Offset: d.InputOffset(), What: fmt.Sprintf(format, args...)}
}

// syntaxOf is what is wrong with the XML, without the line, which is said already.
func syntaxOf(err error) string {
	var syntax *xml.SyntaxError
	if errors.As(err, &syntax) {
		return syntax.Msg
	}
	return err.Error()
}

// check walks through the tokens without building anything, so that a hostile
// file is refused before it takes memory.
func check(data []byte) error {
	d := xml.NewDecoder(bytes.NewReader(data))
	d.CharsetReader, d.Entity = charset, entities()
	elements := 0
	var open []string
	for {
		t, err := d.RawToken()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return lineFault(d, "not well-formed XML: %v", syntaxOf(err))
		}
		switch t := t.(type) {
		case xml.Directive:
			if bytes.Contains(t, []byte("<!")) || bytes.ContainsRune(t, '[') {
				return lineFault(d, "the DOCTYPE declares entities or the like, which is not accepted; take its part in square brackets out")
			}
		case xml.StartElement:
			open = append(open, t.Name.Space+":"+t.Name.Local)
			elements++
			if elements == 1 && t.Name.Local != "score-partwise" && t.Name.Local != "score-timewise" {
				return lineFault(d, "the first element is <%.40s>, not <score-partwise> or <score-timewise>", t.Name.Local)
			}
			if len(open) > maxDepth {
				return lineFault(d, "elements are nested more than %d deep", maxDepth)
			}
			if elements > maxElements {
				return lineFault(d, "there are more than %d elements", maxElements)
			}
		case xml.EndElement:
			n := len(open)
			if n == 0 || open[n-1] != t.Name.Space+":"+t.Name.Local {
				return lineFault(d, "not well-formed XML: </%.40s> closes what was not opened", t.Name.Local)
			}
			open = open[:n-1]
		}
	}
	switch {
	case elements == 0:
		return faultf("there is no XML in it")
	case len(open) > 0:
		return lineFault(d, "not well-formed XML: the text ends inside <%.40s>", strings.TrimPrefix(open[len(open)-1], ":"))
	}
	return nil
}

// unzip takes the score out of a compressed file (MusicXML 4.0, "Compressed .MXL
// files"): META-INF/container.xml names it in its first rootfile.
func unzip(data []byte) ([]byte, error) {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, faultf("the compressed file cannot be opened: %v", err)
	}
	if len(z.File) > maxEntries {
		return nil, faultf("the compressed file holds %d files (at most %d are read)", len(z.File), maxEntries)
	}
	name, f, err := scoreIn(z)
	if err != nil {
		return nil, err
	}
	if f == nil {
		return nil, faultf("the compressed file does not hold the score %.80q", name)
	}
	return inflate(f, maxXML)
}

// scoreIn finds the score of a compressed file; nil where it is not there.
func scoreIn(z *zip.Reader) (name string, score *zip.File, err error) {
	byName := map[string]*zip.File{}
	for _, f := range z.File {
		byName[path.Clean(f.Name)] = f
	}
	if c := byName["META-INF/container.xml"]; c != nil {
		text, err := inflate(c, 1<<20)
		if err != nil {
			return "", nil, err
		}
		if name, err = rootfile(text); err != nil {
			return "", nil, err
		}
	} else {
		for _, f := range z.File {
			ext := strings.ToLower(path.Ext(f.Name))
			if (ext == ".musicxml" || ext == ".xml") && !strings.HasPrefix(f.Name, "META-INF/") && !strings.HasPrefix(path.Base(f.Name), ".") {
				name = path.Clean(f.Name)
				break
			}
		}
	}
	if name == "" {
		return "", nil, nil
	}
	return name, byName[name], nil
}

// rootfile is the path of the first rootfile that is MusicXML.
func rootfile(text []byte) (string, error) {
	d := xml.NewDecoder(bytes.NewReader(text))
	d.CharsetReader = charset
	for {
		t, err := d.RawToken()
		if err != nil {
			return "", faultf("META-INF/container.xml names no score")
		}
		e, ok := t.(xml.StartElement)
		if !ok || e.Name.Local != "rootfile" {
			continue
		}
		full, media := "", ""
		for _, a := range e.Attr {
			switch a.Name.Local {
			case "full-path":
				full = a.Value
			case "media-type":
				media = a.Value
			}
		}
		if full != "" && (media == "" || strings.Contains(media, "musicxml") || strings.HasSuffix(media, "/xml")) {
			return path.Clean(full), nil
		}
	}
}

func inflate(f *zip.File, limit int64) ([]byte, error) {
	r, err := f.Open()
	if err != nil {
		return nil, faultf("%.80q in the compressed file: %v", f.Name, err)
	}
	defer r.Close()
	// The sizes in the directory can lie; what comes out is what counts.
	if packed := int64(f.CompressedSize64); packed >= 0 && packed < limit/maxRatio {
		limit = max(packed*maxRatio, 64<<10)
	}
	out, err := io.ReadAll(io.LimitReader(r, limit+1))
	if int64(len(out)) > limit {
		return nil, faultf("%.80q in the compressed file unpacks to more than %d kB, too much for its packed size", f.Name, limit>>10)
	}
	if err != nil {
		return nil, faultf("%.80q in the compressed file: %v", f.Name, err)
	}
	return out, nil
}
