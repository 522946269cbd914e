package gauging_test

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/oklog/ulid/v2"

	"slatewright/internal/book"
	"slatewright/internal/web/gauging"
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
		return gauging.Add(frame, mux)
	})
}

var names = []string{"study", "agreement", "worth", "budget", "due", "reversal", "bench"}

const examples = "../../../docs/examples/"

func example(t *testing.T, file string) string {
	t.Helper()
	text, err := os.ReadFile(examples + file)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// The examples are those of the handbook.
func TestExamplesAreTheHandbooks(t *testing.T) {
	files, err := filepath.Glob("examples/*.csv")
	if err != nil || len(files) < 8 {
		t.Fatal(files, err)
	}
	for _, file := range files {
		mine, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		theirs, err := os.ReadFile(examples + "gauge/" + filepath.Base(file))
		if err != nil {
			theirs, err = os.ReadFile(examples + filepath.Base(file))
		}
		if err != nil || string(mine) != string(theirs) {
			t.Errorf("%s is not the handbook's: %v", file, err)
		}
	}
}

func TestEveryPageInEveryLanguage(t *testing.T) {
	pages := map[string]int{"/gauging": 0, "/gauging/due?thing=instrument:QH-D1": 0}
	for _, n := range names {
		pages["/gauging/"+n], pages["/gauging/"+n+"/example"] = 0, 2
	}
	own.HoldQuestions(t, mux, pages)
}

func form(pairs ...string) url.Values {
	f := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		f.Set(pairs[i], pairs[i+1])
	}
	return f
}

// ask sends a question as a browser does.
func ask(t *testing.T, b *pagetest.Browser, name string, f url.Values) *httptest.ResponseRecorder {
	t.Helper()
	return b.Send(t, "/gauging/"+name, f)
}

func says(t *testing.T, w *httptest.ResponseRecorder, code int, words ...string) {
	t.Helper()
	text := pagetest.Text(w.Body.String())
	if w.Code != code {
		t.Errorf("%d, want %d: %.400s", w.Code, code, text)
	}
	for _, word := range words {
		if !strings.Contains(text, word) && !strings.Contains(w.Body.String(), word) {
			t.Errorf("it does not say %q: %.600s", word, text)
		}
	}
}

// The figures are those of the handbook's own answers.
func TestAnswers(t *testing.T) {
	b := own.SignIn(t, mux, "bench-1")
	for _, c := range []struct {
		name, file string
		words      []string
	}{
		{"study", "gauge/dial-study.csv", []string{"takes 17.6\u00a0% of the tolerance (15.4\u00a0% to 45.5\u00a0%)", "44.1\u00a0µm, of 250.0\u00a0µm", "11 classes", "6.9\u00a0µm", "726.0"}},
		{"agreement", "gauge/feeler-verdicts.csv", []string{"kappa of 0.47 (0.28 to 0.64)", "hand-3, 11 of 16", "3.8\u00a0% to 24.6\u00a0%", "take every judgement as independent"}},
		{"study", "gauge/feeler-verdicts.csv", []string{"Do people agree", "kappa of 0.47"}},
		{"worth", "gauge/worth.csv", []string{"Worth most: scanner", "crowns a year against straightedge and feelers", "dial on the granite bridge", "7.8\u00a0%", "limit 0.250"}},
		{"budget", "gauge/edge.csv", []string{"depth of the face below the blocks", "straightness", "23.5\u00a0%", "nobody measured it"}},
		{"due", "gauge/dial-history.csv", []string{"overdue since 21 October 2026", "1.0\u00a0µm", "at most 6.0\u00a0µm"}},
		{"reversal", "gauge/edge-reversal.csv", []string{"33.8\u00a0µm", "720\u00a0mm", "agree as their doubt allows"}},
		{"reversal", "gauge/level-reversal.csv", []string{"0.575", "contradict each other", "Look first at D"}},
	} {
		w := ask(t, b, c.name, form("list", example(t, c.file)))
		says(t, w, http.StatusOK, c.words...)
		if n := pagetest.Charts(t, w.Body.String()); n != 2 {
			t.Errorf("%s: %d pictures", c.file, n)
		}
	}
	w := ask(t, b, "bench", form("list", example(t, "head.csv"), "map", example(t, "gauge/bench.csv")))
	says(t, w, http.StatusOK, "u = 5.3\u00a0µm", "\u22127.6\u00a0µm to 2.3\u00a0µm", "63")
	// The edges are named, and of a bottom, turned over about the y axis, the head lies at the other end.
	under := ask(t, b, "bench", form("list", strings.Replace(example(t, "head.csv"), "# face: top", "# face: bottom", 1), "map", example(t, "gauge/bench.csv")))
	for page, starts := range map[*httptest.ResponseRecorder]string{w: "head", under: "foot"} {
		if text := page.Body.String(); !regexp.MustCompile(`text-anchor="start"[^>]*>`+starts+"<").MatchString(text) || !strings.Contains(text, ">right<") {
			t.Errorf("the picture does not begin at the %s", starts)
		}
	}
}

