package desk

import (
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
			writeJSON(w, http.StatusMisdirectedRequest, map[string]string{"error": "this desk answers on 127.0.0.1 and localhost only"})
			return
		}
		if !sameOrigin(r) {
			writeJSON(w, http.StatusForbidden, map[string]string{"error": "the request comes from another page"})
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

// sameOrigin says whether the Origin, where the browser sends one, is that of the host asked; and
// that no other site's page asked for data of this one.
func sameOrigin(r *http.Request) bool {
	if o := r.Header.Get("Origin"); o != "" && o != "http://"+r.Host {
		return false
	}
	switch r.Header.Get("Sec-Fetch-Site") {
	case "cross-site", "same-site":
		return !strings.HasPrefix(r.URL.Path, "/api/")
	}
	return true
}
