package api

import (
	"context"
	"crypto/sha256"
	"fmt"
	"net/http"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"slatewright/internal/book"
	"slatewright/internal/web/problem"
)

// Anybody is the least role of a route that needs no sign-in. A route that says nothing is open to nobody.
const Anybody book.Role = "anybody"

// largestBody is the most that a body of JSON may hold; the largest lawful act, a whole route, has some 10 kB.
const largestBody = 128 << 10

// Route is one route: what it is, who may use it, and how it fails.
type Route struct {
	Method  string
	Path    string // below Base, as in /things/{kind}/{id}
	ID      string // of the operation
	Tag     string
	Summary string
	Text    string
	Least   book.Role // the least role; Anybody needs no sign-in
	Fails   []string  // codes of problems of its own, besides those that any such route has
	Example any       // of the body asked for
	Answer  any       // example of the answer; nil for one without JSON

	status  int          // of the answer; 200 when 0
	also    int          // another status of a good answer, with the same content
	body    int64        // bytes that the body may have; largestBody when 0
	streams bool         // the body is not JSON and is read by the handler
	request *huma.Schema // of the body, when its type does not tell it
	loosely bool         // the handler itself holds the body to its schema
	act     string       // the act handed in: the mill's own route says who may, Least what the common route does
}

// metadata under which the route stands at its operation.
const routeKey = "route"

// add registers a route. Whatever the handler returns as error becomes a problem.
func add[I, O any](d *desk, r Route, handle func(context.Context, *I) (*O, error)) {
	r.Fails = append(slices.Clone(r.Fails), r.usual(reflect.TypeFor[I]())...)
	if r.body == 0 {
		r.body = largestBody
	}
	op := huma.Operation{
		Method: r.Method, Path: Base + r.Path, OperationID: r.ID, Tags: []string{r.Tag}, Summary: r.Summary, Description: r.describe(),
		DefaultStatus: r.status, MaxBodyBytes: -1, Metadata: map[string]any{routeKey: r}, Responses: d.failures(r.Fails),
		Extensions: map[string]any{"x-least-role": string(r.Least)}, SkipValidateBody: r.loosely,
	}
	if r.Least == Anybody {
		op.Security = []map[string][]string{{}}
	}
	if r.request != nil {
		op.RequestBody = &huma.RequestBody{Required: true, Content: map[string]*huma.MediaType{"application/json": {Schema: r.request}}}
	}
	huma.Register(d.api, op, func(ctx context.Context, in *I) (*O, error) {
		out, err := handle(ctx, in)
		if err != nil {
			return nil, d.fail(r, err)
		}
		return out, nil
	})
	d.exemplify(r)
	d.routes = append(d.routes, r)
}

// usual are the codes with which any route like this one can fail.
func (r Route) usual(input reflect.Type) (codes []string) {
	if r.Least != Anybody {
		codes = append(codes, "not-signed-in", "not-allowed")
	}
	if r.Method != http.MethodGet {
		codes = append(codes, "cross-origin")
	}
	codes = append(codes, problem.OfStore(r.Method != http.MethodGet)...)
	if r.Example != nil {
		codes = append(codes, "bad-json", "bad-request", "brackets-too-deep", "too-large", "too-slow", "bad-media-type")
	}
	if input.NumField() > 0 {
		codes = append(codes, "not-valid")
	}
	return append(codes, "address-too-long", "own-fault", "busy")
}

func (r Route) describe() string {
	if r.Least == Anybody {
		return r.Text + " Needs no sign-in."
	}
	return r.Text + " Least role: " + string(r.Least) + "."
}

// failures describes the problems of a route: one response per status with its codes, shared by the routes that have the same.
func (d *desk) failures(codes []string) map[string]*huma.Response {
	byStatus := map[int][]string{}
	for _, code := range codes {
		byStatus[problem.StatusOf(code)] = append(byStatus[problem.StatusOf(code)], code)
	}
	parts, responses := d.api.OpenAPI().Components, map[string]*huma.Response{}
	for status, codes := range byStatus {
		slices.Sort(codes)
		codes = slices.Compact(codes)
		name := fmt.Sprintf("%d.%s", status, nameOf(codes))
		parts.Responses[name] = &huma.Response{
			Description: fmt.Sprintf("%s: %s", http.StatusText(status), strings.Join(codes, ", ")),
			Content: map[string]*huma.MediaType{problem.ContentType: {
				Schema:  d.schemaOf(reflect.TypeFor[problem.Problem]()),
				Example: problem.New(codes[0], "", "what is wrong, in one sentence", "what to do about it"),
			}},
			Extensions: map[string]any{"x-codes": codes},
		}
		responses[strconv.Itoa(status)] = &huma.Response{Ref: "#/components/responses/" + name}
	}
	return responses
}

// nameOf names a set of codes: by themselves, or by a digest when that is shorter.
func nameOf(codes []string) string {
	name := strings.Join(codes, ".")
	if sum := sha256.Sum256([]byte(name)); len(codes) > 6 {
		return fmt.Sprintf("%d-codes-%x", len(codes), sum[:4])
	}
	return name
}

// exemplify puts the examples on what was registered last.
func (d *desk) exemplify(r Route) {
	op := operationOf(d.api.OpenAPI(), r)
	if r.Example != nil {
		op.RequestBody.Content["application/json"].Example = r.Example
	}
	status := strconv.Itoa(max(r.status, http.StatusOK))
	if r.Answer != nil {
		op.Responses[status].Content["application/json"].Example = r.Answer
	}
	if r.also != 0 {
		again := &huma.Response{Description: http.StatusText(r.also)}
		if r.also != http.StatusNotModified {
			again.Content = op.Responses[status].Content
		}
		op.Responses[strconv.Itoa(r.also)] = again
	}
}

func operationOf(doc *huma.OpenAPI, r Route) *huma.Operation {
	item := doc.Paths[Base+r.Path]
	switch r.Method {
	case http.MethodGet:
		return item.Get
	case http.MethodPut:
		return item.Put
	case http.MethodDelete:
		return item.Delete
	default:
		return item.Post
	}
}
