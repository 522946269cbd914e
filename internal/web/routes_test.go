package web_test

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"slices"
	"strconv"
	"strings"
	"testing"

	"slatewright/internal/book"
	"slatewright/internal/web"
	"slatewright/internal/web/api"
	"slatewright/internal/web/problem"
)

// pathOf fills a route's path with examples.
func pathOf(r api.Route) string {
	return api.Base + strings.NewReplacer("{kind}", "piece", "{number}", "QH%2F0101", "{id}", "J1", "{person}", "saw-1", "{name}", "scale-1", "{digest}", strings.Repeat("ab", 32)).Replace(r.Path)
}

// ask sends the example of a route.
func ask(t *testing.T, m *mill, role book.Role, r api.Route) *httptest.ResponseRecorder {
	t.Helper()
	if r.Example == nil {
		return m.send(t, role, r.Method, pathOf(r), nil)
	}
	return m.send(t, role, r.Method, pathOf(r), r.Example)
}

// Every route is asked by nobody and by each role: who is below its least role hears not-signed-in or not-allowed, everybody
// else something else; and nobody ever hears a code that the route's description does not tell.
func TestEveryRouteAndEveryRole(t *testing.T) {
	routes := api.Routes()
	if len(routes) < 50 {
		t.Fatalf("%d routes", len(routes))
	}
	for _, r := range routes {
		m := newMill(t)
		for _, role := range append([]book.Role{api.Anybody}, book.Roles()...) {
			w := ask(t, m, role, r)
			var p problem.Problem
			if w.Code >= 400 {
				if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil || p.Code == "" {
					t.Errorf("%s %s as %q: %d is no problem: %s", r.Method, r.Path, role, w.Code, w.Body)
				}
				if !slices.Contains(r.Fails, p.Code) {
					t.Errorf("%s %s as %q: %s is not in its description", r.Method, r.Path, role, p.Code)
				}
			}
			may := r.Least == api.Anybody || role != api.Anybody && role.Covers(r.Least)
			switch barred := p.Code == "not-signed-in" || p.Code == "not-allowed"; {
			case may && r.Tag == "acts" && w.Code >= 300:
				t.Errorf("%s as %q: its own example is answered %d %s", r.Path, role, w.Code, w.Body)
			case w.Code >= 500:
				t.Errorf("%s %s as %q: %d %s", r.Method, r.Path, role, w.Code, w.Body)
			case role == api.Anybody && r.Least != api.Anybody && p.Code != "not-signed-in":
				t.Errorf("%s %s as nobody: %d %s", r.Method, r.Path, w.Code, w.Body)
			case may && barred && !(r.Path == "/people/{person}/passphrase" || r.Path == "/people/{person}/pin"):
				t.Errorf("%s %s as %q: %s, but its least role is %q", r.Method, r.Path, role, p.Code, r.Least)
			case !may && !barred:
				t.Errorf("%s %s as %q: %d, but its least role is %q", r.Method, r.Path, role, w.Code, r.Least)
			}
		}
	}
}

// Each response of the document names its codes for programs as well, and every code that an act can meet stands in each act's.
func TestTheDescriptionListsEveryCode(t *testing.T) {
	text, err := web.OpenAPI()
	if err != nil {
		t.Fatal(err)
	}
	type response struct {
		Ref   string   `json:"$ref"`
		Codes []string `json:"x-codes"`
	}
	var doc struct {
		Paths      map[string]map[string]struct{ Responses map[string]response }
		Components struct{ Responses map[string]response }
	}
	if err := json.Unmarshal(text, &doc); err != nil {
		t.Fatal(err)
	}
	for _, r := range api.Routes() {
		told := map[string]bool{}
		for status, answer := range doc.Paths[api.Base+r.Path][strings.ToLower(r.Method)].Responses {
			for _, code := range doc.Components.Responses[strings.TrimPrefix(answer.Ref, "#/components/responses/")].Codes {
				if told[code] = true; strconv.Itoa(problem.StatusOf(code)) != status {
					t.Errorf("%s %s: %s stands under %s", r.Method, r.Path, code, status)
				}
			}
		}
		wanted := r.Fails
		if r.Tag == "acts" {
			wanted = slices.Concat(wanted, problem.OfActs(), problem.OfStore(true))
		}
		for _, code := range wanted {
			if !told[code] {
				t.Errorf("%s %s does not tell %s", r.Method, r.Path, code)
			}
		}
	}
}

