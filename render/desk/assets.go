package desk

import (
	"embed"
	"errors"
	"io"
	"net/http"
	"path"
	"strings"

	"afterchord/render/report"
)

//go:embed assets/*.html assets/*.css assets/*.js
var assets embed.FS

var mediaTypes = map[string]string{
	".html": "text/html; charset=utf-8",
	".css":  "text/css; charset=utf-8",
	".js":   "text/javascript; charset=utf-8",
	".svg":  "image/svg+xml",
}

func (d *Desk) page(w http.ResponseWriter, r *http.Request) { sendAsset(w, "index.html") }

func (d *Desk) asset(w http.ResponseWriter, r *http.Request) { sendAsset(w, r.PathValue("name")) }

// explain is the module of the report that the page has too.
func (d *Desk) explain(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", mediaTypes[".js"])
	w.Header().Set("Cache-Control", "no-cache")
	_, _ = io.WriteString(w, report.ExplainScript)
}

func sendAsset(w http.ResponseWriter, name string) {
	data, err := assets.ReadFile("assets/" + path.Base(name))
	if err != nil {
		writeJSON(w, http.StatusNotFound, map[string]string{"error": "there is no such file"})
		return
	}
	w.Header().Set("Content-Type", mediaTypes[path.Ext(name)])
	w.Header().Set("Cache-Control", "no-cache")
	_, _ = w.Write(data)
}

// Style is the style of the page, and Body what its body holds: for a page that has both inside itself.
func Style() string {
	data, _ := assets.ReadFile("assets/desk.css") // embedded
	return string(data)
}

// Body is what stands between the tags of the page's body.
func Body() (string, error) {
	data, err := assets.ReadFile("assets/index.html")
	if err != nil {
		return "", err
	}
	_, rest, ok := strings.Cut(string(data), "<body>\n")
	body, _, end := strings.Cut(rest, "</body>")
	if !ok || !end {
		return "", errors.New("the page has no body")
	}
	return body, nil
}
