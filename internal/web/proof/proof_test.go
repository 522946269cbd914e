package proof

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"strconv"
	"strings"
	"testing"

	"slatewright/internal/measured"
	"slatewright/internal/web/pagetest"
)

var (
	theMill *pagetest.Mill
	theDoor http.Handler
)

func TestMain(m *testing.M) {
	pagetest.Main(m, func(ctx context.Context, mill *pagetest.Mill) error {
		s, err := mill.Frame()
		if err != nil {
			return err
		}
		mux := http.NewServeMux()
		room := measured.New(mill.Files, measured.Options{})
		context.AfterFunc(ctx, room.Close)
		s.AddOwn(mux)
		theMill, theDoor = mill, mux
		return Add(s, mux, room, nil, nil)
	})
}

func visitor(t *testing.T) *pagetest.Browser { return theMill.SignIn(t, theDoor, "visitor-1") }

// asks sends a list, and tells the status and what the page says.
func asks(t *testing.T, b *pagetest.Browser, path, list, limit string, more ...string) (code int, page string) {
	t.Helper()
	form := url.Values{"limit": {limit}}
	for i := 0; i+1 < len(more); i += 2 {
		form.Set(more[i], more[i+1])
	}
	kind, body := pagetest.WithFile(t, form, "list-file", "mine.csv", []byte(list))
	w := b.Do(t, http.MethodPost, path, kind, body)
	return w.Code, w.Body.String()
}

// spaced is a text with plain blanks before its units.
func spaced(text string) string { return strings.ReplaceAll(text, unbroken, " ") }

