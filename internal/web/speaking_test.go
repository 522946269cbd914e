package web

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"testing"

	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
)

// Only a problem of the API is said in another language, and only when one is asked for; what is not known stays English.
func TestProblemsAreSaidInTheLanguageAskedFor(t *testing.T) {
	const known, next, unknown = "piece QH-1 is in no room", "look at the number, or record when it entered", "what nobody ever said of anything before"
	es := tongue.In(tongue.Spanish, tongue.Metric)
	for _, c := range []struct{ path, accept, detail, wants, language string }{
		{"/api/v1/acts/leave-room", "es-MX,es;q=0.9", known, es.InWords(known), "es"},
		{"/api/v1/acts/leave-room", "", known, known, ""},
		{"/api/v1/acts/leave-room", "en-GB", known, known, ""},
		{"/piece/QH-1", "es", known, known, ""},
		{"/api/v1/acts/leave-room", "es", unknown, unknown, "es"},
	} {
		h := speaking(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
			problem.New("not-in-room", "piece", c.detail, next).Write(w)
		}))
		r, w := httptest.NewRequest(http.MethodPost, c.path, nil), httptest.NewRecorder()
		r.Header.Set("Accept-Language", c.accept)
		h.ServeHTTP(w, r)
		var p problem.Problem
		if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil || p.Detail != c.wants || p.Code != "not-in-room" || w.Code != p.Status || w.Header().Get("Content-Language") != c.language {
			t.Errorf("%+v: %d %s %s", c, w.Code, w.Header().Get("Content-Language"), w.Body)
		}
	}
	if es.InWords(known) == known {
		t.Error("nothing was said in Spanish")
	}
	plain := speaking(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { _, _ = w.Write([]byte(known)) }))
	r, w := httptest.NewRequest(http.MethodGet, "/api/v1/x", nil), httptest.NewRecorder()
	r.Header.Set("Accept-Language", "es")
	if plain.ServeHTTP(w, r); w.Body.String() != known || w.Code != http.StatusOK {
		t.Errorf("%d %s", w.Code, w.Body)
	}
}
