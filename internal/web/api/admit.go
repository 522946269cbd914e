package api

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"

	"slatewright/internal/book"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/signin"
	"slatewright/trouble"
)

// bodyTime is how long a body of JSON may take: common practice for a weak radio link, no source.
const bodyTime = 30 * time.Second

// deepest is how far brackets may stand in one another in a body; the deepest lawful one (a batch with a correction of a
// settlement's route) has ten.
const deepest = 24

type senderKey struct{}

// request is what a handler may know about a request beside its input.
type request struct {
	sender signin.Sender // zero on a route for anybody
	http   *http.Request
	answer http.ResponseWriter
}

func asked(ctx context.Context) request { return ctx.Value(senderKey{}).(request) }

// admit stands before every route: who sends this, may they, and is the body within its limits.
func (d *desk) admit(ctx huma.Context, next func(huma.Context)) {
	r, w := humago.Unwrap(ctx)
	route := ctx.Operation().Metadata[routeKey].(Route)
	r.Header.Del("Accept") // every answer is JSON, or the blob that was asked for
	who := request{http: r, answer: w}
	err := d.letIn(&who, route)
	if err == nil && !route.streams && ctx.Operation().RequestBody != nil {
		var body []byte
		body, err = readBody(w, r, route.body)
		ctx = bodied{ctx, bytes.NewReader(body)}
	}
	if err != nil {
		p := d.fail(route, err).(*problem.Problem)
		if p.Status == http.StatusUnauthorized {
			w.Header().Set("WWW-Authenticate", "Bearer")
		}
		p.Write(w)
		return
	}
	next(huma.WithValue(ctx, senderKey{}, who))
}

func (d *desk) letIn(who *request, route Route) (err error) {
	if route.Least == Anybody {
		return nil
	}
	if who.sender, err = signin.Who(who.http, d.Gate, d.Ledger); err != nil {
		return err
	}
	least := route.Least
	if route.act != "" {
		if least, err = d.leastHere(who.http.Context(), route.act); err != nil {
			return err
		}
	}
	return may(who.sender.Role, least)
}

func may(role, least book.Role) error {
	if role.Covers(least) {
		return nil
	}
	return trouble.Data("not-allowed", "", fmt.Sprintf("this is for the role %s or above, and yours is %s", least, role), "ask somebody who may")
}

// within is the framework's context under a name that does not hide its method Context.
type within = huma.Context

// bodied is a context whose body was read and checked.
type bodied struct {
	within
	body io.Reader
}

func (b bodied) BodyReader() io.Reader { return b.body }

// readBody reads a body of JSON whole, refusing early what says to be larger than it may be.
func readBody(w http.ResponseWriter, r *http.Request, limit int64) ([]byte, error) {
	if r.ContentLength > limit {
		return nil, problem.TooLarge(limit)
	}
	_ = http.NewResponseController(w).SetReadDeadline(time.Now().Add(bodyTime)) // not every connection can; the server's own limit holds
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, limit))
	if err != nil {
		return nil, unread(err)
	}
	return body, depth(body)
}

// unread says why a body could not be read to its end.
func unread(err error) error {
	var slow net.Error
	switch large := (*http.MaxBytesError)(nil); {
	case errors.As(err, &large):
		return problem.TooLarge(large.Limit)
	case errors.As(err, &slow) && slow.Timeout():
		return problem.New("too-slow", "body", "the body did not come in time", "send it again")
	default:
		return problem.New("bad-request", "body", "the body ended before its end", "send it again")
	}
}

// depth refuses brackets too far in one another, before anything is built from them.
func depth(body []byte) error {
	within, quoted, escaped := 0, false, false
	for _, c := range body {
		switch {
		case escaped:
			escaped = false
		case quoted:
			escaped, quoted = c == '\\', c != '"'
		case c == '"':
			quoted = true
		case c == '{' || c == '[':
			if within++; within > deepest {
				return problem.New("brackets-too-deep", "body", fmt.Sprintf("brackets stand more than %d deep in one another", deepest), "send it flatter")
			}
		case c == '}' || c == ']':
			within--
		}
	}
	return nil
}

// jsonFormat writes and reads JSON; what is read is one value and nothing behind it.
var jsonFormat = huma.Format{
	Marshal: func(w io.Writer, v any) error {
		var whole bytes.Buffer
		e := json.NewEncoder(&whole)
		e.SetEscapeHTML(false)
		if err := e.Encode(v); err != nil {
			return err
		}
		_, _ = w.Write(whole.Bytes()) // a client that has gone cannot be told so
		return nil
	},
	Unmarshal: read,
}
