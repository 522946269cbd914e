package web_test

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"
)

// exchange is a request of the handbook with the answer it shows.
type exchange struct {
	line                 int
	head, body           string
	wantStatus, wantBody string
}

// The exchanges of docs/api.md are sent in their order to a book that has one lead. In a request TOKEN is the last token given and NOW
// this moment; in an answer "…" is anything, and an object with the field "…" may have more fields.
func TestTheHandbookIsTrue(t *testing.T) {
	text, err := os.ReadFile("../../docs/api.md")
	if err != nil {
		t.Fatal(err)
	}
	exchanges := exchangesOf(t, string(text))
	if len(exchanges) < 10 {
		t.Fatalf("%d exchanges", len(exchanges))
	}
	m, token := newRealMill(t), ""
	for _, x := range exchanges {
		fill := strings.NewReplacer("TOKEN", token, "NOW", time.Now().UTC().Format(time.RFC3339Nano))
		status, body := m.say(t, fill.Replace(x.head), fill.Replace(x.body))
		if status != x.wantStatus {
			t.Fatalf("docs/api.md:%d: %s, want %s: %s", x.line, status, x.wantStatus, body)
		}
		if x.wantBody == "" {
			continue
		}
		var got, want any
		if err := json.Unmarshal([]byte(x.wantBody), &want); err != nil {
			t.Fatalf("docs/api.md:%d: %v", x.line, err)
		}
		if err := json.Unmarshal([]byte(body), &got); err != nil {
			t.Fatalf("docs/api.md:%d: %v", x.line, err)
		}
		if difference := differ(got, want, ""); difference != "" {
			t.Errorf("docs/api.md:%d: %s; the answer is\n%s", x.line, difference, body)
		}
		if o, ok := got.(object); ok && o["token"] != nil {
			token = o["token"].(string)
		}
	}
}

// exchangesOf finds the blocks marked http: a request, then its answer.
func exchangesOf(t *testing.T, page string) (found []exchange) {
	t.Helper()
	blocks := strings.Split(page, "```")
	line := 1
	for i, block := range blocks {
		if content, ok := strings.CutPrefix(block, "http\n"); ok && i%2 == 1 {
			head, body, _ := strings.Cut(content, "\n\n")
			if first := head[0]; first >= '0' && first <= '9' {
				last := &found[len(found)-1]
				last.wantStatus, last.wantBody = strings.TrimSpace(head), body
			} else {
				found = append(found, exchange{line: line, head: strings.TrimSpace(head), body: strings.TrimSuffix(body, "\n")})
			}
		}
		line += strings.Count(block, "\n")
	}
	for _, x := range found {
		if x.wantStatus == "" {
			t.Fatalf("docs/api.md:%d: a request without an answer", x.line)
		}
	}
	return found
}

// differ says where an answer is not as shown.
func differ(got, want any, at string) string {
	if want == "…" {
		if got == nil {
			return at + " is missing"
		}
		return ""
	}
	switch w := want.(type) {
	case object:
		return differFields(got, w, at)
	case []any:
		g, ok := got.([]any)
		if !ok || len(g) != len(w) {
			return fmt.Sprintf("%s: %v, shown %v", at, got, want)
		}
		for i := range w {
			if d := differ(g[i], w[i], fmt.Sprintf("%s[%d]", at, i)); d != "" {
				return d
			}
		}
		return ""
	}
	if got != want {
		return fmt.Sprintf("%s: %v, shown %v", at, got, want)
	}
	return ""
}

func differFields(got any, want object, at string) string {
	g, ok := got.(object)
	if !ok {
		return fmt.Sprintf("%s: %v is no object", at, got)
	}
	_, more := want["…"]
	for name := range g {
		if _, ok := want[name]; !ok && !more {
			return at + "." + name + " is not shown"
		}
	}
	names := []string{}
	for name := range want {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		if name != "…" {
			if d := differ(g[name], want[name], at+"."+name); d != "" {
				return d
			}
		}
	}
	return ""
}

func TestAHandbookThatLiesIsFound(t *testing.T) {
	var got any
	if err := json.Unmarshal([]byte(`{"a":1,"b":[{"c":"x"}]}`), &got); err != nil {
		t.Fatal(err)
	}
	for want, lies := range map[string]bool{
		`{"a":1,"b":[{"c":"x"}]}`: false, `{"a":"…","b":"…"}`: false, `{"a":1,"…":"…"}`: false,
		`{"a":2,"b":"…"}`: true, `{"a":1}`: true, `{"a":1,"b":[]}`: true, `{"a":1,"b":[{"c":"y"}]}`: true, `{"a":1,"b":"…","d":"…"}`: true, `[]`: true,
	} {
		var w any
		if err := json.Unmarshal([]byte(want), &w); err != nil {
			t.Fatal(err)
		}
		if d := differ(got, w, ""); (d != "") != lies {
			t.Errorf("%s: %q", want, d)
		}
	}
}
