package web_test

import (
	"io"
	"log/slog"
	"net/http"
	"sync/atomic"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/web"
)

// unsized hides how long a body is.
type unsized struct{ io.Reader }

// torn is a body that breaks off.
type torn struct{}

func (torn) Read([]byte) (int, error) { return 0, io.ErrUnexpectedEOF }

// endless gives zeros for ever and counts them.
type endless struct{ given atomic.Int64 }

func (e *endless) Read(p []byte) (int, error) {
	e.given.Add(int64(len(p)))
	return len(p), nil
}

// withBook makes a handler over another book, with the people of a mill.
func withBook(t *testing.T, m *mill, b book.Ledger) http.Handler {
	t.Helper()
	h, err := web.New(t.Context(), web.Config{Ledger: b, Blobs: m.crates, Gate: m.porter, Queue: m.line, Clock: func() time.Time { return morning },
		Log: slog.New(slog.NewTextHandler(m.log, nil)), MaxUpload: 1 << 16})
	if err != nil {
		t.Fatal(err)
	}
	return h
}