func example(t *testing.T, name string) string {
	t.Helper()
	text, err := examples.ReadFile("examples/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// The examples are those of the handbook.
func TestExamplesAreTheHandbooks(t *testing.T) {
	pagetest.HoldExamples(t, "../../../docs/examples")
}

// Each page answers its example with a sentence, a picture and its figures, in every language, units and for a telephone.
func TestExamplesAreAnswered(t *testing.T) {
	b := visitor(t)
	for path, wants := range map[string][]string{
		"/levels/example":  {"line 10 of the list cannot be right", `class="wrong"`, "line 10?", "0.117 mm (4.6 thou)", `class="on-narrow"`},
		"/feelers/example": {"at least 0.084 mm and at most 0.156 mm", "try 1.970 mm", `class="ring"`, "2.06–2.08"},
		"/feelers/table":   {"Eight lines", `name="p.0.1"`, `class="base"`, ">head</text>", ">right</text>"},
		"/levels":          {"How flat", `name="list"`}, "/feelers": {"/feelers/table"},
	} {
		w := b.Get(t, path)
		for _, want := range wants {
			if page := spaced(w.Body.String()); w.Code != http.StatusOK || !strings.Contains(page, want) {
				t.Errorf("%s: %d, no %q", path, w.Code, want)
			}
		}
	}
	for _, l := range []string{"pt", "it", "es", "zh"} {
		b.Reads("visitor-1", l, "inch")
		for _, path := range []string{"/levels/example", "/feelers/example", "/feelers/table", "/feelers/table?edge=laid&pattern=cross"} {
			if w := b.Get(t, path); w.Code != http.StatusOK || strings.Contains(w.Body.String(), "⟨") || strings.Contains(pagetest.Text(w.Body.String()), "What to bear in mind") {
				t.Errorf("%s in %s: %d", path, l, w.Code)
			}
		}
	}
}

// What is taken away has the verb's keys.
func TestAnswersAreTakenAway(t *testing.T) {
	b := visitor(t)
	for path, c := range map[string]struct{ list, keys string }{
		"/levels":  {"level-slip.csv", "heights zone_mm closure_um suspect verdict"},
		"/feelers": {"straightedge.csv", "zone_low_mm zone_high_mm high_is_exact contradictions next verdict"},
	} {
		code, text := asks(t, b, path, example(t, c.list), "0.2 mm", "as", "json")
		var got map[string]any
		if err := json.Unmarshal([]byte(text), &got); code != http.StatusOK || err != nil {
			t.Fatalf("%s: %d %v", path, code, err)
		}
		for _, k := range strings.Fields(c.keys) {
			if got[k] == nil && k != "suspect" {
				t.Errorf("%s: no %s", path, k)
			}
		}
	}
}

// After trouble everything typed is still there, and where, what and what next are said.
func TestNothingTypedIsLost(t *testing.T) {
	b := visitor(t)
	for _, c := range []struct{ path, list, limit, want string }{
		{"/levels", "# u: 1 um\nx1,y1,x2,y2,rise_um\n0,0,100,0,tall\n", "0.2", "mine.csv:3"},
		{"/levels", "x1,y1,x2,y2,rise_um\n0,0,100,0,1\n500,0,600,0,1\n", "", "mine.csv"},
		{"/feelers", "line,x,y,passes_mm,stops_mm\nA,0,0,,\n", "", "nothing says how the edge lay"},
		{"/levels", "# u: 1 um\nx1,y1,x2,y2,rise_um\n0,0,100,0,1\n", "tall", "“tall” is not a length"},
		{"/levels", "", "0.2", "No list was given"},
	} {
		code, page := asks(t, b, c.path, c.list, c.limit)
		first, _, _ := strings.Cut(c.list, "\n")
		if code/100 != 4 || !strings.Contains(page, c.want) || !strings.Contains(page, first) || !strings.Contains(page, `value="`+c.limit+`"`) {
			t.Errorf("%s %q: %d, want %q in %.600s", c.path, c.list, code, c.want, pagetest.Text(page))
		}
	}
}

// The table is the same list: filled with the example's kind of readings it is answered, and what is wrong is said with all that was typed.
func TestTheTable(t *testing.T) {
	b := visitor(t)
	form := url.Values{"pattern": {"cross"}, "edge": {"blocks"}, "block": {"2,00"}, "limits": {"0.003"}, "limit": {"0.3"}}
	for _, name := range []string{"0.1", "0.2", "0.3", "1.1", "1.2", "1.3"} {
		form.Set("p."+name, "2.05")
		form.Set("s."+name, "2.10")
	}
	w := b.Send(t, "/feelers/table", form)
	if page := spaced(pagetest.Text(w.Body.String())); w.Code != http.StatusOK || !strings.Contains(page, "it keeps within 0.300 mm") {
		t.Errorf("%d %s", w.Code, page)
	}
	form.Set("as", "csv")
	if w = b.Send(t, "/feelers/table", form); !strings.HasPrefix(w.Body.String(), "# edge: blocks 2 mm\n# strip limits: 0.003 mm\nline,x,y,passes_mm,stops_mm\nA,0,-686.5,,\nA,0,-343.3,2.05,2.1\n") &&
		!strings.Contains(w.Body.String(), "A,0.0,") {
		t.Errorf("%s", w.Body)
	}
	form.Set("as", "")
	form.Set("p.0.2", "thick")
	w = b.Send(t, "/feelers/table", form)
	if page := w.Body.String(); w.Code/100 != 4 || !strings.Contains(page, "“thick” is no thickness") || !strings.Contains(page, `value="thick"`) || !strings.Contains(page, `value="2,00"`) {
		t.Errorf("%d %.500s", w.Code, pagetest.Text(page))
	}
	form.Del("block")
	form.Set("p.0.2", "2.05")
	if w = b.Send(t, "/feelers/table", form); w.Code/100 != 4 || !strings.Contains(w.Body.String(), "how high the blocks are") {
		t.Errorf("%d", w.Code)
	}
}

// A sheet whose bounds take minutes is given up after the time that a page has, and says so.
func TestALongSheetIsGivenUp(t *testing.T) {
	var b strings.Builder
	b.WriteString("# edge: blocks 2.00 mm\nline,x,y,passes_mm,stops_mm\n")
	for k := range 9 {
		for i := range 9 {
			fmt.Fprintf(&b, "H%d,%d,%d,2.00,2.05\nV%d,%d,%d,2.00,2.05\n", k, 100*i, 100*k, k, 100*k, 100*i)
		}
	}
	code, page := asks(t, visitor(t), "/feelers", b.String(), "")
	if code/100 != 4 && code != http.StatusOK || code != http.StatusOK && !strings.Contains(page, "slatewright feelers FILE") {
		t.Errorf("%d %.500s", code, pagetest.Text(page))
	}
}

// Nonsense is refused: bytes by chance, ten megabytes, a hundred thousand rows; never a fault of our own.
func TestNonsense(t *testing.T) {
	b := visitor(t)
	r := rand.New(rand.NewPCG(1, 2))
	random := make([]byte, 4096)
	for i := range random {
		random[i] = byte(r.IntN(256))
	}
	rows := "x1,y1,x2,y2,rise_um\n" + strings.Repeat("0,0,100,0,1\n", 100_000)
	for _, path := range []string{"/levels", "/feelers"} {
		for name, list := range map[string]string{"bytes": string(random), "10 MB": strings.Repeat("0123456789", 1<<20), "rows": rows, "zeros": "\x00", "markup": "<script>alert(1)</script>\n1,2,3"} {
			code, page := asks(t, b, path, list, "1e308")
			if code/100 != 4 || strings.Contains(page, "<script>alert") {
				t.Errorf("%s with %s: %d", path, name, code)
			}
		}
	}
	if w := b.Do(t, http.MethodPost, "/levels", "multipart/form-data; boundary=x", io.MultiReader(bytes.NewReader(random))); w.Code/100 != 4 {
		t.Errorf("a broken form: %d", w.Code)
	}
}

// The page of a piece's whole face: how likely it conforms, what to do, and, without prices, that it is ranked by risk. The same as JSON.
func TestThePageOfAFace(t *testing.T) {
	b := visitor(t)
	w := b.Get(t, "/piece/QH-1002/judge-face")
	for _, want := range []string{"It keeps within 0.508 mm with a probability of", "Recommended:", "Ranked by risk", `class="belief"`, "uncalibrated", "Where to read next"} {
		if !strings.Contains(spaced(w.Body.String()), want) {
			t.Errorf("no %q in %d %.900s", want, w.Code, pagetest.Text(w.Body.String()))
		}
	}
	var got map[string]any
	if err := json.Unmarshal(b.Get(t, "/piece/QH-1002/judge-face.json").Body.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	for _, k := range strings.Fields("zone_median_mm zone_interval_mm probability_conforms calibrated next_points recommendation ranked_by ways verdict warnings") {
		if got[k] == nil {
			t.Errorf("no %s", k)
		}
	}
	for path, code := range map[string]int{"/piece/none/judge-face": http.StatusNotFound, "/piece/none/judge-face.json": http.StatusNotFound} {
		if w := b.Get(t, path); w.Code != code {
			t.Errorf("%s: %d", path, w.Code)
		}
	}
	for _, l := range []string{"pt", "it", "es", "zh"} {
		b.Reads("visitor-1", l, "inch")
		if w := b.Get(t, "/piece/QH-1002/judge-face"); w.Code != http.StatusOK || strings.Contains(w.Body.String(), "⟨") || strings.Contains(w.Body.String(), "Ranked by") {
			t.Errorf("in %s: %d", l, w.Code)
		}
	}
}

// A walk of more stations than a page can fit soon is refused, with the verb that fits it.
func TestALongWalkIsRefused(t *testing.T) {
	var b strings.Builder
	b.WriteString("# u: 1 um\nx1,y1,x2,y2,rise_um\n")
	for i := range mostWalked {
		fmt.Fprintf(&b, "%d,0,%d,0,1\n", 10*i, 10*i+10)
	}
	if code, page := asks(t, visitor(t), "/levels", b.String(), ""); code/100 != 4 || !strings.Contains(page, "slatewright levels FILE") {
		t.Errorf("%d %.500s", code, pagetest.Text(page))
	}
}

// A line of the example that is called after an edge of the piece lies along that edge: x runs to the foot, y to the right.
func TestLinesAreCalledAfterTheEdgeTheyLieAlong(t *testing.T) {
	text, err := os.ReadFile("examples/straightedge.csv")
	if err != nil {
		t.Fatal(err)
	}
	side := map[string]func(x, y float64) bool{"head": func(x, _ float64) bool { return x < 0 }, "foot": func(x, _ float64) bool { return x > 0 },
		"left": func(_, y float64) bool { return y < 0 }, "right": func(_, y float64) bool { return y > 0 }}
	seen := 0
	for _, row := range strings.Split(string(text), "\n") {
		cells := strings.Split(row, ",")
		on := side[cells[0]]
		if on == nil {
			continue
		}
		seen++
		x, errX := strconv.ParseFloat(cells[1], 64)
		y, errY := strconv.ParseFloat(cells[2], 64)
		if errX != nil || errY != nil || !on(x, y) {
			t.Errorf("%s", row)
		}
	}
	if seen < 16 {
		t.Errorf("%d stations", seen)
	}
}
