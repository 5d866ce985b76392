package ui

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"net/http"
	"path"
	"strings"
	"time"
)

// contentTypes are the files that a page is made of. The machine's own table
// is not asked: some have a wrong type for scripts, which nosniff then blocks.
var contentTypes = map[string]string{
	".html": "text/html; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".mjs": "text/javascript; charset=utf-8",
	".css": "text/css; charset=utf-8", ".json": "application/json", ".webmanifest": "application/manifest+json",
	".svg": "image/svg+xml", ".png": "image/png", ".ico": "image/x-icon", ".woff2": "font/woff2",
	".wav": "audio/wav", ".mp3": "audio/mpeg", ".txt": "text/plain; charset=utf-8",
}

// static serves the files of the page. "/" is the page itself, and opens a
// session. Files carry a hash of their content, so that a browser asks every
// time and never shows yesterday's page.
func (s *Server) static(w http.ResponseWriter, r *http.Request) {
	name := strings.TrimPrefix(r.URL.Path, "/")
	if name == "" {
		name = "index.html"
		s.sessions.welcome(w, r)
	}
	kind, known := contentTypes[path.Ext(name)]
	if !known || !fs.ValidPath(name) || strings.HasPrefix(name, ".") || strings.Contains(name, "/.") {
		s.notFound(w, r)
		return
	}
	body, err := fs.ReadFile(s.config.WebFS, name)
	if err != nil {
		s.notFound(w, r)
		return
	}
	sum := sha256.Sum256(body)
	w.Header().Set("Content-Type", kind)
	w.Header().Set("ETag", `"`+hex.EncodeToString(sum[:16])+`"`)
	w.Header().Set("Cache-Control", "no-cache")
	http.ServeContent(w, r, name, time.Time{}, bytes.NewReader(body))
}

func (s *Server) notFound(w http.ResponseWriter, r *http.Request) {
	s.refuse(w, r, http.StatusNotFound, "not-found", "There is nothing here: open the page at /.")
}
