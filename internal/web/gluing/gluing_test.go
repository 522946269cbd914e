package gluing_test

import (
	"context"
	"encoding/json"
	"net/http"
	"net/url"
	"os"
	"strings"
	"testing"

	"slatewright/internal/web/gluing"
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
		return gluing.Add(frame, mux)
	})
}

func example(t *testing.T, file string) string {
	t.Helper()
	text, err := os.ReadFile("../../../docs/examples/lining/" + file)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// The examples are those of the handbook.
func TestExamplesAreTheHandbooks(t *testing.T) {
	pagetest.HoldExamples(t, "../../../docs/examples/lining")
}

func TestEveryPageInEveryLanguage(t *testing.T) {
	own.HoldQuestions(t, mux, map[string]int{"/lining": 0, "/lining/example": 2, "/lining/coupon": 0, "/lining/coupon/example": 2})
}

// send asks as a browser does.
func send(t *testing.T, path, list string, more ...string) (code int, text, page string) {
	t.Helper()
	f := url.Values{"list": {list}}
	for i := 0; i+1 < len(more); i += 2 {
		f.Set(more[i], more[i+1])
	}
	w := own.SignIn(t, mux, "bench-1").Send(t, path, f)
	return w.Code, strings.ReplaceAll(pagetest.Text(w.Body.String()), "\u00a0", " "), w.Body.String()
}

// The page says what the command line says, and a batch with every remark says each of them.
func TestAnswers(t *testing.T) {
	batch := example(t, "batch.csv")
	cut := func(from string, to ...string) string {
		return strings.NewReplacer(append([]string{from}, to...)...).Replace(batch)
	}
	for _, c := range []struct {
		name, list string
		words      []string
	}{
		{"the example", batch, []string{"May be glued today. At most 0.11", "relative humidity", "strips 50 mm wide along the edges, in lengths of 100 mm", "crowned", "dished", "Take care"}},
		{"full boards", cut("# layout: strips 50 mm, lengths 100 mm, gaps 30 mm\n", "", "# layout: strips 60 mm\n", ""), []string{"Cannot tell. The bow of the worst month", "Lay it out as pads of", "What costs most is not knowing", "one full board"}},
		{"a pin meter", example(t, "meter.csv"), []string{"Cannot tell. A pin meter of ± 1", "Weigh a loose sample board"}},
		{"too early", cut("# least days: 5", "# least days: 20\n# glue: 150 g/m2, 50 % water"), []string{"Not today. The boards have lain for 9 days; the mill asks for 20.", "until day 20", "The glue brings up to"}},
		{"no board data", cut("# movement 65 to 30: -1.15 ± 0.1 mm/m\n", "", "# movement 65 to 85: 0.90 ± 0.1 mm/m\n", ""), []string{"Cannot tell. The board’s own movement", "Estimate: the movement"}},
		{"three weighings", batch[:strings.Index(batch, "3,48.0")], []string{"3 weighings do not show"}},
	} {
		code, text, page := send(t, "/lining", c.list)
		if code != http.StatusOK || pagetest.Charts(t, page) != 2 {
			t.Errorf("%s: %d, %.300s", c.name, code, text)
		}
		for _, word := range c.words {
			if !strings.Contains(text, word) {
				t.Errorf("%s does not say %q: %.900s", c.name, word, text)
			}
		}
	}
	code, text, _ := send(t, "/lining/coupon", example(t, "coupon.csv"))
	if code != http.StatusOK || !strings.Contains(text, "of bow for 1 % of humidity") || !strings.Contains(text, "# coupon: 0.03") {
		t.Errorf("%d %.600s", code, text)
	}
}

// What is wrong with a list is said beside it, and the list comes back.
func TestWrongListsComeBack(t *testing.T) {
	for _, list := range []string{"", "day,humidity\n0,48\n", strings.Replace(example(t, "batch.csv"), "# piece: 914 x 1473 mm", "# piece: large", 1), strings.Replace(example(t, "batch.csv"), "# sensor: ± 2\n", "", 1)} {
		for _, path := range []string{"/lining", "/lining/coupon"} {
			code, text, page := send(t, path, list)
			if code < 400 || code >= 500 || list != "" && !strings.Contains(page, "humidity") || pagetest.Charts(t, page) != 0 {
				t.Errorf("%s, %.30q: %d %.300s", path, list, code, text)
			}
		}
	}
}

// What is taken away as JSON has the keys of the command line, and as CSV it is the list that was given.
func TestTakingAnswersAway(t *testing.T) {
	batch := example(t, "batch.csv")
	_, _, page := send(t, "/lining", batch, "as", "json")
	var got struct {
		Verdict string           `json:"verdict"`
		Months  []map[string]any `json:"months"`
	}
	if err := json.Unmarshal([]byte(page), &got); err != nil || got.Verdict != "may be glued" || len(got.Months) != 12 {
		t.Errorf("%v %+v", err, got)
	}
	if _, _, page := send(t, "/lining", batch, "as", "csv"); page != batch {
		t.Errorf("the list came back as %.200q", page)
	}
}

// options are the values of a select that say something.
func options(page, name string) (list []string) {
	_, rest, _ := strings.Cut(page, ` name="`+name+`"`)
	rest, _, _ = strings.Cut(rest, "</select>")
	for _, o := range strings.Split(rest, `<option value="`)[1:] {
		if id, _, _ := strings.Cut(o, `"`); id != "" {
			list = append(list, id)
		}
	}
	return list
}

// A list that a hand keeps with its batch is a reading of its moisture in the book, and is answered again from there.
func TestAListIsKeptWithItsBatch(t *testing.T) {
	b := own.SignIn(t, mux, "bench-1")
	batch := example(t, "batch.csv")
	page := b.Send(t, "/lining", url.Values{"list": {batch}}).Body.String()
	_, entry, _ := strings.Cut(page, `name="_entry" value="`)
	entry, _, _ = strings.Cut(entry, `"`)
	batches, scales := options(page, "batch"), options(page, "scale")
	if entry == "" || len(batches) == 0 || len(scales) == 0 {
		t.Fatalf("entry %q, batches %q, scales %q", entry, batches, scales)
	}
	form := url.Values{"list": {batch}, "_entry": {entry}, "scale": {scales[0]}, "as": {"keep"}}
	if w := b.Send(t, "/lining", form); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "mass_g") {
		t.Errorf("without a batch: %d", w.Code)
	}
	form.Set("batch", batches[len(batches)-1])
	w := b.Send(t, "/lining", form)
	at := w.Header().Get("Location")
	if w.Code != http.StatusSeeOther || at != "/lining?batch="+url.QueryEscape(form.Get("batch")) {
		t.Fatalf("%d to %q: %.900s", w.Code, at, pagetest.Text(w.Body.String()))
	}
	if text := pagetest.Text(b.Get(t, at).Body.String()); !strings.Contains(text, "May be glued today") {
		t.Errorf("the kept list is not answered: %.400s", text)
	}
	visitor := own.SignIn(t, mux, "visitor-1")
	if page := visitor.Send(t, "/lining", url.Values{"list": {batch}}).Body.String(); strings.Contains(page, `value="keep"`) {
		t.Error("a visitor is offered to keep a list")
	}
	if w := visitor.Send(t, "/lining", form); w.Code != http.StatusForbidden {
		t.Errorf("a visitor keeps a list: %d", w.Code)
	}
}
