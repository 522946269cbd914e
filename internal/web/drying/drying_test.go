package drying_test

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"strings"
	"testing"

	"slatewright/internal/web/drying"
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
		return drying.Add(frame, mux)
	})
}

func example(t *testing.T, file string) string {
	t.Helper()
	text, err := os.ReadFile("../../../docs/examples/season/" + file)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// The examples are those of the handbook.
func TestExamplesAreTheHandbooks(t *testing.T) {
	pagetest.HoldExamples(t, "../../../docs/examples/season")
}

func TestEveryPageInEveryLanguage(t *testing.T) {
	own.HoldQuestions(t, mux, map[string]int{"/season": 0, "/season/example": 2, "/season/layer": 2})
}

// What the reckoning says of its own is said in the reader's language.
func TestWarningsAreTold(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	for _, l := range []string{"pt", "it", "es", "zh"} {
		b.Reads("visitor-1", l, "mm")
		for _, path := range []string{"/season/example", "/season/layer"} {
			text := pagetest.Text(b.Get(t, path).Body.String())
			for _, english := range []string{"does not fit the others", "its share", "scatter"} {
				if strings.Contains(text, english) {
					t.Errorf("%s in %s says %q", path, l, english)
				}
			}
		}
	}
	b.Reads("visitor-1", "en", "mm")
}

// send asks as a browser does.
func send(t *testing.T, list string, more ...string) (code int, text, page string) {
	t.Helper()
	f := url.Values{}
	for i := 0; i+1 < len(more); i += 2 {
		f.Set(more[i], more[i+1])
	}
	kind, body := pagetest.WithFile(t, f, "list-file", "mine.csv", []byte(list))
	w := own.SignIn(t, mux, "bench-1").Do(t, http.MethodPost, "/season", kind, body)
	return w.Code, strings.ReplaceAll(pagetest.Text(w.Body.String()), "\u00a0", " "), w.Body.String()
}

// layer is a list of many pieces that run to their end alike.
func layer(pieces int) string {
	var b strings.Builder
	b.WriteString("# unit: mm\n# noise: 0.002 mm\npiece,day,value\n")
	for i := range pieces {
		for d, x := range []float64{0.300, 0.173, 0.126, 0.110, 0.103, 0.101, 0.100} {
			fmt.Fprintf(&b, "P-%d,%d,%.3f\n", i, 7*d, x)
		}
	}
	return b.String()
}

// The page says what the command line says.
func TestAnswers(t *testing.T) {
	piece := example(t, "piece.csv")
	rows := strings.SplitAfter(piece, "\n")
	for _, c := range []struct {
		name, list string
		more       []string
		words      []string
		pictures   int
	}{
		{"the example", piece, []string{"share", "0,03 mm"}, []string{"It may leave: at most 0.0043 mm is still to come, of 0.0300 mm allowed.", "day 15", "left out", "90 %: 6.5 to 9.0", "Take care"}, 2},
		{"a small share", piece, []string{"share", "2 um"}, []string{"It must stay: up to more than its share may still be to come"}, 2},
		{"too early", piece, []string{"min-days", "40"}, []string{"It must stay: it has been in the room for 33 of 40 days"}, 2},
		{"few readings", strings.Join(rows[:5], ""), []string{"min-days", "0"}, []string{"Cannot tell: what is still to come cannot be told", "Go on reading it"}, 0},
		{"a moved instrument", "# moved: 12\n" + piece, nil, []string{"have another zero and are not drawn"}, 2},
		{"the layer", example(t, "layer.csv"), []string{"share", "5%"}, []string{"8 of 9 pieces may leave. Must stay: P-109.", "more than its share is still to come", "P-108: the readings scatter 1.8 times", "Sentinels", "a factor of 1.05 from piece to piece (9)"}, 2},
		{"many pieces", layer(45), []string{"share", "0.02 mm"}, []string{"All 45 pieces may leave", "Shown are the 40 of 45 with most to come"}, 2},
		{"pieces with few readings", "# unit: mm\n# noise: 0.003 mm\npiece,day,value\nA,0,0.4\nA,3,0.31\nB,0,0.4\nB,3,0.32\nB,6,0.26\nB,9,0.23\nB,12,0.218\nB,15,0.20\n", []string{"min-days", "0"}, []string{"0 of 2 pieces may leave. Must stay: B. Cannot be told: A."}, 2},
		{"long after", piece, []string{"day", "90000", "share", "1 %"}, []string{"It may leave"}, 2},
		{"before", piece, []string{"day", "-2"}, []string{"It must stay"}, 2},
		{"a room", example(t, "room.csv"), nil, []string{"The room was out of its band", "Stone of 9.0 °C gets wet, or nearly: the dew point is 7.6 °C", "hold both beside a salt solution"}, 0},
	} {
		code, text, page := send(t, c.list, c.more...)
		if code != http.StatusOK || pagetest.Charts(t, page) != c.pictures {
			t.Errorf("%s: %d, %d pictures", c.name, code, pagetest.Charts(t, page))
		}
		for _, want := range c.words {
			if !strings.Contains(text, want) {
				t.Errorf("%s: no %q in %.1500s", c.name, want, text)
			}
		}
		pagetest.Sound(t, c.name, page)
	}
}

// A limit beyond the picture has an arrow, and a picture of many pieces has a bar for each that is shown.
func TestBars(t *testing.T) {
	_, _, page := send(t, layer(45), "share", "0.02 mm")
	if n := strings.Count(page, `<rect class="doubt"`); n != 2*40 {
		t.Errorf("%d bars", n)
	}
	if _, _, page = send(t, example(t, "layer.csv"), "share", "0.5%"); strings.Count(page, `drawn-ones`) == 0 {
		t.Error("no bar of a piece that stays")
	}
}

// What is taken away has the verb's keys, and the list is as it was given.
func TestAnswersAreTakenAway(t *testing.T) {
	for file, keys := range map[string]string{"piece.csv": "state tau_days remaining_95 ready_day", "layer.csv": "pieces sentinels together", "room.csv": "in_band sensors apart"} {
		_, _, text := send(t, example(t, file), "as", "json")
		var got map[string]any
		if err := json.Unmarshal([]byte(text), &got); err != nil {
			t.Fatalf("%s: %v in %.200s", file, err, text)
		}
		for _, k := range strings.Fields(keys) {
			if got[k] == nil {
				t.Errorf("%s: no %s", file, k)
			}
		}
		if _, _, csv := send(t, example(t, file), "as", "csv"); csv != example(t, file) {
			t.Errorf("%s comes back as another", file)
		}
	}
}

// After trouble everything typed is still there, and what is wrong is said; nonsense is never a fault of our own.
func TestNonsense(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	random := make([]byte, 4096)
	for i := range random {
		random[i] = byte(' ' + r.IntN(90))
	}
	piece := example(t, "piece.csv")
	for _, c := range []struct{ list, share, days, want string }{
		{"", "1 mm", "", "No list was given"},
		{piece, "5 g", "", "“5 g” is no share of readings in mm"},
		{piece, "much", "", "“much” is no share"},
		{piece, "", "soon", "“soon” is no number of days"},
		{piece, "", "NaN", "“NaN” is no number of days"},
		{piece, "", "-3", "“-3” is no number of days"},
		{"day,value\n0,tall\n", "", "", "mine.csv"},
		{"day,value_stone\n0,1\n", "", "", ""},
		{string(random), "", "", ""},
		{"<b>alert</b>\n1,2,3", "<i>", "<i>", ""},
		{"time,temperature,humidity\nnow,20,50\n", "", "", ""},
		{"day,value\n" + strings.Repeat("1,2\n", 100_000), "", "", "more than"},
		{layer(2000), "", "", "slatewright season FILE"},
		{"day,value\n", "", "", ""},
	} {
		code, text, page := send(t, c.list, "share", c.share, "min-days", c.days)
		if code/100 != 4 || !strings.Contains(text, c.want) || strings.Contains(page, "<b>alert") || strings.Contains(page, "<i>") {
			t.Errorf("%.40q %q %q: %d, want %q in %.500s", c.list, c.share, c.days, code, c.want, text)
		}
		if first, _, _ := strings.Cut(c.list, "\n"); len(first) < 40 && !strings.Contains(first, "<") && !strings.Contains(page, first) {
			t.Errorf("%.40q is lost", c.list)
		}
	}
}
