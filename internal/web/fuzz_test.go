package web_test

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"

	"slatewright/internal/book"
	"slatewright/internal/web/api"
	"slatewright/internal/web/problem"
)

// mostMemory is what one request may take from the heap while it is answered, whatever it holds: the largest body has 1 MB, and
// JSON of the worst form makes some twenty times that of it.
const mostMemory = 48 << 20

// survive sends a head (request line and headers) and a body as a connection would give them, and holds the answer to what every
// answer must be: no panic, no fault, a problem in our form when it is one, memory within bounds. It returns the problem, if it is one.
func survive(t *testing.T, m *mill, head string, body []byte, role book.Role) (p problem.Problem) {
	t.Helper()
	r, err := http.ReadRequest(bufio.NewReader(strings.NewReader(head + "\r\n\r\n")))
	if err != nil {
		return p // the server itself answers that
	}
	r = r.WithContext(t.Context())
	r.Body, r.ContentLength, r.RemoteAddr = io.NopCloser(bytes.NewReader(body)), int64(len(body)), "192.0.2.1:1234"
	if role != "" {
		r.Header.Set("Authorization", "Bearer "+m.tokens[role])
	}
	if q := r.URL.Query(); q.Get("wait_s") != "" {
		return p // lawful, but slow
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	w := httptest.NewRecorder()
	m.handler.ServeHTTP(w, r)
	runtime.ReadMemStats(&after)
	if took := after.TotalAlloc - before.TotalAlloc; took > mostMemory {
		t.Fatalf("%d MB for %q with %d bytes", took>>20, head, len(body))
	}
	if w.Code >= 500 {
		t.Fatalf("%d for %q %q: %s\n%s", w.Code, head, body, w.Body, m.log)
	}
	if w.Code >= 400 && (w.Header().Get("Content-Type") != problem.ContentType || json.Unmarshal(w.Body.Bytes(), &p) != nil || p.Code == "" || p.Status != w.Code) {
		t.Fatalf("%d for %q is no problem: %s", w.Code, head, w.Body)
	}
	inPlainWords(t, p)
	return p
}

// goWords are those of the language the program is written in: nobody at a mill knows them.
var goWords = []string{"json:", "unmarshal", "Go ", "struct", "strconv", "invalid character", "parsing time", "2006-01", "float64", "EOF"}

// inPlainWords holds a problem to words that everybody knows.
func inPlainWords(t *testing.T, p problem.Problem) {
	t.Helper()
	for _, said := range append(p.Errors, problem.Field{Where: p.Where, Detail: p.Detail + " " + p.Next}) {
		for _, word := range goWords {
			if strings.Contains(said.Detail, word) {
				t.Errorf("%q in %+v", word, p)
			}
		}
	}
}

// renewed keeps a mill small: what fuzzing puts into it is forgotten now and then, and so is who was signed out.
func renewed(t testing.TB, m *mill) *mill {
	if m == nil || len(m.shelf.entries)+len(m.line.jobs)+len(m.crates.blobs) > 500 || len(m.porter.sessions) < 4 || len(m.porter.sessions) > 500 {
		return newMill(t)
	}
	return m
}

func FuzzEveryRoute(f *testing.F) {
	routes := api.Routes()
	if len(routes) == 0 {
		f.Fatal("no routes")
	}
	for i, r := range routes {
		body, err := json.Marshal(r.Example)
		if err != nil {
			f.Fatal(err)
		}
		path := strings.NewReplacer("{kind}", "piece", "{number}", "QH%2F0101", "{digest}", strings.Repeat("ab", 32)).Replace(r.Path)
		f.Add(fmt.Sprintf("%s %s%s HTTP/1.1\r\nHost: mill\r\nContent-Type: application/json", r.Method, api.Base, path), body, uint8(i))
	}
	f.Add("GET /api/v1/things?kind=piece&cursor=x&limit=3 HTTP/1.1\r\nHost: mill\r\nIf-None-Match: \"x\"", []byte{}, uint8(1))
	f.Add("POST http://else/where HTTP/1.0\r\nHost: a\r\nOrigin: null\r\nCookie: slatewright_session=x", []byte("{"), uint8(4))
	f.Add("BREW * HTTP/1.0", []byte{}, uint8(0))
	roles := append([]book.Role{""}, book.Roles()...)
	var m *mill
	f.Fuzz(func(t *testing.T, head string, body []byte, role uint8) {
		m = renewed(t, m)
		survive(t, m, head, body, roles[int(role)%len(roles)])
	})
}

// bytesPerRoute is how many random bytes a route gets: 100 kB, unless SLATEWRIGHT_RANDOM_BYTES says more.
func bytesPerRoute(t *testing.T) int {
	t.Helper()
	said := os.Getenv("SLATEWRIGHT_RANDOM_BYTES")
	if said == "" {
		return 100_000
	}
	n, err := strconv.Atoi(said)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// shower sends random bytes to a route, raw and worked into the route's own example.
func shower(t *testing.T, chance *rand.Rand, r api.Route, total int, m func() *mill) {
	t.Helper()
	example, err := json.Marshal(r.Example)
	if err != nil {
		t.Fatal(err)
	}
	for sent := 0; sent < total; {
		head := fmt.Sprintf("%s %s%s HTTP/1.1\r\nHost: mill\r\nContent-Type: application/json", r.Method, api.Base, pathLike(chance, r.Path))
		body := bodyLike(chance, example)
		if p := survive(t, m(), head, body, book.Lead); p.Code != "" && p.Code != "no-such-path" && !slices.Contains(r.Fails, p.Code) {
			t.Fatalf("%s %s: %s is not in its description: %+v", r.Method, r.Path, p.Code, p)
		}
		sent += len(head) + len(body)
	}
}

func TestRandomBytesAtEveryRoute(t *testing.T) {
	chance, total := rand.New(rand.NewPCG(3, 14)), bytesPerRoute(t)
	routes := api.Routes()
	if len(routes) == 0 {
		t.Fatal("no routes")
	}
	var m *mill
	for _, r := range routes {
		shower(t, chance, r, total, func() *mill { m = renewed(t, m); return m })
	}
}

// The same over a true book and a true gate, with a fifth of the bytes: each entry waits for the disk.
func TestRandomBytesAtARealBook(t *testing.T) {
	chance, total := rand.New(rand.NewPCG(15, 92)), bytesPerRoute(t)/5
	routes := api.Routes()
	if len(routes) == 0 {
		t.Fatal("no routes")
	}
	var m *mill
	for _, r := range routes {
		if m == nil || r.Tag == "sign-in" { // where somebody may be signed out
			real := newRealMill(t)
			m = &mill{handler: real.handler, tokens: real.tokens, log: &bytes.Buffer{}}
		}
		shower(t, chance, r, total, func() *mill { return m })
		if w := m.send(t, book.Lead, "GET", "/api/v1/session", nil); r.Tag != "sign-in" && w.Code != http.StatusOK {
			t.Fatalf("%s %s was asked by nobody: %s", r.Method, r.Path, w.Body)
		}
	}
}

// pathLike fills a path with bytes.
func pathLike(chance *rand.Rand, path string) string {
	for strings.Contains(path, "{") {
		from, to := strings.Index(path, "{"), strings.Index(path, "}")
		part := make([]byte, 1+chance.IntN(8))
		for i := range part {
			part[i] = byte(chance.Uint32())
		}
		path = path[:from] + fmt.Sprintf("%%%02x", part[0]) + strings.Trim(fmt.Sprintf("%x", part[1:]), "{}") + path[to+1:]
	}
	return path
}

// bodyLike is either raw bytes, or the example with some bytes changed, doubled or left out.
func bodyLike(chance *rand.Rand, example []byte) []byte {
	if chance.IntN(4) == 0 || len(example) < 5 {
		raw := make([]byte, chance.IntN(4000))
		for i := range raw {
			raw[i] = byte(chance.Uint32())
		}
		return raw
	}
	body := bytes.Clone(example)
	for range 1 + chance.IntN(4) {
		at := chance.IntN(len(body))
		switch chance.IntN(3) {
		case 0:
			body[at] = "{}[]\",:0-.e9tfn\\u\x00\xff"[chance.IntN(19)]
		case 1:
			body = append(body[:at:at], append(bytes.Clone(example[chance.IntN(len(example)):]), body[at:]...)...)
		default:
			body = append(body[:at:at], body[min(len(body), at+1+chance.IntN(8)):]...)
		}
		if len(body) == 0 {
			break
		}
	}
	return body
}

// The worst bodies of the largest size: what takes most memory for its length.
func TestTheWorstBodiesStayWithinBounds(t *testing.T) {
	oneAfterTheOther(t)
	m := newMill(t)
	for _, one := range []string{`[],`, `{},`, `0,`, `"",`, `{"":0},`, `{"id":1,"at":2,"station":3,"act":4,"body":5,"x":6},`} {
		for path, limit := range map[string]int{"acts/slice": 128 << 10, "entries": 1 << 20} {
			for _, form := range []string{`{"station":"saw","body":{"block":"B","how":"sawn","last":true,"slabs":[%s0]}}`, `{"entries":[%s0]}`} {
				body := []byte(fmt.Sprintf(form, strings.Repeat(one, (limit-len(form)-8)/len(one))))
				survive(t, m, "POST /api/v1/"+path+" HTTP/1.1\r\nHost: mill\r\nContent-Type: application/json", body, book.Lead)
			}
		}
	}
	many := strings.Builder{}
	for i := range 100_000 {
		fmt.Fprintf(&many, `"%x":0,`, i)
	}
	survive(t, m, "POST /api/v1/entries HTTP/1.1\r\nHost: mill\r\nContent-Type: application/json", []byte(`{"entries":[{`+many.String()+`"z":1}]}`), book.Lead)
}
