package web_test

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"slatewright/internal/book"
	"slatewright/internal/web/api"
)

func TestABlobComesAndGoes(t *testing.T) {
	m := newMill(t)
	content := "face;4;0.01"
	digest := fmt.Sprintf("%x", sha256.Sum256([]byte(content)))
	for _, how := range []struct{ method, path string }{{"POST", "/api/v1/blobs"}, {"PUT", "/api/v1/blobs/" + digest}, {"PUT", "/api/v1/blobs/" + digest}} {
		if got := into[api.Kept](t, m.send(t, book.Hand, how.method, how.path, content), http.StatusCreated); got != (api.Kept{Digest: digest, Bytes: int64(len(content))}) {
			t.Errorf("%+v", got)
		}
	}
	w := m.send(t, book.Visitor, "GET", "/api/v1/blobs/"+digest, nil)
	h := w.Header()
	if w.Code != http.StatusOK || w.Body.String() != content || h.Get("Content-Type") != "application/octet-stream" ||
		!strings.HasPrefix(h.Get("Content-Disposition"), "attachment") || h.Get("Content-Length") != fmt.Sprint(len(content)) || !strings.Contains(h.Get("Cache-Control"), "immutable") {
		t.Errorf("%d %s %v", w.Code, w.Body, h)
	}
	refused(t, m.send(t, book.Hand, "PUT", "/api/v1/blobs/"+digest, content+"!"), "digest-differs")
	refused(t, m.send(t, book.Visitor, "GET", "/api/v1/blobs/"+strings.Repeat("0", 64), nil), "no-such-blob")
	refused(t, m.send(t, book.Visitor, "GET", "/api/v1/blobs/..%2F..%2Fetc", nil), "not-valid")
}

// An upload that says it is larger than the limit is refused before a byte is read; one that does not say is cut off at the limit.
func TestALargeUploadIsRefusedEarly(t *testing.T) {
	m := newMill(t)
	const limit = 1 << 16
	post := func(said int64) (*httptest.ResponseRecorder, *endless) {
		body := &endless{}
		r := httptest.NewRequest("POST", "/api/v1/blobs", body)
		r.ContentLength = said
		r.Header.Set("Authorization", "Bearer "+m.tokens[book.Hand])
		w := httptest.NewRecorder()
		m.handler.ServeHTTP(w, r)
		return w, body
	}
	w, body := post(2 << 30)
	refused(t, w, "too-large")
	if body.given.Load() != 0 {
		t.Errorf("%d bytes were read", body.given.Load())
	}
	w, body = post(-1)
	refused(t, w, "too-large")
	if body.given.Load() > 2*limit {
		t.Errorf("%d bytes were read of an endless body", body.given.Load())
	}
	refused(t, m.send(t, book.Hand, "POST", "/api/v1/blobs", unsized{torn{}}), "bad-request")
	if len(m.crates.blobs) != 0 {
		t.Error("something was kept")
	}
	if w := m.send(t, book.Hand, "POST", "/api/v1/blobs", bytes.NewReader(make([]byte, limit))); w.Code != http.StatusCreated {
		t.Errorf("just at the limit: %d %s", w.Code, w.Body)
	}
	if w := m.send(t, book.Visitor, "POST", "/api/v1/blobs", &endless{}); w.Code != http.StatusForbidden {
		t.Errorf("a visitor: %d", w.Code)
	}
}