// A route tells what it is, how it fails, who may, and shows what goes in and what comes out.
func TestEveryRouteIsDescribed(t *testing.T) {
	for _, r := range api.Routes() {
		at := r.Method + " " + r.Path
		if r.ID == "" || r.Summary == "" || len(r.Text) < 10 || r.Tag == "" {
			t.Errorf("%s has no full description", at)
		}
		if r.Least != api.Anybody && !slices.Contains(book.Roles(), r.Least) {
			t.Errorf("%s: least role %q", at, r.Least)
		}
		if !slices.Contains(r.Fails, "own-fault") {
			t.Errorf("%s tells no failures", at)
		}
	}
}

// described is what of the document a test looks at.
type described struct {
	Paths map[string]map[string]struct {
		Description string
		Least       string `json:"x-least-role"`
		RequestBody *struct {
			Content map[string]struct{ Example any }
		}
		Responses map[string]struct {
			Content map[string]struct{ Example any }
		}
		Parameters []struct{ Name, Description string }
	}
}

func TestEveryOperationHasExamples(t *testing.T) {
	var doc described
	text, err := web.OpenAPI()
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &doc); err != nil {
		t.Fatal(err)
	}
	found := 0
	for path, item := range doc.Paths {
		for method, op := range item {
			found++
			at := method + " " + path
			if op.Least == "" || !strings.Contains(op.Description, ".") {
				t.Errorf("%s: description %q, least role %q", at, op.Description, op.Least)
			}
			contents := map[string]map[string]struct{ Example any }{}
			if op.RequestBody != nil {
				contents["body"] = op.RequestBody.Content
			}
			for status, answer := range op.Responses {
				contents[status] = answer.Content
			}
			for of, kinds := range contents {
				for kind, c := range kinds {
					if c.Example == nil {
						t.Errorf("%s: no example of %s as %s", at, of, kind)
					}
				}
			}
			for _, p := range op.Parameters {
				if p.Description == "" {
					t.Errorf("%s: %s is not described", at, p.Name)
				}
			}
		}
	}
	if found != len(api.Routes()) {
		t.Errorf("%d operations for %d routes", found, len(api.Routes()))
	}
}

// The document is what the handler serves, and comes out the same every time.
func TestTheDescriptionHasTheSameBytes(t *testing.T) {
	one, err := web.OpenAPI()
	if err != nil {
		t.Fatal(err)
	}
	two, err := web.OpenAPI()
	if err != nil || string(one) != string(two) {
		t.Fatalf("two documents differ (%v)", err)
	}
	served := newMill(t).send(t, "", "GET", "/api/v1/openapi.json", nil)
	if served.Code != http.StatusOK || served.Body.String() != string(one) {
		t.Errorf("%d, and what is served differs", served.Code)
	}
}

// Each act has a route, and its example is lawful.
func TestEveryActHasARouteWithALawfulExample(t *testing.T) {
	examples := map[string]any{}
	for _, r := range api.Routes() {
		if word, ok := strings.CutPrefix(r.Path, "/acts/"); ok {
			examples[word] = r.Example
		}
	}
	acts := book.Acts()
	if len(acts) == 0 || len(acts) != len(examples) {
		t.Fatalf("%d acts, %d routes", len(acts), len(examples))
	}
	for _, act := range acts {
		text, err := json.Marshal(examples[act.Word()])
		if err != nil {
			t.Fatal(err)
		}
		var e struct{ Body json.RawMessage }
		if err := json.Unmarshal(text, &e); err != nil {
			t.Fatal(err)
		}
		if got, err := book.Decode(act.Word(), e.Body); err != nil || got.Word() != act.Word() {
			t.Errorf("%s: %v in %s", act.Word(), err, e.Body)
		}
	}
}
