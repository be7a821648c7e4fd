package view

import (
	"embed"
	"errors"
	"io"
	"io/fs"
	"net/http"
	"path"
	"slices"
	"strings"
)

// The page, as make page puts it together; without Node only a placeholder.
//
//go:embed all:site
var site embed.FS

// HasPage reports whether the page was built into the program.
func HasPage() bool {
	_, err := site.Open("site/page.js")
	return err == nil
}

// Nothing is loaded but from here, and nothing leaves. The decoder of compressed meshes
// is WebAssembly; meshes and pictures are handed over as blobs.
const policy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' blob: data:; " +
	"media-src 'self'; connect-src 'self' blob:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// A document that is opened by itself may not do anything. It may stand in a frame: the
// browser's own viewer of PDF puts it into one.
const documentPolicy = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"

// The types that are served; all else is handed over as bytes.
var contentTypes = map[string]string{
	".html": "text/html; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".css": "text/css; charset=utf-8",
	".json": "application/json", ".gltf": "model/gltf+json", ".glb": "model/gltf-binary", ".bin": "application/octet-stream",
	".png": "image/png", ".jpg": "image/jpeg", ".gif": "image/gif", ".webp": "image/webp", ".bmp": "image/bmp",
	".pdf": "application/pdf", ".mp4": "video/mp4", ".webm": "video/webm", ".txt": "text/plain; charset=utf-8",
}

// Preview serves the page at / and the tree's files below /tree/, to requests that call
// the server by one of hosts: a page of another site that has its own name lead here
// calls it by that name.
func Preview(tree *Tree, hosts []string) http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{name...}", servePage)
	mux.HandleFunc("GET /tree/{name...}", func(w http.ResponseWriter, r *http.Request) { serveFile(tree, w, r) })
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !slices.Contains(hosts, r.Host) {
			http.Error(w, "this server answers to its own address only", http.StatusMisdirectedRequest)
			return
		}
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cache-Control", "private, no-cache")
		mux.ServeHTTP(w, r)
	})
}

func servePage(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("name")
	if name == "" {
		name = "index.html"
	}
	file, err := site.Open("site/" + name)
	if err != nil || strings.HasPrefix(name, ".") {
		http.NotFound(w, r)
		return
	}
	defer file.Close()
	send(w, r, file, "")
}

func serveFile(tree *Tree, w http.ResponseWriter, r *http.Request) {
	file, digest, err := tree.Open(r.PathValue("name"))
	var damaged *DamagedError
	switch {
	case errors.As(err, &damaged):
		http.Error(w, damaged.What, http.StatusConflict)
		return
	case errors.Is(err, fs.ErrNotExist):
		http.NotFound(w, r)
		return
	case err != nil:
		http.Error(w, "cannot be read", http.StatusInternalServerError)
		return
	}
	defer file.Close()
	w.Header().Set("Content-Security-Policy", documentPolicy)
	send(w, r, file, digest)
}

func send(w http.ResponseWriter, r *http.Request, file fs.File, digest string) {
	info, err := file.Stat()
	content, seeks := file.(io.ReadSeeker)
	if err != nil || info.IsDir() || !seeks {
		http.NotFound(w, r)
		return
	}
	kind := contentTypes[path.Ext(info.Name())]
	if kind == "" {
		kind = "application/octet-stream"
		w.Header().Set("Content-Disposition", "attachment")
	}
	w.Header().Set("Content-Type", kind)
	if digest != "" {
		w.Header().Set("ETag", `"`+digest+`"`)
	}
	http.ServeContent(w, r, "", info.ModTime(), content)
}
