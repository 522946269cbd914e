package web

import (
	"net/http"
	"net/http/httptest"
	"testing"
)

// A specimen's addresses lead to specimens; what all pages share stays where it is, and what is no page is left alone.
func TestSpecimensKeepWithin(t *testing.T) {
	const page = `<a href="/"></a><a href="/piece/QH-1?x=1#y"></a><img src="/piece/QH-1/map.svg"><form action="/reader"></form><form action="/read"></form><link href="/static/look.css"><a href="https://x.example/">="/</a>`
	const want = `<a href="/specimen/one/"></a><a href="/specimen/one/piece/QH-1?x=1#y"></a><img src="/specimen/one/piece/QH-1/map.svg"><form action="/reader"></form><form action="/specimen/one/read"></form><link href="/static/look.css"><a href="https://x.example/">="/</a>`
	for kind, want := range map[string]string{"text/html; charset=utf-8": want, "application/json": page} {
		w := httptest.NewRecorder()
		keepWithin("/specimen/one", http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Type", kind)
			w.WriteHeader(http.StatusTeapot)
			_, _ = w.Write([]byte(page))
		})).ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/specimen/one/x", nil))
		if w.Code != http.StatusTeapot || w.Body.String() != want {
			t.Errorf("%s: %d %s", kind, w.Code, w.Body)
		}
	}
}
