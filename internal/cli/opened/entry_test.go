package opened

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/cli/verb"
)

func TestBodiesAreReadAloud(t *testing.T) {
	digest := strings.Repeat("0123456789abcdef", 4)
	cases := map[string]string{
		`{}`:                                   "",
		`{"piece":"P1","depth_mm":0.20}`:       "piece P1, depth mm 0.20",
		`{"last":true,"good":false,"x":null}`:  "last yes, good no, x none",
		`{"steps_mm":[0.02,0.03],"codes":[]}`:  "steps mm 0.02 0.03",
		`{"slabs":[{"id":"A"},{"id":"B"}]}`:    "slabs id A, slabs id B",
		`{"layer":{"thickness_mm":900},"a":1}`: "layer thickness mm 900, a 1",
		`{"a":[[1,2],[3]],"b":2}`:              "a 1 2, a 3, b 2",
		`{"blob":"` + digest + `"}`:            "blob 0123456789ab…",
		`[1]`:                                  "",
		`{"a":`:                                "",
	}
	for body, want := range cases {
		if got := words([]byte(body)); got != want {
			t.Errorf("%s: got %q, want %q", body, got, want)
		}
	}
}

// Whatever stands in a body, telling it ends and holds no line break that the body did not.
func FuzzWords(f *testing.F) {
	for _, seed := range []string{`{"a":[{"b":[1]}]}`, `{"a":{"b":{}}}`, `{`, `{"a":[`, `{"a"}`, `{"a":1}}`} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		if text := words(body); text == "" && json.Valid(body) && strings.Contains(string(body), `:1`) && body[0] == '{' {
			t.Errorf("nothing was told of %s", body)
		}
	})
}

func TestEntryOutOfForceIsMarked(t *testing.T) {
	zone := time.FixedZone("mill", 3600)
	s := &verb.Session{Clock: func() time.Time { return time.Now().In(zone) }}
	at := time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC)
	p := book.Placed{Entry: book.Entry{Seq: 7, At: at, Person: "saw-1", Station: book.Saw, Act: "reject", Body: json.RawMessage(`{"cause":"crack"}`)}, At: at}
	cases := []struct {
		standing book.Standing
		moved    time.Duration
		want     []string
	}{
		{book.Standing{}, 0, []string{"     7  2026-11-25 09:00  saw        saw-1: reject\n        cause crack\n"}},
		{book.Standing{State: "struck", By: 9}, 0, []string{"reject  [struck, by 9]"}},
		{book.Standing{State: "conflict", Why: `{"code":"x","what":"it was sawn","next":"look"}`}, 0, []string{"[conflict]", "why: it was sawn; look"}},
		{book.Standing{}, -time.Hour, []string{"stands at 2026-11-25 08:00"}},
	}
	for _, c := range cases {
		p.Standing, p.At = c.standing, at.Add(c.moved)
		var b strings.Builder
		Tell(s, p).Print(&b)
		for _, want := range c.want {
			if !strings.Contains(b.String(), want) {
				t.Errorf("%+v: no %q in\n%s", c.standing, want, b.String())
			}
		}
	}
}