// What is taken away as JSON has the keys of the command line, and as CSV it is the list that was given.
func TestTakingAnswersAway(t *testing.T) {
	b := own.SignIn(t, mux, "bench-1")
	list := example(t, "gauge/dial-study.csv")
	w := ask(t, b, "study", form("list", list, "as", "json"))
	var got struct {
		Parts      int `json:"parts"`
		Categories int `json:"categories"`
		Components []struct {
			Name string  `json:"component"`
			SD   float64 `json:"sd"`
		} `json:"components"`
		Warnings []string `json:"warnings"`
	}
	if err := json.Unmarshal(w.Body.Bytes(), &got); err != nil || got.Parts != 10 || got.Categories != 11 || len(got.Components) < 5 || got.Warnings == nil {
		t.Errorf("%v %+v %.200s", err, got, w.Body)
	}
	if kind, name := w.Header().Get("Content-Type"), w.Header().Get("Content-Disposition"); kind != "application/json" || !strings.Contains(name, "gauge-study.json") {
		t.Error(kind, name)
	}
	if w := ask(t, b, "study", form("list", list, "as", "csv")); w.Body.String() != list {
		t.Errorf("the list comes back as %.200s", w.Body)
	}
	w = ask(t, b, "bench", form("list", example(t, "head.csv"), "map", example(t, "gauge/bench.csv"), "as", "csv"))
	says(t, w, http.StatusOK, "bench map taken off")
}

// A file takes the place of what is pasted, and is named where it is wrong; nothing that was typed is lost.
func TestNothingTypedIsLost(t *testing.T) {
	b := own.SignIn(t, mux, "bench-1")
	kind, body := pagetest.WithFile(t, form("tolerance", "0.3 mm", "list", "old"), "list-file", `C:\lists\mine & yours.csv`, []byte("part,person,value_mm\nP1,a,0.1\nP1,a,x<b>y\n"))
	w := b.Do(t, http.MethodPost, "/gauging/study", kind, body)
	says(t, w, http.StatusUnprocessableEntity, "mine &amp; yours.csv:3", "x&lt;b&gt;y", `value="0.3 mm"`, "P1,a,0.1", `aria-invalid="true"`)
	says(t, ask(t, b, "study", form("list", "part,person,value_mm\nP1,a,one\n")), http.StatusUnprocessableEntity, "list:2", "P1,a,one")
	says(t, ask(t, b, "study", form("list", example(t, "gauge/dial-study.csv"), "tolerance", "wide")), http.StatusUnprocessableEntity, "“wide” is not a length", "P10,bench-1", `value="wide"`)
	says(t, ask(t, b, "due", form()), http.StatusUnprocessableEntity, "No list was given")
}

// Nonsense is refused and said, never a fault.
func TestNonsense(t *testing.T) {
	b := own.SignIn(t, mux, "bench-1")
	chance := rand.New(rand.NewPCG(7, 7))
	noise := make([]byte, 4000)
	for i := range noise {
		noise[i] = byte(chance.IntN(256))
	}
	var rows strings.Builder
	rows.WriteString("part,person,value_mm\n")
	for range 100_000 {
		rows.WriteString("P1,a,0.1\n")
	}
	lists := map[string]string{
		"random bytes": string(noise), "10 MB": strings.Repeat("0123456789", 1<<20), "100,000 rows": rows.String(), "only titles": "part,person,value_mm\n",
		"quotes": `"""` + "\n\"", "a page": "<html><script>alert(1)</script></html>", "one row": "part,person,value_mm\nP1,a,1\n", "huge": "part,person,value_mm\nP1,a,1e300\nP1,a,-1e300\n",
		"same": "part,person,value_mm\nP1,a,1\nP1,a,1\nP2,a,1\nP2,a,1\n", "nul": "a\x00b", "emoji": "🙂,🙂\n1,2\n",
	}
	for _, file := range []string{"gauge/dial-study.csv", "gauge/feeler-verdicts.csv", "gauge/worth.csv", "gauge/edge.csv", "gauge/dial-history.csv", "gauge/edge-reversal.csv", "gauge/bench.csv", "head.csv"} {
		lists[file] = example(t, file)
	}
	for _, name := range names {
		for what, text := range lists {
			kind, body := pagetest.WithFile(t, form(), "list-file", "list.csv", []byte(text))
			w := b.Do(t, http.MethodPost, "/gauging/"+name, kind, body)
			if w.Code >= 500 || w.Code == http.StatusOK && pagetest.Charts(t, w.Body.String()) != 2 {
				t.Errorf("%s of %s: %d %.300s", name, what, w.Code, pagetest.Text(w.Body.String()))
			}
			if w.Code != http.StatusOK && !strings.Contains(w.Body.String(), "told bad") {
				t.Errorf("%s of %s says nothing: %d", name, what, w.Code)
			}
			if strings.Contains(w.Body.String(), "NaN") || strings.Contains(w.Body.String(), "<script>alert") {
				t.Errorf("%s of %s holds what it must not", name, what)
			}
		}
	}
}

