package web_test

import (
	"encoding/json"
	"net/http"
	"strings"
	"testing"

	"slatewright/internal/book"
	"slatewright/internal/web/api"
	"slatewright/internal/web/problem"
)

// What is wrong with a body is said by the field, in words that everybody knows; what came in is not repeated.
func TestWhatIsWrongIsSaidPlainly(t *testing.T) {
	m := newMill(t)
	for _, c := range []struct{ path, body, where, says string }{
		{"acts/weigh", `{`, "body", "breaks off"}, {"acts/weigh", "{\n\"a\"}", "body", "in line 2"}, {"acts/weigh", `{} {}`, "body", "character 4"},
		{"acts/weigh", ``, "", "missing"}, {"acts/weigh", "{\"a\":\"\x01\"}", "body", "no JSON"}, {"acts/weigh", `[]`, "body", "an object"},
		{"acts/weigh", `{"station":"bench","at":7,"body":{"thing":"piece:A","scale":"S","mass_kg":1}}`, "body.at", "expected text"},
		{"acts/weigh", `{"station":"bench","at":"yesterday","body":{"thing":"piece:A","scale":"S","mass_kg":1}}`, "body.at", "a time, as 2026"},
		{"acts/weigh", `{"station":"bench","body":{"thing":"piece:A","scale":"S"}}`, "body.body.mass_kg", "must be there"},
		{"acts/weigh", `{"station":"bench","body":{"thing":"piece:A","scale":"S","mass_kg":"x"}}`, "body.body.mass_kg", "a number"},
		{"acts/weigh", `{"station":"bench","body":{"thing":"piece:A","scale":"S","mass_kg":1e999}}`, "body", "larger"},
		{"acts/weigh", `{"station":"bench","body":{"thing":"piece:A","scale":"S","mass_kg":1},"Station":"saw"}`, "body.Station", "no such field"},
		{"acts/weigh", `{"station":"bench","body":{"thing":"piece:A","scale":"S","mass_kg":1,"x":1}}`, "body.body.x", "no such field"},
		{"acts/ream", `{"station":"lining","body":{"piece":"QH-0101","holes":1.5}}`, "body.body.holes", "a whole number"},
		{"entries", `[]`, "body", "an object is expected, and here is a list"}, {"entries", `{`, "body", "breaks off"}, {"entries", `{"entries":7}`, "body.entries", "no list"},
		{"jobs", `{"kind":7,"input":{}}`, "body.kind", "text"}, {"session", `{"person":"saw-1"}`, "body.passphrase", "must be there"},
	} {
		w := m.send(t, book.Hand, "POST", "/api/v1/"+c.path, c.body)
		var p problem.Problem
		if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil || w.Code < 400 {
			t.Fatalf("%s: %d %s", c.body, w.Code, w.Body)
		}
		if inPlainWords(t, p); p.Where != c.where || !strings.Contains(p.Detail, c.says) {
			t.Errorf("%s %s: %q: %q, want %q: …%s…", c.path, c.body, p.Where, p.Detail, c.where, c.says)
		}
	}
	for question, says := range map[string]string{"things?limit=x": "a whole number", "lost?since=yesterday": "a time, as 2026", "lost?mass_kg=x": "a number", "lost?mass_kg=-1": "at least 0"} {
		p := refused(t, m.send(t, book.Hand, "GET", "/api/v1/"+question, nil), "not-valid")
		if inPlainWords(t, p); !strings.Contains(p.Detail, says) {
			t.Errorf("%s: %q", question, p.Detail)
		}
	}
}

// A delayed entry is held to its act as in the act's own route, field by field.
func TestADelayedEntryIsHeldToItsAct(t *testing.T) {
	m := newMill(t)
	for body, where := range map[string]string{
		`{"thing":"instrument:DIAL-2","good":true,"due":"yesterday","by":"x"}`: "body.due", `{"thing":"instrument:DIAL-2","good":"yes","due":"2026-12-01T00:00:00Z","by":"x"}`: "body.good", `{}`: "body.due",
	} {
		batch := `{"entries":[{"id":"` + anID + `","at":"2026-11-25T07:00:00Z","station":"bench","act":"calibrate","body":` + body + `}]}`
		got := into[struct{ Receipts []api.Receipt }](t, m.send(t, book.Lead, "POST", "/api/v1/entries", batch), http.StatusOK).Receipts
		if len(got) != 1 || got[0].Problem == nil || got[0].Problem.Code != "not-valid" || got[0].Problem.Where != where {
			t.Fatalf("%s: %+v", body, got[0].Problem)
		}
		inPlainWords(t, *got[0].Problem)
	}
}
