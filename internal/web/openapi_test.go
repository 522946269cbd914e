package web_test

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"

	"slatewright/internal/book"
	"slatewright/internal/web"
	"slatewright/internal/web/api"
)

// read is the document as an independent reader of OpenAPI 3.1 understands it; examples are held to their schemas as well.
func read(text []byte) (*openapi3.T, error) {
	doc, err := openapi3.NewLoader().LoadFromData(text)
	if err != nil {
		return nil, err
	}
	return doc, doc.Validate(context.Background(), openapi3.IsOpenAPI31OrLater(), openapi3.EnableMultiError())
}

func TestTheDescriptionIsOpenAPI(t *testing.T) {
	oneAfterTheOther(t)
	text, err := web.OpenAPI()
	if err != nil {
		t.Fatal(err)
	}
	doc, err := read(text)
	if err != nil {
		t.Fatal(err)
	}
	if doc.OpenAPI != "3.1.0" || doc.Paths.Len() < 40 {
		t.Errorf("version %s, %d paths", doc.OpenAPI, doc.Paths.Len())
	}
	for _, wrong := range []struct{ from, to string }{
		{`"type":"object"`, `"type":"objekt"`},
		{`"in":"path"`, `"in":"cellar"`},
		{`"mass_kg":96.4`, `"mass_kg":"heavy"`}, // in an example
		{`"#/components/schemas/Problem"`, `"#/components/schemas/Trouble"`},
	} {
		if !bytes.Contains(text, []byte(wrong.from)) {
			t.Fatalf("the document has no %s", wrong.from)
		}
		if _, err := read(bytes.ReplaceAll(text, []byte(wrong.from), []byte(wrong.to))); err == nil {
			t.Errorf("a document with %s passes", wrong.to)
		}
	}
}

// witness holds exchanges to the document, as an independent reader understands it.
type witness struct{ doc *openapi3.T }

func newWitness(t testing.TB) witness {
	t.Helper()
	text, err := web.OpenAPI()
	if err != nil {
		t.Fatal(err)
	}
	doc, err := read(text)
	if err != nil {
		t.Fatal(err)
	}
	openapi3filter.RegisterBodyDecoder("application/problem+json", openapi3filter.RegisteredBodyDecoder("application/json"))
	return witness{doc}
}

// holds checks a request and its answer.
func (v witness) holds(of api.Route, r *http.Request, body string, w *httptest.ResponseRecorder) error {
	item := v.doc.Paths.Value(api.Base + of.Path)
	route := &routers.Route{Spec: v.doc, Path: api.Base + of.Path, PathItem: item, Method: of.Method, Operation: item.GetOperation(of.Method)}
	params := map[string]string{"kind": "piece", "number": "QH/0101", "id": "J1", "person": "saw-1", "name": "scale-1", "digest": strings.Repeat("ab", 32)}
	r.Body = io.NopCloser(strings.NewReader(body))
	options := &openapi3filter.Options{IncludeResponseStatus: true, AuthenticationFunc: openapi3filter.NoopAuthenticationFunc}
	in := &openapi3filter.RequestValidationInput{Request: r, PathParams: params, Route: route, Options: options}
	if w.Code < 300 {
		if err := openapi3filter.ValidateRequest(context.Background(), in); err != nil {
			return err
		}
	}
	return openapi3filter.ValidateResponse(context.Background(), &openapi3filter.ResponseValidationInput{RequestValidationInput: in, Status: w.Code,
		Header: w.Header(), Body: io.NopCloser(bytes.NewReader(w.Body.Bytes())), Options: options})
}

// What the document says of the answers is true: those to every route's example, as each role, good and bad.
func TestAnswersAreAsDescribed(t *testing.T) {
	oneAfterTheOther(t)
	v := newWitness(t)
	good, bad := 0, 0
	for _, r := range api.Routes() {
		m := newMill(t)
		for _, role := range []book.Role{api.Anybody, book.Visitor, book.Inspector, book.Lead} {
			w, request, body := asWitnessed(t, m, role, r)
			if err := v.holds(r, request, body, w); err != nil {
				t.Errorf("%s %s as %q: %d %s: %v", r.Method, r.Path, role, w.Code, w.Body, err)
			}
			if w.Code < 300 {
				good++
			} else {
				bad++
			}
		}
	}
	if good < 100 || bad < 60 {
		t.Errorf("%d good and %d bad answers were looked at", good, bad)
	}
	m := newMill(t)
	w, request, body := asWitnessed(t, m, book.Lead, api.Routes()[0])
	lie := httptest.NewRecorder()
	lie.Code, lie.Body = w.Code, bytes.NewBufferString(`{"person":7}`)
	lie.Header().Set("Content-Type", w.Header().Get("Content-Type"))
	if v.holds(api.Routes()[0], request, body, lie) == nil {
		t.Error("an answer that is not as described passes")
	}
}

// asWitnessed asks a route with its example, and keeps what was asked.
func asWitnessed(t *testing.T, m *mill, role book.Role, r api.Route) (*httptest.ResponseRecorder, *http.Request, string) {
	t.Helper()
	w := ask(t, m, role, r)
	request := httptest.NewRequest(r.Method, pathOf(r), nil)
	if r.Example == nil {
		request.Header.Set("Content-Type", "application/octet-stream")
		return w, request, "content"
	}
	body, err := json.Marshal(r.Example)
	if err != nil {
		t.Fatal(err)
	}
	request.Header.Set("Content-Type", "application/json")
	return w, request, string(body)
}
