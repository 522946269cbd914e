package web_test

import (
	"cmp"
	"crypto/tls"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"

	"slatewright/internal/book"
	"slatewright/internal/web/pagetest"
	"slatewright/internal/web/script"
)

// walls are the headers that every answer of the pages has, word for word.
var walls = map[string]string{
	"Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; font-src 'self'; " +
		"manifest-src 'self'; worker-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'",
	"Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}

// wallsOfAll are those that everything has, files too.
var wallsOfAll = map[string]string{
	"X-Content-Type-Options":       "nosniff",
	"Referrer-Policy":              "no-referrer",
	"Cross-Origin-Opener-Policy":   "same-origin",
	"Cross-Origin-Resource-Policy": "same-origin",
	"Slatewright-Data":             "invented data, not a real certificate",
}

// kinds are what the routes that answer with no page answer with.
var kinds = map[string]string{"/piece/{number}/map": "application/json", "/piece/{number}/profile": "application/json", "/piece/{number}/judge-face.json": "application/json", "/set/{number}/map": "application/json",
	"/piece/{number}/map.svg": "image/svg+xml", "/set/{number}/map.svg": "image/svg+xml", "/set/{number}/frame.svg": "image/svg+xml", "/sag.svg": "image/svg+xml", "/live": "text/event-stream", "/certificate/{number}/json": "application/json",
	"/certificate/{number}/pdf": "application/pdf", "/set/{number}/labels.pdf": "application/pdf", "/trust/root.crt": "application/x-x509-ca-cert"}

func wants(t *testing.T, what string, w *httptest.ResponseRecorder, headers map[string]string) {
	t.Helper()
	for name, want := range headers {
		if got := w.Header().Values(name); len(got) != 1 || got[0] != want {
			t.Errorf("%s: %s is %q, want %q", what, name, got, want)
		}
	}
}

// holdToWalls holds an answer against the walls: every route answers everybody behind the same ones, with what it says it is, and keeps
// nothing in a browser that a sign-out would leave there. No cookie can be read by a script or goes along with a form of another site.
func holdToWalls(t *testing.T, p permission, w *httptest.ResponseRecorder) (cookies int) {
	t.Helper()
	what := p.route + " " + p.path
	if strings.HasPrefix(p.path, "/manifest") {
		wants(t, what, w, wallsOfAll)
		return 0
	}
	wants(t, what, w, walls)
	wants(t, what, w, wallsOfAll)
	wants(t, what, w, map[string]string{"Cache-Control": "no-store"})
	_, route, _ := strings.Cut(p.route, " ")
	if w.Code == http.StatusOK && route != "/bench/{number}/so-far" {
		wants(t, what, w, map[string]string{"Content-Type": cmp.Or(kinds[route], "text/html; charset=utf-8")})
	}
	for _, c := range w.Result().Cookies() {
		cookies++
		if !c.HttpOnly || c.SameSite != http.SameSiteLaxMode || c.Path != "/" || c.Domain != "" {
			t.Errorf("%s sets %s", what, c)
		}
	}
	return cookies
}

// What is not there, and a book that cannot be read, are behind the walls too.
func faultsHaveHeaders(t *testing.T, s *story) {
	lead := s.SignIn(t, s.handler, "lead")
	for _, at := range []string{"/nothing", "/piece/QH-9999", "/specimen/failing/instruments", "/specimen/empty/piece/QH-1002"} {
		w := lead.Do(t, http.MethodGet, at, "", nil, "Accept", "text/html")
		if holdToWalls(t, permission{path: at}, w); w.Code < 400 {
			t.Errorf("%s: %d %s", at, w.Code, w.Header())
		}
	}
}

// Over TLS every cookie is for TLS alone.
func cookiesAreSecureOverTLS(t *testing.T, s *story) {
	over := http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
		q.TLS = &tls.ConnectionState{}
		s.handler.ServeHTTP(w, q)
	})
	cookies := 0
	for _, p := range permissions {
		if p.form == nil || !strings.Contains("POST /sign-in POST /switch POST /sign-out POST /reader", p.route) {
			continue
		}
		for _, c := range p.ask(t, s.SignIn(t, over, "lead")).Result().Cookies() {
			if cookies++; !c.Secure {
				t.Errorf("%s sets %s", p.route, c)
			}
		}
	}
	if cookies < 4 {
		t.Errorf("%d cookies", cookies)
	}
}

