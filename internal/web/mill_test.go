package web_test

import (
	"bytes"
	"encoding/json"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/gate"
	"slatewright/internal/web"
	"slatewright/internal/web/api"
	"slatewright/internal/web/problem"
)

var morning = time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC)

const secret = "slate under the north light"

// mill is the handler over fakes, with one person of each role signed in.
type mill struct {
	handler http.Handler
	shelf   *shelf
	porter  *porter
	crates  *crates
	line    *line
	log     *bytes.Buffer
	tokens  map[book.Role]string
}

// people are the persons of the mill by role.
var people = map[book.Role]string{book.Visitor: "visitor-1", book.Hand: "saw-1", book.Inspector: "bench-1", book.Lead: "lead-1"}

func newMill(t testing.TB) *mill {
	t.Helper()
	m := &mill{shelf: newShelf(), porter: newPorter(), crates: &crates{blobs: map[string][]byte{}}, line: &line{}, log: &bytes.Buffer{}, tokens: map[book.Role]string{}}
	for role, person := range people {
		m.shelf.put(book.Ref{Kind: book.KindPerson, ID: person}, map[string]any{"role": role})
		m.porter.passphrases[person], m.porter.pins[person] = secret, "4711"
		m.tokens[role] = m.porter.begin(gate.Identity{Person: person, Full: true}).Token
	}
	m.shelf.put(book.Ref{Kind: book.KindPiece, ID: "QH/0101"}, map[string]any{"length_mm": 1473})
	m.shelf.put(book.Ref{Kind: book.KindMill, ID: "quern-hollow"}, book.MillState{Name: "Quern Hollow", Answers: map[string]string{"state": "laid"}, Route: book.DefaultRoute(), Demo: true})
	h, err := web.New(t.Context(), web.Config{Ledger: m.shelf, Blobs: m.crates, Gate: m.porter, Queue: m.line, Clock: func() time.Time { return morning },
		Log: slog.New(slog.NewTextHandler(m.log, nil)), MaxUpload: 1 << 16, Version: "test"})
	if err != nil {
		t.Fatal(err)
	}
	m.handler = h
	return m
}

// send asks as a person of a role; "" and anybody are nobody who is signed in. A body that is no string is sent as JSON.
func (m *mill) send(t testing.TB, role book.Role, method, path string, body any, more ...string) *httptest.ResponseRecorder {
	t.Helper()
	var content io.Reader
	switch b := body.(type) {
	case nil:
	case string:
		content = strings.NewReader(b)
	case io.Reader:
		content = b
	default:
		text, err := json.Marshal(b)
		if err != nil {
			t.Fatal(err)
		}
		content = bytes.NewReader(text)
	}
	r := httptest.NewRequestWithContext(t.Context(), method, path, content)
	if body != nil {
		r.Header.Set("Content-Type", "application/json")
	}
	if role != "" && role != api.Anybody {
		r.Header.Set("Authorization", "Bearer "+m.tokens[role])
	}
	for i := 0; i+1 < len(more); i += 2 {
		r.Header.Set(more[i], more[i+1])
	}
	w := httptest.NewRecorder()
	m.handler.ServeHTTP(w, r)
	return w
}

// into reads an answer that must have the status.
func into[T any](t testing.TB, w *httptest.ResponseRecorder, status int) (out T) {
	t.Helper()
	if w.Code != status {
		t.Fatalf("status %d, want %d: %s", w.Code, status, w.Body)
	}
	if err := json.Unmarshal(w.Body.Bytes(), &out); err != nil {
		t.Fatalf("%v in %s", err, w.Body)
	}
	return out
}

// refused reads a problem and holds it to its form.
func refused(t testing.TB, w *httptest.ResponseRecorder, code string) problem.Problem {
	t.Helper()
	var p problem.Problem
	if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil {
		t.Fatalf("%d, no problem: %s", w.Code, w.Body)
	}
	if p.Code != code || p.Status != w.Code || p.Type != "about:blank" || p.Title != http.StatusText(w.Code) || p.Detail == "" ||
		w.Header().Get("Content-Type") != problem.ContentType {
		t.Fatalf("status %d, type %q, want a problem with the code %s: %s", w.Code, w.Header().Get("Content-Type"), code, w.Body)
	}
	return p
}

type object = map[string]any

func weigh(mass float64) object {
	return object{"station": "bench", "body": object{"thing": "piece:QH-0101", "scale": "SCALE-1", "mass_kg": mass}}
}
