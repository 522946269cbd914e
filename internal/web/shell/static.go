package shell

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"io/fs"
	"net/http"
	"path"
	"regexp"
	"strings"
	"time"
)

//go:embed look
var lookFiles embed.FS

// static serves the frame's own files and the bundled scripts. The name of each holds a part of its digest: what a browser has
// kept under it is never old.
type static struct {
	named   map[string]string // file → its name with the digest
	content map[string][]byte // name with the digest → content
	bundled Scripts
}

func newStatic(bundled Scripts) *static {
	s := &static{named: map[string]string{}, content: map[string][]byte{}, bundled: bundled}
	entries, err := fs.ReadDir(lookFiles, "look")
	if err != nil {
		panic(err) // embedded
	}
	for _, e := range entries {
		text, err := lookFiles.ReadFile("look/" + e.Name())
		if err != nil {
			panic(err)
		}
		sum := sha256.Sum256(text)
		ext := path.Ext(e.Name())
		name := strings.TrimSuffix(e.Name(), ext) + "-" + hex.EncodeToString(sum[:6]) + ext
		s.named[e.Name()], s.content[name] = name, text
	}
	return s
}

func (s *static) path(name string) string { return "/static/" + s.named[name] }

// scripts returns the addresses of the scripts that there are of some names. A script brings its style along.
func (s *static) scripts(names []string) (list []string) {
	if s.bundled == nil {
		return nil
	}
	for _, name := range names {
		if p := s.bundled.Path(name); p != "" {
			list = append(list, p)
		}
	}
	return list
}

// longKept is for files whose name changes with their content.
const longKept = "public, max-age=31536000, immutable"

// digested are the names of bundled files that hold a part of their digest.
var digested = regexp.MustCompile(`-[0-9A-Z]{8}\.(js|css)$`)

func (s *static) ServeHTTP(w http.ResponseWriter, q *http.Request) {
	name := strings.TrimPrefix(q.URL.Path, "/static/")
	if text, ok := s.content[name]; ok {
		w.Header().Set("Cache-Control", longKept)
		http.ServeContent(w, q, name, time.Time{}, bytes.NewReader(text))
		return
	}
	if s.bundled != nil {
		if info, err := fs.Stat(s.bundled.Files(), name); err == nil && info.Mode().IsRegular() {
			keep := "no-cache"
			if digested.MatchString(name) {
				keep = longKept
			}
			w.Header().Set("Cache-Control", keep)
			http.ServeFileFS(w, q, s.bundled.Files(), name)
			return
		}
	}
	http.NotFound(w, q)
}

// worker is the script that keeps pages on a tablet. Its address stays, so browsers ask for it again each time.
func (s *Shell) worker(w http.ResponseWriter, q *http.Request) {
	name := ""
	if s.Scripts != nil {
		name = strings.TrimPrefix(s.Scripts.Path("sw"), "/static/")
	}
	if name == "" {
		http.NotFound(w, q)
		return
	}
	s.setHeaders(w) // what it fetches is held against its own policy
	w.Header().Set("Cache-Control", "no-cache")
	http.ServeFileFS(w, q, s.Scripts.Files(), name)
}

// manifest lets a tablet put the mill's pages on its home screen.
func (s *Shell) manifest(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "application/manifest+json")
	_ = json.NewEncoder(w).Encode(map[string]any{ // a browser that has gone cannot be told so
		"name": s.Mill, "short_name": s.Mill, "start_url": "/", "display": "standalone", "background_color": "#f3f1ec", "theme_color": "#21272d",
		"icons": []map[string]string{{"src": s.static.path("mark.svg"), "sizes": "any", "type": "image/svg+xml"}},
	})
}
