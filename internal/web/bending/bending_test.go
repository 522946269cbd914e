package bending_test

import (
	"context"
	"encoding/json"
	"math"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"slatewright/internal/tongue"
	"slatewright/internal/web/bending"
	"slatewright/internal/web/pagetest"
)

var (
	own *pagetest.Mill
	mux = http.NewServeMux()
)

func TestMain(m *testing.M) {
	pagetest.Main(m, func(_ context.Context, mill *pagetest.Mill) error {
		own = mill
		frame, err := mill.Frame()
		if err != nil {
			return err
		}
		return bending.Add(frame, mux)
	})
}

func sag(pairs ...string) string {
	q := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		q.Set(pairs[i], pairs[i+1])
	}
	return "/sag?" + q.Encode()
}

// The page and its JSON say what the plate says: 0.666 mm between the ends (0.650 as a beam), 0.018 at 0.22; half the modulus, twice the sag.
func TestSag(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	for _, c := range []struct {
		path string
		mm   float64
	}{{"/sag?as=json&on=ends", 0.6663}, {sag("as", "json", "on", "lines"), 0.0178}, {sag("as", "json", "on", "ends", "modulus", "24 GPa"), 1.3326}, {sag("as", "json", "on", "best-3"), 0.0479},
		{sag("as", "json", "on", "ends", "size", "914 x 1473 mm", "thickness", "1 in"), 0.6663}} {
		var got struct {
			Peak float64 `json:"peak_to_valley_mm"`
		}
		w := b.Get(t, c.path)
		if err := json.Unmarshal(w.Body.Bytes(), &got); err != nil || math.Abs(got.Peak-c.mm) > 2e-3*c.mm {
			t.Errorf("%s: %d, %.4f mm, want %.4f (%v)", c.path, w.Code, got.Peak, c.mm, err)
		}
	}
	text := pagetest.Text(b.Get(t, "/sag").Body.String())
	for _, want := range []string{"sags by 0.666", "was not tested", "The marks on the bench", "bar – −736.5", "Stone can break or tip under a test load"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page does not say %q: %s", want, text)
		}
	}
}

// The shop test: the dial that a stone of 48 GPa shows gives 48 GPa back.
func TestShopTest(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	var got struct {
		Load struct {
			Deflection float64 `json:"deflection_mm"`
			Modulus    float64 `json:"modulus_gpa"`
		} `json:"load"`
	}
	if err := json.Unmarshal(b.Get(t, sag("as", "json", "on", "ends", "weight", "20 kg", "dial", "0.22 mm")).Body.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	if d := got.Load.Deflection; d < 0.2 || d > 0.25 || math.Abs(got.Load.Modulus-48*d/0.22) > 1e-6 {
		t.Errorf("%+v", got.Load)
	}
}

func TestEveryLanguage(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	for _, path := range []string{"/sag", sag("on", "best-6", "weight", "20", "dial", "0.22")} {
		said := map[string]bool{}
		for _, l := range tongue.Languages() {
			b.Reads("visitor-1", string(l), "inch")
			w := b.Get(t, path)
			page := w.Body.String()
			for _, no := range []string{"⟨", " style=", "<script", "NaN", "%!", "<nil>", "<no value>"} {
				if strings.Contains(page, no) {
					t.Errorf("%s in %s holds %s", path, l, no)
				}
			}
			if said[pagetest.Text(page)] || w.Code != http.StatusOK && !strings.Contains(path, "dial") {
				t.Errorf("%s in %s: %d", path, l, w.Code)
			}
			said[pagetest.Text(page)] = true
		}
	}
}

// What cannot be is refused, and what was typed stays.
func TestNonsense(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	for _, pairs := range [][]string{{"on", "air"}, {"on", "ends", "size", "914"}, {"on", "ends", "thickness", "-3"}, {"on", "ends", "modulus", "48"}, {"on", "ends", "weight", "many"}, {"on", "ends", "dial", "0.2"},
		{"on", "ends", "size", "1e9 x 1 mm"}, {"on", "three", "thickness", "\x00"}, {"on", "ends", "weight", "NaN"}, {"on", "ends", "modulus", "1e300 GPa"}, {"on", "best-9"}} {
		w := b.Get(t, sag(pairs...))
		if w.Code < 400 || w.Code >= 500 {
			t.Errorf("%q: %d", pairs, w.Code)
		}
		last := pairs[len(pairs)-1]
		if len(pairs) > 2 && last != "\x00" && !strings.Contains(w.Body.String(), `value="`+last+`"`) {
			t.Errorf("%q is gone: %s", last, pagetest.Text(w.Body.String()))
		}
		if w := b.Get(t, strings.Replace(sag(pairs...), "/sag?", "/sag.svg?", 1)); w.Code < 400 || w.Code >= 500 {
			t.Errorf("picture of %q: %d", pairs, w.Code)
		}
	}
	if w := b.Get(t, "/sag.svg?on=four"); w.Code != http.StatusOK || !strings.HasPrefix(w.Body.String(), "<svg") {
		t.Errorf("%d: %.100s", w.Code, w.Body)
	}
}
