package desk

import (
	"fmt"
	"html"
	"net"
	"net/http"
	"strings"
)

// contentPolicy lets the page use its own modules, styles and sound, and nothing else.
const contentPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; " +
	"connect-src 'self'; media-src 'self' blob:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// guard refuses what did not come from a page of this desk: a request for another
// host (DNS rebinding), from another origin (forged requests), in a frame. It
// sets the headers that every answer carries.
func guard(next http.Handler) http.Handler {
	cross := http.NewCrossOriginProtection() // Origin and Sec-Fetch-Site of requests that change something
	next = cross.Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", contentPolicy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), microphone=(self), geolocation=()")
		if !localHost(r.Host) {
			refuse(w, r, http.StatusMisdirectedRequest, "this desk answers on 127.0.0.1 and localhost only")
			return
		}
		if !sameOrigin(r) {
			refuse(w, r, http.StatusForbidden, "the request comes from another page")
			return
		}
		next.ServeHTTP(w, r)
	})
}

// localHost says whether a Host header names this machine by its loopback.
func localHost(host string) bool {
	name, _, err := net.SplitHostPort(host)
	if err != nil {
		name = host
	}
	switch strings.ToLower(strings.Trim(name, "[]")) {
	case "127.0.0.1", "localhost", "::1":
		return true
	}
	return false
}

// refuse answers a request with one line: in words where a person looks at it, else as JSON.
func refuse(w http.ResponseWriter, r *http.Request, status int, line string) {
	if strings.HasPrefix(r.URL.Path, "/api/") || !strings.Contains(r.Header.Get("Accept"), "text/html") {
		writeJSON(w, status, map[string]string{"error": line})
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	fmt.Fprintf(w, "<!DOCTYPE html>\n<html lang=\"en\"><meta charset=\"utf-8\"><title>afterchord desk</title>\n<h1>This page cannot be shown</h1>\n<p>%s.</p>\n",
		html.EscapeString(strings.ToUpper(line[:1])+line[1:]))
}

// sameOrigin says whether the Origin, where the browser sends one, is that of the host asked; and that no other
// site's page asked for anything here: it may have a link to the page, which opens in a tab of its own.
func sameOrigin(r *http.Request) bool {
	if o := r.Header.Get("Origin"); o != "" && o != "http://"+r.Host {
		return false
	}
	switch r.Header.Get("Sec-Fetch-Site") {
	case "cross-site", "same-site":
		return r.URL.Path == "/" && r.Header.Get("Sec-Fetch-Mode") == "navigate" && r.Header.Get("Sec-Fetch-Dest") == "document"
	}
	return true
}
