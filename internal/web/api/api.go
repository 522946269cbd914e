// Package api is the book for other programs: one route for each act and each question under /api/v1, and the OpenAPI document
// of them, made from the same code. A handler parses, asks the book, the gate or the queue, and shows the answer. What a role
// may do to the book is decided by the book; the least role of a question stands with its route. The package keeps nothing and serves no page.
package api

import (
	"context"
	"encoding/json"
	"log/slog"
	"net/http"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"

	"slatewright/internal/book"
	"slatewright/internal/gate"
	"slatewright/internal/jobs"
	"slatewright/internal/web/problem"
)

// Base is the path under which every route stands.
const Base = "/api/v1"

// Gate is what the API asks of a gate.
type Gate interface {
	SetPassphrase(ctx context.Context, person, passphrase string) error
	SetPIN(ctx context.Context, person, pin string) error
	SignIn(ctx context.Context, person, passphrase, tablet, from string) (gate.Session, error)
	Switch(ctx context.Context, tablet, person, pin, from string) (gate.Session, error)
	Identify(ctx context.Context, token string) (gate.Identity, error)
	Peek(ctx context.Context, token string) (gate.Identity, error)
	Reaffirm(ctx context.Context, id gate.Identity, passphrase, from string) error
	SignOut(ctx context.Context, token string) error
	RevokeAll(ctx context.Context, person string) error
	NewToken(ctx context.Context, name string, role book.Role, until time.Time) (secret string, err error)
	Tokens(ctx context.Context) ([]gate.Token, error)
	RevokeToken(ctx context.Context, name string) error
}

// Config is what the API works with. Every field is needed, but for Version.
type Config struct {
	Ledger    book.Ledger
	Blobs     book.Blobs
	Gate      Gate
	Queue     jobs.Queue
	Clock     func() time.Time
	Log       *slog.Logger
	MaxUpload int64
	Version   string
}

// desk is where the routes are answered.
type desk struct {
	Config
	api    huma.API
	routes []Route
	bodies map[string]*huma.Schema // of each act, by its word
}

// Add puts the routes on a mux and returns what they are.
func Add(mux *http.ServeMux, c Config) []Route {
	d := &desk{Config: c}
	d.api = humago.New(mux, d.settings())
	d.api.UseMiddleware(d.admit)
	d.addAll()
	d.finishDescription()
	doc, err := json.Marshal(d.api.OpenAPI())
	if err != nil {
		panic(err) // our own types
	}
	mux.HandleFunc("GET "+Base+"/openapi.json", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "application/openapi+json")
		_, _ = w.Write(doc) // a client that has gone cannot be told so
	})
	return d.routes
}

func (d *desk) addAll() {
	d.addSession()
	d.addPeople()
	d.addTokens()
	d.addActs()
	d.addEntries()
	d.addThings()
	d.addReach()
	d.addLost()
	d.addBlobs()
	d.addJobs()
	d.addMill()
	d.addState()
}

// Description returns the OpenAPI document, always the same bytes.
func Description() ([]byte, error) {
	return json.Marshal(described().api.OpenAPI())
}

// Routes returns every route, in the order in which they are registered.
func Routes() []Route { return described().routes }

// described is a desk that answers nothing.
func described() *desk {
	d := &desk{}
	d.api = humago.New(http.NewServeMux(), d.settings())
	d.addAll()
	d.finishDescription()
	return d
}

// fail turns any error into a problem; the cause of a fault goes to the log, under the reference that the client is told.
func (d *desk) fail(route Route, err error) error {
	p := problem.Of(err)
	if p.Reference != "" {
		d.Log.Error("fault", "reference", p.Reference, "method", route.Method, "path", route.Path, "cause", err)
	}
	return p
}
