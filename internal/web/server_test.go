package web_test

import (
	"context"
	"io"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"sync"
	"testing"

	"slatewright/internal/book"
	"slatewright/internal/web"
)

// listening is a mill behind a true connection.
func listening(t *testing.T, m *mill) (*http.Server, string) {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	s := web.Server(m.handler, slog.New(slog.DiscardHandler))
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		_ = s.Serve(l) // ends with Close
	}()
	t.Cleanup(func() { _ = s.Close(); <-ended })
	return s, "http://" + l.Addr().String()
}

// Two gigabytes are refused before they are sent, though the connection is a true one and the sender eager.
func TestTwoGigabytesAreRefusedOnTheWire(t *testing.T) {
	m := newMill(t)
	_, at := listening(t, m)
	body := &endless{}
	r, err := http.NewRequestWithContext(t.Context(), "POST", at+"/api/v1/blobs", io.LimitReader(body, 2<<30))
	if err != nil {
		t.Fatal(err)
	}
	r.ContentLength = 2 << 30
	r.Header.Set("Authorization", "Bearer "+m.tokens[book.Hand])
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusRequestEntityTooLarge || m.crates.read != 0 {
		t.Errorf("%d, %d bytes taken", answer.StatusCode, m.crates.read)
	}
	if body.given.Load() > 64<<20 {
		t.Errorf("%d MB went out before the answer was heard", body.given.Load()>>20)
	}
}

func TestALargeHeaderIsRefused(t *testing.T) {
	_, at := listening(t, newMill(t))
	r, err := http.NewRequestWithContext(t.Context(), "GET", at+"/api/v1/health", nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("X-Long", strings.Repeat("x", 64<<10))
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusRequestHeaderFieldsTooLarge {
		t.Errorf("%d", answer.StatusCode)
	}
}

func TestAServerHasLimits(t *testing.T) {
	s := web.Server(http.NotFoundHandler(), slog.New(slog.DiscardHandler))
	if s.ReadHeaderTimeout <= 0 || s.ReadTimeout <= 0 || s.WriteTimeout <= 0 || s.IdleTimeout <= 0 || s.MaxHeaderBytes <= 0 {
		t.Errorf("%+v", s)
	}
}

// Whoever waits for the next entry is answered when the server ends, and does not hold it up.
func TestWaitingEndsWithTheServer(t *testing.T) {
	m := newMill(t)
	asked := make(chan struct{})
	m.handler = withBook(t, m, waiting{m.shelf, asked, &sync.Once{}})
	s, at := listening(t, m)
	r, err := http.NewRequestWithContext(t.Context(), "GET", at+"/api/v1/entries?wait_s=25", nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Authorization", "Bearer "+m.tokens[book.Visitor])
	ended := make(chan error)
	go func() {
		<-asked
		ended <- s.Shutdown(context.Background())
	}()
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	if body, err := io.ReadAll(answer.Body); err != nil || string(body) != "{\"entries\":[],\"seq\":0}\n" {
		t.Errorf("%d %s %v", answer.StatusCode, body, err)
	}
	if err := <-ended; err != nil {
		t.Error(err)
	}
}
