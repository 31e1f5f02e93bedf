// Package page makes the page that is one file: the desk with its program (WebAssembly), the engraving library, demos,
// rooms and organs inside. It opens from a disk or from any static web server and needs no network.
package page

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"text/template"

	"github.com/evanw/esbuild/pkg/api"

	"afterchord/render/desk"
	"afterchord/render/engraving"
	"afterchord/render/terms"
)

//go:embed assets/*.js assets/page.css
var assets embed.FS

// Parts of a page.
type Parts struct {
	Program  []byte // the program in WebAssembly, see cmd/pageworker
	Vectors  []byte // the vector loops that it is bound to, see package simd128
	WasmExec []byte // Go's wasm_exec.js, of the release that built the program
	Root     string // folder of the repository; the modules of the page are bundled from it
	Licences string // of what is in the program
	Overview []byte // what the program answers to GET /api/desk, so that the page need not wait for it
}

// Policy is the content security policy of a page: its own scripts and styles by their hashes, and no network at all.
// The page carries it; a server that sends it as a header too allows all that the page needs.
type Policy string

// Write writes the page and gives its policy.
func Write(w io.Writer, p Parts) (Policy, error) {
	if len(p.Program) == 0 || len(p.Vectors) == 0 || len(p.WasmExec) == 0 {
		return "", errors.New("page: the program, its vector loops or wasm_exec.js are missing")
	}
	script, err := bundle(p.Root)
	if err != nil {
		return "", err
	}
	old, worker, style := asset("old.js"), string(p.WasmExec)+"\n"+asset("worker.js"), desk.Style()+asset("page.css")
	policy := policyOf([]string{old, script}, []string{style})
	var packed bytes.Buffer
	z, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
	if err != nil {
		return "", err
	}
	if _, err := z.Write(p.Program); err != nil {
		return "", err
	}
	if err := z.Close(); err != nil {
		return "", err
	}
	inside := map[string]string{"old.js": old, "the page's script": script, "the worker's script": worker, "the licences": p.Licences, "the overview": string(p.Overview)}
	var languages []*terms.Language
	for _, name := range slices.Sorted(maps.Keys(terms.Languages())) {
		l := terms.Languages()[name]
		languages = append(languages, l)
		inside["the words of "+name] = string(l.Table())
	}
	for name, text := range inside {
		if strings.Contains(strings.ToLower(text), "</script") || strings.Contains(text, "<!--") {
			return "", fmt.Errorf("page: %s would end its element early", name)
		}
	}
	body, err := desk.Body()
	if err != nil {
		return "", err
	}
	err = view.Execute(w, struct {
		Policy                                                                        Policy
		Style, Body, Old, Script, Worker, Program, Vectors, Licences, Overview, Title string
		Words                                                                         []*terms.Language
	}{policy, style, body, old, script, worker, base64.StdEncoding.EncodeToString(packed.Bytes()), base64.StdEncoding.EncodeToString(p.Vectors),
		p.Licences, string(p.Overview), "Writing desk – afterchord", languages})
	return policy, err
}

// Nothing in a page comes from a user, so nothing is escaped. The scripts that are not run as they stand are data: the
// worker's, and the program, which comes last: the page is there before it has been read.
var view = template.Must(template.New("page").Parse(`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{{.Policy}}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="referrer" content="no-referrer">
<title>{{.Title}}</title>
<link rel="icon" href="data:,">
<style>{{.Style}}</style>
</head>
<body>
<p id="page-old" class="trouble" role="alert" hidden>This browser is too old for the writing desk: it takes Chrome or Edge 123, Firefox 120, Safari 17.5, or a later one. Nothing is wrong with the file; open it with a newer browser.</p>
<p id="page-passing" class="trouble" role="status" hidden>This browser keeps nothing for this page (a private window, or storage is denied): keep the whole project as a file before you close it.</p>
{{.Body}}
<script>{{.Old}}</script>
<script type="application/json" id="page-overview">{{.Overview}}</script>
{{range .Words}}<script type="application/json" id="words-{{.Name}}">{{printf "%s" .Table}}</script>
{{end}}<script type="module" async>{{.Script}}</script>
<script type="text/plain" id="page-licences">{{.Licences}}</script>
<script type="text/plain" id="page-worker">{{.Worker}}</script>
<script type="text/plain" id="page-vectors">{{.Vectors}}</script>
<script type="text/plain" id="page-program">{{.Program}}</script>
</body>
</html>
`))

func asset(name string) string {
	data, err := assets.ReadFile("assets/" + name)
	if err != nil {
		panic(err) // embedded
	}
	return string(data)
}

// bundle joins the modules of the page into one script.
func bundle(root string) (string, error) {
	r := api.Build(api.BuildOptions{
		EntryPoints: []string{"render/page/assets/main.js"}, AbsWorkingDir: root, Bundle: true, Write: false,
		Format: api.FormatESModule, Target: api.ES2022, Charset: api.CharsetUTF8, LegalComments: api.LegalCommentsInline,
		MinifyWhitespace: true, MinifySyntax: true, LogLevel: api.LogLevelSilent,
	})
	if len(r.Errors) > 0 {
		return "", fmt.Errorf("page: %s", strings.TrimSpace(strings.Join(api.FormatMessages(r.Errors, api.FormatMessagesOptions{}), " ")))
	}
	return strings.ReplaceAll(string(r.OutputFiles[0].Contents), "</script", `<\/script`), nil
}

// policyOf allows scripts and styles by their hashes, WebAssembly, workers made of what the page holds, and sound and
// files that it makes itself.
func policyOf(scripts, styles []string) Policy {
	hashes := func(texts []string) string {
		var out []string
		for _, t := range texts {
			sum := sha256.Sum256([]byte(t))
			out = append(out, "'sha256-"+base64.StdEncoding.EncodeToString(sum[:])+"'")
		}
		return strings.Join(out, " ")
	}
	script := hashes(append(scripts, engraving.Script))
	if e, ok := engraving.Library(); ok {
		script += " '" + e.Hash + "'"
	}
	return Policy("default-src 'none'; script-src " + script + " 'wasm-unsafe-eval'; worker-src blob:; style-src " + hashes(append(styles, engraving.Style)) +
		"; img-src data:; media-src blob:; base-uri 'none'; form-action 'none'")
}
