package signin

import (
	"context"
	"errors"
	"net/http"
	"net/http/httptest"
	"testing"

	"slatewright/internal/gate"
)

// watched is a gate that notes how it was asked, and lets nobody in.
type watched struct{ used, peeked int }

var errShut = errors.New("shut")

func (w *watched) Identify(context.Context, string) (gate.Identity, error) {
	w.used++
	return gate.Identity{}, errShut
}

func (w *watched) Peek(context.Context, string) (gate.Identity, error) {
	w.peeked++
	return gate.Identity{}, errShut
}

// What a page asks by itself keeps nobody signed in; what a person does keeps them.
func TestAPageThatLooksAgainKeepsNobodySignedIn(t *testing.T) {
	for _, c := range []struct {
		method, path, header string
		peeks                bool
	}{
		{http.MethodGet, "/", "", false}, {http.MethodGet, "/", "yes", true}, {http.MethodGet, "/live", "", true}, {http.MethodGet, "/api/v1/live", "", true},
		{http.MethodPost, "/do/weigh", "yes", false}, {http.MethodGet, "/live/x", "", false},
	} {
		r := httptest.NewRequest(c.method, c.path, nil)
		r.Header.Set("Authorization", "Bearer x")
		if c.header != "" {
			r.Header.Set(ByItself, c.header)
		}
		var w watched
		if _, err := Who(r, &w, nil); !errors.Is(err, errShut) {
			t.Fatal(err)
		}
		if (w.peeked == 1) != c.peeks || w.used+w.peeked != 1 {
			t.Errorf("%+v: used %d, peeked %d", c, w.used, w.peeked)
		}
	}
}
