package web_test

import (
	"bytes"
	"context"
	"net/http"
	"strings"
	"testing"

	"slatewright/internal/book"
	"slatewright/internal/web"
)

func TestWhatIsNotThereIsAProblem(t *testing.T) {
	m := newMill(t)
	for _, path := range []string{"/api/v1/nothing", "/api/v1/", "/api/v1", "/api/v1//things", "/api/v1/./things", "/api/v1/things/../faults", "/nothing", "/", "/..%2fetc", "/api/v1/acts/dance"} {
		for _, method := range []string{"GET", "POST", "PUT", "BREW"} {
			refused(t, m.send(t, book.Lead, method, path, nil), "no-such-path")
		}
	}
	w := m.send(t, book.Lead, "DELETE", "/api/v1/things", nil)
	refused(t, w, "no-such-method")
	if got := w.Header().Get("Allow"); got != "GET" {
		t.Errorf("Allow: %s", got)
	}
	refused(t, m.send(t, book.Lead, "GET", "/api/v1/things?q="+strings.Repeat("x", 5000), nil), "address-too-long")
	p := refused(t, m.send(t, book.Lead, "GET", "/api/v1/things?colour=grey", nil), "not-valid")
	if p.Where != "query.colour" {
		t.Errorf("where %q", p.Where)
	}
}

func TestEveryAnswerHasTheHeaders(t *testing.T) {
	m := newMill(t)
	for _, path := range []string{"/api/v1/health", "/api/v1/nothing", "/", "/api/v1/openapi.json"} {
		h := m.send(t, "", "GET", path, nil).Header()
		if h.Get("X-Content-Type-Options") != "nosniff" || !strings.Contains(h.Get("Content-Security-Policy"), "default-src 'none'") ||
			h.Get("Referrer-Policy") != "no-referrer" || h.Get("Cache-Control") != "no-store" || h.Get("Slatewright-Data") != "" {
			t.Errorf("%s: %v", path, h)
		}
	}
}

func TestADemoSaysSoInEveryAnswer(t *testing.T) {
	h, err := web.New(t.Context(), web.Config{Ledger: newShelf(), Blobs: &crates{}, Gate: newPorter(), Queue: &line{}, Demo: true})
	if err != nil {
		t.Fatal(err)
	}
	m := &mill{handler: h}
	if got := m.send(t, "", "GET", "/api/v1/health", nil).Header().Get("Slatewright-Data"); got != "invented data, not a real certificate" {
		t.Errorf("a demo says %q", got)
	}
}

func TestAHandlerNeedsItsParts(t *testing.T) {
	if _, err := web.New(t.Context(), web.Config{}); err == nil {
		t.Error("a handler without a book")
	}
}

// A browser that writes for a page of another site is refused; reading and machines are not.
func TestWritesForOtherSitesAreRefused(t *testing.T) {
	m := newMill(t)
	refused(t, m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", weigh(1), "Sec-Fetch-Site", "cross-site"), "cross-origin")
	refused(t, m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", weigh(1), "Origin", "https://elsewhere.example"), "cross-origin")
	if len(m.shelf.entries) != 0 {
		t.Error("it was done all the same")
	}
	if w := m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", weigh(1), "Sec-Fetch-Site", "same-origin"); w.Code != http.StatusCreated {
		t.Errorf("same origin: %d", w.Code)
	}
	if w := m.send(t, book.Hand, "GET", "/api/v1/things", nil, "Sec-Fetch-Site", "cross-site"); w.Code != http.StatusOK {
		t.Errorf("reading: %d", w.Code)
	}
}

// failing is a book that cannot be read, or worse.
type failing struct {
	*shelf
	cause any
}

func (f failing) Stations(context.Context) (map[book.Station]map[book.Kind]int, error) {
	if err, ok := f.cause.(error); ok {
		return nil, err
	}
	panic(f.cause)
}

// A panic and an error that is nobody's trouble answer with a reference under which the log has the cause; the client does not
// see the cause.
func TestFaultsAreLoggedUnderAReference(t *testing.T) {
	for _, cause := range []any{"the saw is loose", http.ErrBodyNotAllowed, errorString("the saw is loose")} {
		m := newMill(t)
		h := withBook(t, m, failing{m.shelf, cause})
		p := refused(t, (&mill{handler: h, tokens: m.tokens}).send(t, book.Visitor, "GET", "/api/v1/stations", nil), "own-fault")
		if len(p.Reference) < 20 || !strings.Contains(m.log.String(), p.Reference) {
			t.Errorf("%v: reference %q, log %s", cause, p.Reference, m.log)
		}
		if strings.Contains(p.Detail+p.Where+p.Next, "saw") {
			t.Errorf("the client sees the cause: %+v", p)
		}
	}
}

type errorString string

func (e errorString) Error() string { return string(e) }

func TestAQuestionNobodyWaitsForIsBusy(t *testing.T) {
	m := newMill(t)
	h := withBook(t, m, failing{m.shelf, context.DeadlineExceeded})
	refused(t, (&mill{handler: h, tokens: m.tokens}).send(t, book.Visitor, "GET", "/api/v1/stations", nil), "busy")
}

func TestABodyHasItsLimits(t *testing.T) {
	m := newMill(t)
	refused(t, m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", `{"a":"`+strings.Repeat("x", 128<<10)+`"}`), "too-large")
	refused(t, m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", unsized{bytes.NewReader(make([]byte, 1<<20))}), "too-large")
	refused(t, m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", unsized{torn{}}), "bad-request")
	deep := strings.Repeat(`{"a":`, 5) + `"[[[[[[[[[[[[[[[[[[[[[[[[[[[\"[[[[["` + strings.Repeat("}", 5)
	refused(t, m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", deep), "not-valid") // brackets within quotes do not count
}
