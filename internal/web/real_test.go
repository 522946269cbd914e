package web_test

import (
	"bufio"
	"crypto/rand"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/oklog/ulid/v2"

	"slatewright/internal/book"
	"slatewright/internal/gate"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/blobs"
	"slatewright/internal/ledger/credentials"
	"slatewright/internal/web"
	"slatewright/internal/web/api"
)

// realMill is the handler over a true book in a folder and a true gate, with one person of each role.
type realMill struct {
	handler http.Handler
	ledger  *ledger.Ledger
	tokens  map[book.Role]string
}

func newRealMill(t testing.TB) *realMill {
	t.Helper()
	l, err := ledger.Open(t.Context(), t.TempDir(), ledger.Options{Site: "quern-hollow", Create: true, Holder: "test", Clock: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := l.Close(); err != nil {
			t.Error(err)
		}
	})
	g := gate.New(credentials.New(l.Handles()), gate.Options{Clock: time.Now, Random: rand.Reader, Cost: gate.Cost{MemoryKiB: 64, Passes: 1, Lanes: 1}})
	m := &realMill{ledger: l, tokens: map[book.Role]string{}}
	m.first(t, &book.Settle{Name: "Quern Hollow", Answers: map[string]string{}, Demo: true})
	for _, role := range []book.Role{book.Lead, book.Inspector, book.Hand, book.Visitor} {
		person := people[role]
		m.first(t, &book.Appoint{Person: person, Role: role, Called: string(role)})
		if err := g.SetPassphrase(t.Context(), person, secret); err != nil {
			t.Fatal(err)
		}
		s, err := g.SignIn(t.Context(), person, secret, "a tablet of "+person, "192.0.2.1")
		if err != nil {
			t.Fatal(err)
		}
		m.tokens[role] = s.Token
	}
	kept, err := blobs.Open(t.Context(), t.TempDir(), blobs.Access{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := kept.Close(); err != nil {
			t.Error(err)
		}
	})
	m.handler, err = web.New(t.Context(), web.Config{Ledger: l, Blobs: kept, Gate: g, Queue: &line{}, Demo: true})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// first hands in an act for the program itself.
func (m *realMill) first(t testing.TB, act book.Act) {
	t.Helper()
	word, body, err := book.Encode(act)
	if err != nil {
		t.Fatal(err)
	}
	e := book.Entry{ID: ulid.Make().String(), Site: m.ledger.Site(), At: time.Now().UTC(), Person: "lead-1", Station: book.Office, Act: word, Body: body}
	if _, err := m.ledger.Append(t.Context(), book.Submission{Entry: e, Caller: book.Caller{Person: "lead-1", Role: book.Lead, System: true}}); err != nil {
		t.Fatal(err)
	}
}

// say sends a request as text: a line with method and path, headers, and a body.
func (m *realMill) say(t testing.TB, head, body string) (status, answer string) {
	t.Helper()
	line, headers, _ := strings.Cut(head, "\n")
	text := line + " HTTP/1.1\r\nHost: mill\r\n" + strings.ReplaceAll(headers, "\n", "\r\n")
	r, err := http.ReadRequest(bufio.NewReader(strings.NewReader(strings.TrimSpace(text) + "\r\n\r\n")))
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	r = r.WithContext(t.Context())
	r.Body, r.ContentLength, r.RemoteAddr = io.NopCloser(strings.NewReader(body)), int64(len(body)), "192.0.2.1:1234"
	w := httptest.NewRecorder()
	m.handler.ServeHTTP(w, r)
	return fmt.Sprintf("%d %s", w.Code, http.StatusText(w.Code)), w.Body.String()
}

// The book itself refuses each act to whoever is below its least role, and to nobody else for that reason.
func TestARealBookKnowsWhoMayDoWhat(t *testing.T) {
	m := newRealMill(t)
	asked := 0
	for _, r := range api.Routes() {
		if r.Tag != "acts" {
			continue
		}
		for _, role := range book.Roles() {
			asked++
			example := maps.Clone(r.Example.(map[string]any))
			delete(example, "id")
			delete(example, "at")
			body, err := json.Marshal(example)
			if err != nil {
				t.Fatal(err)
			}
			status, answer := m.say(t, "POST "+api.Base+r.Path+"\nAuthorization: Bearer "+m.tokens[role], string(body))
			if barred := strings.Contains(answer, `"not-allowed"`); barred == role.Covers(r.Least) || status[0] == '5' {
				t.Errorf("%s as %s: %s %s, and its least role is %s", r.Path, role, status, answer, r.Least)
			}
		}
	}
	if asked < 4*len(book.Acts()) {
		t.Errorf("%d requests", asked)
	}
}

// A PIN never certifies, a machine never does, and the passphrase alone does not make an inspector.
func TestARealGateLetsOnlyThePassphraseCertify(t *testing.T) {
	m := newRealMill(t)
	digest := strings.Repeat("ab", 32)
	certify := `{"station":"bench","passphrase":"` + secret + `","body":{"set":"QH-12","certificate":"C-1","digest":"` + digest + `","blob":"` + digest + `","key":"k"}}`
	post := func(token, path, body string) (string, object) {
		_, answer := m.say(t, "POST "+api.Base+path+"\nAuthorization: Bearer "+token, body)
		var got object
		if err := json.Unmarshal([]byte(answer), &got); err != nil {
			t.Fatal(err)
		}
		code, _ := got["code"].(string)
		return code, got
	}
	lead := m.tokens[book.Lead]
	_, machine := post(lead, "/tokens", `{"name":"scanner-1","role":"inspector","days":1}`)
	_, full := post("", "/session", `{"person":"bench-1","passphrase":"`+secret+`","token":true}`)
	if _, answer := m.say(t, "PUT "+api.Base+"/people/bench-1/pin\nAuthorization: Bearer "+full["token"].(string), `{"new":"482913","passphrase":"`+secret+`"}`); answer != "" {
		t.Fatal(answer)
	}
	_, pin := post("", "/session/switch", `{"person":"bench-1","pin":"482913","token":true,"tablet":"`+full["tablet"].(string)+`"}`)
	for token, want := range map[string]string{
		machine["token"].(string): "not-allowed", pin["token"].(string): "not-allowed", m.tokens[book.Hand]: "not-allowed", m.tokens[book.Inspector]: "no-such-thing",
	} {
		if code, answer := post(token, "/acts/certify", certify); code != want {
			t.Errorf("%v, want %s", answer, want)
		}
	}
}
