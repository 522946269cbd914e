package shell

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"slatewright/internal/tongue"
)

func TestOnlyOwnPagesAreGoneBackTo(t *testing.T) {
	for address, want := range map[string]string{"/piece/QH-1?x=2": "/piece/QH-1?x=2", "": "/", "//elsewhere.example/a": "/", "http://elsewhere.example": "/", `/\elsewhere.example`: "/",
		"javascript:alert(1)": "/", "piece": "/", "/%0d%0aSet-Cookie:x": "/%0d%0aSet-Cookie:x"} {
		if got := Within(address); got != want {
			t.Errorf("%q leads to %q, want %q", address, got, want)
		}
	}
}

// A tablet remembers the choices of twelve people, the latest last, and mixes none of them up.
func TestChoicesArePerPerson(t *testing.T) {
	q := httptest.NewRequest(http.MethodGet, "/", nil)
	q.AddCookie(&http.Cookie{Name: readerCookie, Value: "lead~pt~inch~dark+bench-1~zh~mm~+broken+x~y"})
	got := choices(q)
	if len(got) != 2 || got["lead"] != (choice{"pt", "inch", "dark"}) || got["bench-1"] != (choice{"zh", "mm", ""}) {
		t.Errorf("%+v", got)
	}
}

func TestIntervalPictures(t *testing.T) {
	w := tongue.In(tongue.English, tongue.Metric)
	for _, c := range []struct {
		name  string
		is    Interval
		holds []string
		lacks []string
	}{
		{"inside its limit", Interval{0.2, 0.15, 0.26, 0.508}, []string{"0.200", "0.508", `class="beyond"`, `class="doubt"`}, nil},
		{"beyond it", Interval{0.9, 0.8, 1, 0.508}, []string{"0.900", `class="beyond"`}, nil},
		{"without a limit", Interval{0.2, 0.1, 0.3, 0}, []string{"0.200"}, []string{`class="beyond"`, `class="limit"`}},
	} {
		got := string(c.is.Picture(w))
		for _, want := range c.holds {
			if !strings.Contains(got, want) {
				t.Errorf("%s: %s is not in %s", c.name, want, got)
			}
		}
		for _, not := range c.lacks {
			if strings.Contains(got, not) {
				t.Errorf("%s: %s is in %s", c.name, not, got)
			}
		}
		if strings.Contains(got, "style=") {
			t.Errorf("%s: a style that the policy of the pages forbids", c.name)
		}
	}
	if got := (Interval{}).Picture(w); got != "" {
		t.Errorf("a picture of nothing: %s", got)
	}
}

// The numbers of things stay whole at the end of a line; what a text brings of its own is never markup.
func TestNumbersStayWhole(t *testing.T) {
	for text, want := range map[string]string{
		"Drill QH-1016, QH-S112?": `Drill <span class="whole">QH-1016</span>, <span class="whole">QH-S112</span>?`,
		"L1-01-A":                 `<span class="whole">L1-01-A</span>`,
		"re-mark it":              "re-mark it",
		"LONG-NUMBER-OF-A-1":      "LONG-NUMBER-OF-A-1",
		`<b>A-1</b>&"`:            `&lt;b&gt;<span class="whole">A-1</span>&lt;/b&gt;&amp;&#34;`,
		"石板 QH-1，好":               `石板 <span class="whole">QH-1</span>，好`,
	} {
		if got := string(whole(text)); got != want {
			t.Errorf("%q becomes %s, want %s", text, got, want)
		}
	}
}
