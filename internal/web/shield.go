package web

import (
	"log/slog"
	"net/http"
	"path"
	"runtime/debug"
	"slices"
	"strings"

	"slatewright/internal/web/api"
	"slatewright/internal/web/problem"
)

// longestTarget is the longest path with query that is read: the longest lawful question has some 600 bytes.
const longestTarget = 4096

// shield puts the walls around a handler, from the outside in: panics, headers, targets that are too long or not clean, and
// writes that a browser sends for another site.
func shield(h http.Handler, log *slog.Logger, demo bool) http.Handler {
	return survivePanics(setHeaders(refuseTargets(refuseOthers(h)), demo), log)
}

// survivePanics answers a panic with a fault that can be found in the log.
func survivePanics(h http.Handler, log *slog.Logger) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		began := &answer{ResponseWriter: w}
		defer func() {
			cause := recover()
			if cause == nil {
				return
			}
			if cause == http.ErrAbortHandler || began.begun { // half an answer must not look whole
				if cause != http.ErrAbortHandler {
					log.Error("panic within an answer", "method", r.Method, "path", r.URL.Path, "cause", cause, "stack", string(debug.Stack()))
				}
				panic(http.ErrAbortHandler)
			}
			p := problem.Fault()
			log.Error("panic", "reference", p.Reference, "method", r.Method, "path", r.URL.Path, "cause", cause, "stack", string(debug.Stack()))
			p.Write(w)
		}()
		h.ServeHTTP(began, r)
	})
}

// answer knows whether it has begun.
type answer struct {
	http.ResponseWriter
	begun bool
}

func (a *answer) WriteHeader(status int) {
	a.begun = true
	a.ResponseWriter.WriteHeader(status)
}

func (a *answer) Write(b []byte) (int, error) {
	a.begun = true
	return a.ResponseWriter.Write(b)
}

// Unwrap lets http.ResponseController reach the connection.
func (a *answer) Unwrap() http.ResponseWriter { return a.ResponseWriter }

// headers are set on every answer; a page that needs more says so itself.
var headers = map[string]string{
	"Cache-Control":                "no-store",
	"Content-Security-Policy":      "default-src 'none'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'",
	"Cross-Origin-Opener-Policy":   "same-origin",
	"Cross-Origin-Resource-Policy": "same-origin",
	"Referrer-Policy":              "no-referrer",
	"X-Content-Type-Options":       "nosniff",
}

func setHeaders(h http.Handler, demo bool) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		for name, value := range headers {
			w.Header().Set(name, value)
		}
		if demo {
			w.Header().Set("Slatewright-Data", "invented data, not a real certificate")
		}
		h.ServeHTTP(w, r)
	})
}

// refuseTargets refuses what is too long, and paths that the mux would send elsewhere with a page of its own.
func refuseTargets(h http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch p := r.URL.EscapedPath(); {
		case len(p)+len(r.URL.RawQuery) > longestTarget:
			problem.New("address-too-long", "", "the address is too long", "use the body for what is long").Write(w)
		case !strings.HasPrefix(p, "/") || path.Clean(p) != strings.TrimSuffix(p, "/") && p != "/":
			noSuchPath(w)
		default:
			h.ServeHTTP(w, r)
		}
	})
}

// refuseOthers refuses writes that a browser sends for a page of another site. Machines send neither header and pass.
func refuseOthers(h http.Handler) http.Handler {
	guard := http.NewCrossOriginProtection()
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if guard.Check(r) != nil {
			problem.New("cross-origin", "", "this came from a page of another site", "use the mill's own pages, or a program with a token").Write(w)
			return
		}
		h.ServeHTTP(w, r)
	})
}

// noPage answers where no pages are served.
func noPage(w http.ResponseWriter, _ *http.Request) { noSuchPath(w) }

func noSuchPath(w http.ResponseWriter) {
	problem.New("no-such-path", "", "there is nothing at this address", "the addresses stand in /api/v1/openapi.json").Write(w)
}

// methods are those that the mux is asked for when another was used.
var methods = []string{http.MethodDelete, http.MethodGet, http.MethodPost, http.MethodPut}

// unknown answers what the mux has no route for: nothing there, or not with that method. A person gets a page.
func unknown(mux *http.ServeMux, page http.HandlerFunc) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		allowed := slices.DeleteFunc(slices.Clone(methods), func(method string) bool {
			_, pattern := mux.Handler(&http.Request{Method: method, URL: r.URL, Host: r.Host})
			return pattern == "/" || pattern == ""
		})
		if len(allowed) == 0 && !strings.HasPrefix(r.URL.Path, api.Base) && strings.Contains(r.Header.Get("Accept"), "text/html") {
			page(w, r)
			return
		}
		if len(allowed) == 0 {
			noSuchPath(w)
			return
		}
		w.Header().Set("Allow", strings.Join(allowed, ", "))
		problem.New("no-such-method", "", r.Method+" cannot be done here", "use "+strings.Join(allowed, " or ")).Write(w)
	}
}