// Of thousands of pieces the picture shows as many as it can, and says how many it leaves out.
func TestManyPieces(t *testing.T) {
	b := own.SignIn(t, mux, "bench-1")
	var s strings.Builder
	s.WriteString("part,person,value_mm\n")
	for i := range 2000 {
		for k := range 4 {
			fmt.Fprintf(&s, "P%d,%c,0.1%d\n", i, 'a'+k%2, (i*7+k*3)%10)
		}
	}
	kind, body := pagetest.WithFile(t, form(), "list-file", "many.csv", []byte(s.String()))
	w := b.Do(t, http.MethodPost, "/gauging/study", kind, body)
	says(t, w, http.StatusOK, "1820 pieces more are not drawn")
	if n := w.Body.Len(); n > 1<<20 {
		t.Errorf("the page has %d bytes", n)
	}
}

// A study is kept with the instrument that was tried, once, and opens again with its answer. Who may not write is not offered it.
func TestAStudyIsKeptWithItsInstrument(t *testing.T) {
	list := example(t, "gauge/dial-study.csv")
	visitor := own.SignIn(t, mux, "visitor-1")
	if w := ask(t, visitor, "study", form("list", list)); strings.Contains(w.Body.String(), `value="keep"`) {
		t.Error("a visitor is offered to keep a study")
	}
	says(t, ask(t, visitor, "study", form("list", list, "as", "keep", "instrument", "QH-D1")), http.StatusForbidden, "told bad")
	b := own.SignIn(t, mux, "bench-1")
	w := ask(t, b, "study", form("list", list))
	_, rest, _ := strings.Cut(w.Body.String(), `name="_entry" value="`)
	entry, _, _ := strings.Cut(rest, `"`)
	says(t, ask(t, b, "study", form("list", list, "as", "keep", "_entry", entry)), http.StatusUnprocessableEntity, "Choose the instrument", "P10,bench-1")
	says(t, ask(t, b, "study", form("list", list, "as", "keep", "_entry", entry, "instrument", "QH-NONE")), http.StatusNotFound, "P10,bench-1")
	for range 2 { // sent twice it is one entry
		w = ask(t, b, "study", form("list", list, "as", "keep", "_entry", entry, "instrument", "QH-D1"))
		if to := w.Header().Get("Location"); w.Code != http.StatusSeeOther || to != "/instrument/QH-D1?did=read" {
			t.Fatalf("%d to %s: %.300s", w.Code, to, pagetest.Text(w.Body.String()))
		}
	}
	thing, err := own.Ledger.Thing(t.Context(), book.Ref{Kind: book.KindInstrument, ID: "QH-D1"})
	if err != nil {
		t.Fatal(err)
	}
	state, err := book.StateOf(thing)
	if s, ok := state.(*book.InstrumentState); err != nil || !ok || len(s.Studies) != 1 || s.Studies[0].Entry != entry {
		t.Errorf("%v %+v", err, state)
	}
	says(t, visitor.Get(t, "/gauging/study?kept="+entry), http.StatusOK, "takes 17.6", "P10,bench-1")
	says(t, visitor.Get(t, "/gauging/study?kept=nothing"), http.StatusNotFound, "told bad")
	first, err := own.Ledger.Entries(t.Context(), 0, 1)
	if err != nil {
		t.Fatal(err)
	}
	says(t, visitor.Get(t, "/gauging/study?kept="+first[0].ID), http.StatusNotFound, "told bad")
}

// What the book holds of an instrument's calibrations stands in the form.
func TestCalibrationsOfTheBook(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	act := &book.Calibrate{Thing: book.Ref{Kind: book.KindInstrument, ID: "QH-D1"}, Good: true, ErrorMM: -0.0031, UMM: 0.0006, Due: own.Now().AddDate(0, 6, 0)}
	word, body, err := book.Encode(act)
	if err != nil {
		t.Fatal(err)
	}
	e := book.Entry{ID: ulid.Make().String(), Site: own.Ledger.Site(), At: own.Now().UTC(), Person: "inspector-1", Station: book.Bench, Act: word, Body: body}
	if _, err := own.Ledger.Append(t.Context(), book.Submission{Entry: e, Caller: book.Caller{Person: "inspector-1", Role: book.Inspector}}); err != nil {
		t.Fatal(err)
	}
	says(t, b.Get(t, "/gauging/due?thing=instrument:QH-D1"), http.StatusOK, ",,,", own.Now().Format(time.DateOnly)+",-0.0031,0.0006,")
	says(t, b.Get(t, "/gauging/due?thing=instrument:QH-D1"), http.StatusOK, "# instrument: QH-D1", "day,error_mm,u_mm,adjusted", "QH-D1. Fill in")
	says(t, b.Get(t, "/gauging/due?thing=instrument:QH-NONE"), http.StatusNotFound, "told bad")
	says(t, b.Get(t, "/gauging/due?thing=piece:QH-1002"), http.StatusOK, "When is the next calibration due")
}
