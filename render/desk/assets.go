package desk

import (
	"embed"
	"net/http"
	"path"
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
