package web

import (
	"bytes"
	"net/http"
	"regexp"
	"strconv"
	"strings"
)

// ownAddress finds the addresses of the mill in a page, but for files that all pages share and the reader's own choices.
var ownAddress = regexp.MustCompile(`([a-z-]+="/)((?:static/|manifest\.webmanifest|reader"|live|sw\.js)?)`)

// keepWithin puts all addresses in the pages of a handler below another one.
func keepWithin(at string, h http.Handler) http.Handler {
	below := []byte("${1}" + strings.TrimPrefix(at, "/") + "/")
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasSuffix(r.URL.Path, "/live") { // never ends
			h.ServeHTTP(w, r)
			return
		}
		held := &held{ResponseWriter: w, code: http.StatusOK}
		h.ServeHTTP(held, r)
		text := held.body.Bytes()
		if strings.HasPrefix(w.Header().Get("Content-Type"), "text/html") {
			text = ownAddress.ReplaceAllFunc(text, func(found []byte) []byte {
				if parts := ownAddress.FindSubmatch(found); len(parts[2]) > 0 {
					return found
				}
				return ownAddress.ReplaceAll(found, below)
			})
			w.Header().Set("Content-Length", strconv.Itoa(len(text)))
		}
		w.WriteHeader(held.code)
		_, _ = w.Write(text) // a browser that has gone cannot be told so
	})
}

// held is an answer that is not sent yet.
type held struct {
	http.ResponseWriter
	code int
	body bytes.Buffer
}

func (h *held) WriteHeader(code int)        { h.code = code }
func (h *held) Write(b []byte) (int, error) { return h.body.Write(b) }