var (
	staticFile = regexp.MustCompile(`(?:href|src)="(/static/[^"]+)"`)
	digested   = regexp.MustCompile(`-[0-9a-zA-Z]{8,16}\.[a-z0-9]+$`)
	nothingIn  = regexp.MustCompile(`(?i)unsafe-|<script(?: type="module")?>|\son[a-z]+="|\sstyle="|javascript:`)
)

// Whatever a page loads has its digest in its name and is kept for ever; the pages themselves hold no script, no style and no address of
// another host.
func whatPagesLoad(t *testing.T, s *story) {
	lead := s.SignIn(t, s.handler, "lead")
	loaded := map[string]bool{}
	for _, p := range permissions {
		if p.form != nil || p.path == "/live" {
			continue
		}
		w := lead.Get(t, p.path)
		if !strings.HasPrefix(w.Header().Get("Content-Type"), "text/html") {
			continue
		}
		if bad := nothingIn.FindString(w.Body.String()); bad != "" {
			t.Errorf("%s holds %q", p.path, bad)
		}
		for _, found := range staticFile.FindAllStringSubmatch(w.Body.String(), -1) {
			loaded[found[1]] = true
		}
	}
	if len(loaded) == 0 {
		t.Fatal("no page loads anything")
	}
	err := fs.WalkDir(script.Bundle{}.Files(), ".", func(name string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() && digested.MatchString(name) {
			loaded["/static/"+name] = true
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	kinds := map[string]string{".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml", ".woff2": "font/woff2"}
	for at := range loaded {
		w := s.SignIn(t, s.handler, "").Get(t, at)
		if w.Code != http.StatusOK || !digested.MatchString(at) {
			t.Errorf("%s: %d", at, w.Code)
		}
		wants(t, at, w, wallsOfAll)
		wants(t, at, w, map[string]string{"Cache-Control": "public, max-age=31536000, immutable", "Content-Type": kinds[at[strings.LastIndex(at, "."):]]})
		if policy := w.Header().Get("Content-Security-Policy"); !strings.Contains(policy, "default-src 'none'") || strings.Contains(policy, "unsafe") {
			t.Errorf("%s: policy %q", at, policy)
		}
	}
	for _, at := range []string{"/static/", "/static/look.css", "/static/../go.mod", "/static/..%2f..%2fgo.mod", "/static/%2e%2e/%2e%2e/go.mod", "/static//etc/passwd", "/static/%00", "/static/look/look.css"} {
		if w := lead.Get(t, at); w.Code != http.StatusNotFound {
			t.Errorf("%s: %d", at, w.Code)
		}
	}
}

// A form that a browser sends for a page of another site is refused on every route that takes one, whoever is signed in, and the book has
// no entry more.
func noOtherSiteWrites(t *testing.T, s *story) {
	table := map[string]permission{}
	for _, p := range permissions {
		table[p.route] = p
	}
	list, err := s.Raw.Entries(t.Context(), 0, 100_000)
	if err != nil || len(list) == 0 {
		t.Fatal(len(list), err)
	}
	tried := 0
	for _, r := range written(s.frame.Routes()) {
		asked, ok := table[r.Method+" "+r.Path]
		if !ok {
			t.Errorf("%s %s has no row in the table of permissions", r.Method, r.Path)
			continue
		}
		for _, from := range [][]string{{"Sec-Fetch-Site", "cross-site"}, {"Sec-Fetch-Site", "same-site"}, {"Origin", "https://elsewhere.example"}, {"Origin", "null"}} {
			for _, person := range []string{"", "lead"} {
				tried++
				b := s.SignIn(t, http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
					q.Header.Set(from[0], from[1])
					s.handler.ServeHTTP(w, q)
				}), person)
				w := asked.ask(t, b)
				if w.Code != http.StatusForbidden || !strings.Contains(w.Body.String(), "cross-origin") || len(w.Result().Cookies()) > 0 {
					t.Errorf("%s %s with %s: %s as %q: %d %.200s", r.Method, r.Path, from[0], from[1], person, w.Code, w.Body)
				}
			}
		}
	}
	after, err := s.Raw.Entries(t.Context(), list[len(list)-1].Seq, 10)
	if err != nil || len(after) > 0 || tried < 100 {
		t.Errorf("%d entries more after %d tries (%v)", len(after), tried, err)
	}
}

// odd are values that name no thing, and would name files elsewhere if anybody took them for a path.
var odd = []string{"..%2f..%2f..%2fetc%2fpasswd", "%2e%2e%2fmill.db", "%2fetc%2fpasswd", "C:%5cwindows%5cwin.ini", "a%00b", "%00", "%0d%0aSet-Cookie:x", "%ff%fe", "..", "%2e%2e",
	"." + strings.Repeat("%2f..", 40), strings.Repeat("x", 3000), "file:%2f%2f%2fetc%2fpasswd"}

// Wherever an address takes a value, none leads out of the book: what is not there is said to be not there or not valid, by a page.
func noAddressLeadsOut(t *testing.T, s *story) {
	lead := s.SignIn(t, s.handler, "lead")
	tried := 0
	for _, p := range permissions {
		if !strings.Contains(p.route, "{") || strings.Contains(p.route, "{$}") {
			continue
		}
		for _, value := range odd {
			for _, path := range filledWith(p.route, value) {
				tried++
				asked := p
				asked.path = path
				w := asked.ask(t, lead)
				if w.Code/100 != 4 || strings.Contains(w.Body.String(), "root:") {
					t.Errorf("%s %s: %d %.200s", p.route, path, w.Code, pagetest.Text(mainOf(w)))
				}
				if w.Header().Get("Set-Cookie") != "" {
					t.Errorf("%s sets a cookie", path)
				}
			}
		}
	}
	if tried < 300 {
		t.Errorf("%d addresses", tried)
	}
	for _, at := range []string{"/piece/QH-1002/map?reading=..%2f..%2fmill.db", "/specimen/..%2ffull/", "/specimen/full/..%2f..%2fetc"} {
		if w := lead.Get(t, at); w.Code/100 != 4 {
			t.Errorf("%s: %d", at, w.Code)
		}
	}
	for _, name := range []string{"..", "../../mill.db", "/etc/passwd", "a\x00b"} { // a file's digest that is no digest
		w := lead.Send(t, "/do/read", fields("_entry", entry(), "thing", "piece:QH-1053", "what", "other", "instruments", "QH-D2", "blob", name))
		if w.Code/100 != 4 || !strings.Contains(w.Body.String(), "told bad") {
			t.Errorf("a file by the name %q: %d", name, w.Code)
		}
	}
}

// filledWith are the addresses of a route with an odd value in each of its places, the others filled sensibly.
func filledWith(route, value string) (paths []string) {
	_, path, _ := strings.Cut(route, " ")
	sensible := strings.NewReplacer("{station}", "saw", "{act}", "weigh", "{kind}", "piece", "{number}", "QH-1002")
	for i := range strings.Count(path, "{") {
		at := 0
		for range i {
			at += strings.Index(path[at:], "{") + 1
		}
		at += strings.Index(path[at:], "{")
		to := at + strings.Index(path[at:], "}") + 1
		paths = append(paths, sensible.Replace(path[:at])+value+sensible.Replace(path[to:]))
	}
	return paths
}

// files are what must not be taken for readings: by its content, whatever its name says.
var files = map[string]struct {
	name    string
	content []byte
}{
	"a picture":       {"readings.csv", append([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"), make([]byte, 200)...)},
	"a page":          {"scan.ply", []byte("<!DOCTYPE html><html><script>alert(1)</script></html>")},
	"a drawing":       {"scan.ply", []byte(`<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>`)},
	"nothing":         {"readings.csv", nil},
	"too much":        {"readings.csv", []byte(readings("QH-1053") + strings.Repeat("1,1,0.001\n", 8000))},
	"a program":       {"readings.csv", append([]byte("MZ\x90\x00\x03\x00\x00\x00"), make([]byte, 300)...)},
	"packed":          {"readings.csv", append([]byte("PK\x03\x04\x14\x00"), make([]byte, 300)...)},
	"no readings":     {"readings.csv", []byte("dear inspector,\nthe face is flat\n")},
	"another piece's": {"readings.csv", []byte(readings("QH-1045"))},
}

// onlyFaces are the files that may well be kept beside a survey or a calibration, and are no readings of this piece.
var onlyFaces = map[string]bool{"a picture": true, "no readings": true, "another piece's": true}

// takesFiles are the forms in which a file can lie.
var takesFiles = map[string]func() (path string, pairs []string){
	"a reading at the bench": func() (string, []string) {
		return "/bench/QH-1053", []string{"face", "top", "instrument", "QH-D2", "bench", "QH-B1", "support", "bench"}
	},
	"a reading": func() (string, []string) {
		return "/do/read", []string{"thing", "piece:QH-1053", "what", "top", "instruments", "QH-D2", "bench", "QH-B1", "support", "bench"}
	},
	"a lay-up": func() (string, []string) {
		return "/do/lay-up", []string{"set", "QH-S112", "pieces", "QH-1033, QH-1037, QH-1015", "steps_mm", "0.04, 0.04", "instruments", "QH-D2"}
	},
	"a judgement": func() (string, []string) { return "/do/judge", []string{"set", "QH-S106", "verdict", "conforms"} },
	"a survey":    func() (string, []string) { return "/do/survey", []string{"thing", "layer:QH-L1", "cracks", "3"} },
	"a calibration": func() (string, []string) {
		return "/do/calibrate", []string{"thing", "instrument:QH-D2", "good", "yes", "due", "2027-11-25"}
	},
}

// Files are looked into before anything is written: what is none that can be meant there is refused with a page that says so, and the form
// keeps what was typed.
func filesAreTakenByTheirContent(t *testing.T, s *story) {
	lead := s.SignIn(t, s.handler, "lead")
	list, err := s.Raw.Entries(t.Context(), 0, 100_000)
	if err != nil {
		t.Fatal(err)
	}
	last := list[len(list)-1].Seq
	tried := 0
	for form, of := range takesFiles {
		for file, f := range files {
			if onlyFaces[file] && (form == "a survey" || form == "a calibration") {
				continue
			}
			tried++
			path, pairs := of()
			w := lead.SendFile(t, path, fields(append([]string{"_entry", entry()}, pairs...)...), f.name, f.content)
			if w.Code/100 != 4 || !strings.Contains(w.Body.String(), "told bad") {
				t.Errorf("%s in the form of %s: %d %.300s", file, form, w.Code, pagetest.Text(mainOf(w)))
			}
			if !strings.Contains(w.Body.String(), `<form class="act`) {
				t.Errorf("%s in the form of %s: the form is gone: %d %.300s", file, form, w.Code, pagetest.Text(mainOf(w)))
			}
		}
	}
	if more, err := s.Raw.Entries(t.Context(), last, 10); err != nil || len(more) > 0 || tried < 40 {
		t.Errorf("%d entries more after %d files (%v)", len(more), tried, err)
	}
	for form, content := range map[string][]byte{"a reading at the bench": []byte(readings("QH-1053")), "a reading": []byte(readings("QH-1053")), "a survey": files["a picture"].content,
		"a calibration": []byte("%PDF-1.7 of the laboratory")} {
		path, pairs := takesFiles[form]()
		if w := lead.SendFile(t, path, fields(append([]string{"_entry", entry()}, pairs...)...), "../../../mill.db", content); w.Code != http.StatusSeeOther {
			t.Errorf("a good file in the form of %s: %d %.300s", form, w.Code, pagetest.Text(mainOf(w)))
		}
	}
}

// Wherever a form takes a file, this test knows of it.
func everyFormWithAFileIsKnown(t *testing.T, s *story) {
	lead := s.SignIn(t, s.handler, "lead")
	known := map[string]bool{}
	for _, of := range takesFiles {
		path, _ := of()
		known[path] = true
	}
	for _, act := range book.Acts() {
		path := "/do/" + act.Word()
		if found := strings.Contains(lead.Get(t, path).Body.String(), `type="file"`); found != known[path] {
			t.Errorf("%s takes a file: %v; this test says %v", path, found, known[path])
		}
	}
}
