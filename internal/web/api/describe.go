package api

import (
	"cmp"
	"errors"
	"net/http"
	"reflect"
	"slices"

	"github.com/danielgtaylor/huma/v2"

	"slatewright/internal/web/problem"
)

const about = `The book of a slate mill: every stone, reading and decision, kept so that nothing is lost.

An act is posted to its route, or in a batch of entries when it could not be sent at once. Each entry has an id that the sender makes
(a ULID); the same id again is harmless and answers as the first time. Lengths are mm, masses kg, temperatures °C, moisture and humidity
per cent, times RFC 3339. Every problem (RFC 9457) has a code for programs and says what to do next.

The program is never a safety device.`

// settings are the framework's, without anything it would add by itself. Its own problems are turned into ours by a transformer,
// so that none of its global variables need be touched.
func (d *desk) settings() huma.Config {
	schemas := huma.NewMapRegistry("#/components/schemas/", huma.DefaultSchemaNamer)
	return huma.Config{
		OpenAPI: &huma.OpenAPI{
			OpenAPI: "3.1.0",
			Info:    &huma.Info{Title: "slatewright", Version: "1", Description: about},
			Components: &huma.Components{Schemas: schemas, Responses: map[string]*huma.Response{}, SecuritySchemes: map[string]*huma.SecurityScheme{
				"cookie": {Type: "apiKey", In: "cookie", Name: "slatewright_session", Description: "A person's session in a browser"},
				"bearer": {Type: "http", Scheme: "bearer", Description: "A person's session in another program, or a machine's token"},
			}},
			Security: []map[string][]string{{"bearer": {}}, {"cookie": {}}},
			Tags:     tags,
		},
		Formats:                      map[string]huma.Format{"application/json": jsonFormat, "json": jsonFormat},
		DefaultFormat:                "application/json",
		RejectUnknownQueryParameters: true,
		Transformers:                 []huma.Transformer{ours},
	}
}

var tags = []*huma.Tag{
	{Name: "sign-in", Description: "Persons with a passphrase or PIN, machines with a token"},
	{Name: "acts", Description: "One route for each act"},
	{Name: "entries", Description: "The journal, delayed entries, conflicts"},
	{Name: "things", Description: "What the book knows about each thing, and what reached what"},
	{Name: "mill", Description: "What the mill has settled, and who may do what"},
	{Name: "blobs", Description: "Scans and files, by the SHA-256 of their content"},
	{Name: "jobs", Description: "Long computations"},
	{Name: "state", Description: "Is the book well"},
}

// finishDescription takes the framework's own problem types out of the document: no answer has them.
func (d *desk) finishDescription() {
	schemas := d.api.OpenAPI().Components.Schemas.Map()
	delete(schemas, "ErrorModel")
	delete(schemas, "ErrorDetail")
}

// ours turns the framework's problem into ours: what did not fit the route's schema.
func ours(_ huma.Context, _ string, v any) (any, error) {
	theirs := (*huma.ErrorModel)(nil)
	if err, ok := v.(error); !ok || !errors.As(err, &theirs) {
		return v, nil
	}
	return ofSchema(theirs.Status, theirs.Detail, theirs.Errors), nil
}

// mostErrors is how many wrong fields a problem lists: more than anybody would read.
const mostErrors = 20

// ofSchema never shows the values that came in: one of them may be a passphrase.
func ofSchema(status int, detail string, errs []*huma.ErrorDetail) *problem.Problem {
	code := codes[status]
	if code == "" {
		code = "own-fault"
	}
	p := problem.New(code, "", problem.InPlain("", detail).Detail, "see the route in /api/v1/openapi.json")
	for _, e := range errs {
		p.Errors = append(p.Errors, problem.InPlain(e.Location, e.Message))
	}
	slices.SortStableFunc(p.Errors, func(a, b problem.Field) int { return cmp.Compare(a.Where, b.Where) })
	if len(p.Errors) > 0 {
		p.Where, p.Detail = p.Errors[0].Where, p.Errors[0].Detail
	}
	if len(p.Errors) == 1 {
		p.Errors = nil
	}
	p.Errors = p.Errors[:min(len(p.Errors), mostErrors)]
	return p
}

// codes are those of the problems that the framework finds.
var codes = map[int]string{
	http.StatusBadRequest:           "bad-json",
	http.StatusNotAcceptable:        "not-acceptable",
	http.StatusUnsupportedMediaType: "bad-media-type",
	http.StatusUnprocessableEntity:  "not-valid",
}

// schemaOf registers a type and returns a reference to it.
func (d *desk) schemaOf(t reflect.Type) *huma.Schema {
	return d.api.OpenAPI().Components.Schemas.Schema(t, true, "")
}
