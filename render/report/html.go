package report

import (
	"bytes"
	"crypto/sha256"
	_ "embed" // the page's template, style and script
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"net/url"
	"strings"
	"sync"

	"afterchord/render/engraving"
	"afterchord/render/internal/words"
	"afterchord/render/terms"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
)

// Options are the choices of the page.
type Options struct {
	// Audio is the path of the sound relative to the page; the file named in the
	// document's Sound where it is empty. Without either there is no player.
	Audio string
	// Embed is a whole audio file to put into the page itself (as a data URL) instead;
	// EmbedType is its media type, audio/wav where empty.
	Embed     []byte
	EmbedType string
	// Sheet is the score to show engraved with the findings over its bars; the page has the
	// picture in time alone where it is nil or the program was built without the library.
	Sheet *engraving.Sheet
	// Language that the page is in; nil: English.
	Language *terms.Language
}

var (
	//go:embed page.tmpl
	pageTemplate string
	//go:embed plot.tmpl
	plotTemplate string
	//go:embed sheet.tmpl
	sheetTemplate string
	//go:embed page.css
	pageCSS string
	//go:embed sheet.css
	sheetCSS string
	//go:embed page.js
	pageJS string
)

// pageScript is the page's own, with what explains its terms.
var pageScript = sync.OnceValue(func() string {
	return strings.Replace(ExplainScript, "export function", "function", 1) + pageJS
})

// functions are what the templates call. They call no methods: render/page leaves out what would only be found by name.
var functions = template.FuncMap{
	"amount":     words.Figure.Amount,
	"clock":      words.Clock,
	"hertz":      hertz,
	"length":     words.Length,
	"kind":       words.Kind,
	"notread":    words.NotRead,
	"place":      words.Place,
	"beside":     words.Beside,
	"term":       term,
	"labelof":    labelOf,
	"amountof":   amountOf,
	"terms":      func() map[string]string { return Terms },
	"barbeat":    words.BarBeat,
	"measured":   words.Measured,
	"number":     words.Number,
	"severity":   severity,
	"severities": func() []finding.Severity { return finding.Severities },
	"percent":    func(v float64) string { return words.Number(100*v, 1) + " %" },
	"boxstands":  boxStands,
	"tempo":      tempoOrNone,
	"join":       func(s []string) string { return strings.Join(s, ", ") },
}

var (
	pageView  = view("page", &plotTemplate, &pageTemplate)
	sheetView = view("sheet", &plotTemplate, &sheetTemplate)
)

// view is a template, parsed when the first page of it is written: a program starts sooner.
func view(name string, texts ...*string) func() *template.Template {
	return sync.OnceValue(func() *template.Template {
		all := ""
		for _, text := range texts {
			all += *text
		}
		return template.Must(template.New(name).Funcs(functions).Parse(all))
	})
}

// Prepare makes what every page takes, whatever it shows: who calls it while the score is proved has the page sooner.
func Prepare() {
	engraving.Library()
	pageScript()
	notationScript()
	_ = pageView().Execute(io.Discard, nil) // puts the escaping of each place into the template; it has nothing to show
}

// WriteHTML writes the report as one self-contained page that needs no network and
// opens from a file. All text from the score is escaped, and the page's content security
// policy lets nothing run but its own script.
func WriteHTML(w io.Writer, d *proof.Document, o Options) error {
	if d == nil {
		return fmt.Errorf("report: no document to write")
	}
	p := newPage(d)
	p.CSS, p.JS = template.CSS(pageCSS), template.JS(pageScript())
	hashes := []string{hashOf(pageScript())}
	var err error
	if p.Notation, err = newNotation(d, o.Sheet, o.Language); err != nil {
		return err
	}
	if p.Notation != nil {
		hashes = append(hashes, hashOf(notationScript()), p.Notation.Hash)
		p.CSS += template.CSS(notationStyle())
	}
	p.Policy = policy(hashes...)
	p.Audio = audioSource(d, o)
	return execute(w, pageView(), p, o.Language)
}

// libraryMark stands for the engraving library while a page is made: larger than the rest of the page, it needs neither the template nor
// a language. No text of a score can look like it, since templates escape what they fill in.
const libraryMark = "<library>"

// execute renders into memory first, so that a failure leaves w untouched, and puts the page into a language.
func execute(w io.Writer, t *template.Template, data any, l *terms.Language) error {
	var b bytes.Buffer
	b.Grow(1 << 18) // as much as most pages take
	if err := t.Execute(&b, data); err != nil {
		return fmt.Errorf("report: the page cannot be made: %w", err)
	}
	if l != nil {
		b = *bytes.NewBufferString(l.Page(b.String()))
	}
	before, after, found := bytes.Cut(b.Bytes(), []byte(libraryMark))
	_, err := w.Write(before)
	if e, ok := engraving.Library(); ok && found && err == nil {
		_, err = io.WriteString(w, e.Base64)
	}
	if err == nil {
		_, err = w.Write(after)
	}
	if err != nil {
		return fmt.Errorf("report: the page cannot be written: %w", err)
	}
	return nil
}

// hashOf is a script as a policy names it.
func hashOf(script string) string {
	sum := sha256.Sum256([]byte(script))
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}

// policy is the content security policy: the page's scripts by their hashes, inline styles,
// pictures from the page, sound from beside it, and nothing else.
func policy(hashes ...string) string {
	allowed := "'none'"
	if len(hashes) > 0 {
		allowed = "'" + strings.Join(hashes, "' '") + "'"
	}
	return "default-src 'none'; script-src " + allowed +
		"; style-src 'unsafe-inline'; img-src data:; media-src 'self' file: data:; base-uri 'none'; form-action 'none'"
}

// audioSource is the address of the sound: embedded, else a relative path whose
// parts are escaped, so that a file name cannot become another kind of address.
func audioSource(d *proof.Document, o Options) template.URL {
	if len(o.Embed) > 0 {
		media := o.EmbedType
		if media != "audio/ogg" && media != "audio/mpeg" && media != "audio/flac" {
			media = "audio/wav"
		}
		return template.URL("data:" + media + ";base64," + base64.StdEncoding.EncodeToString(o.Embed))
	}
	name := o.Audio
	if name == "" && d.Sound != nil {
		name = d.Sound.File
	}
	if name == "" {
		return ""
	}
	parts := strings.Split(strings.ReplaceAll(name, `\`, "/"), "/")
	for i, s := range parts {
		parts[i] = url.PathEscape(s)
	}
	return template.URL("./" + strings.TrimLeft(strings.Join(parts, "/"), "/"))
}
