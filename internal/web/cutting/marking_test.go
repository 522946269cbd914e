package cutting

import (
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"regexp"
	"strings"
	"testing"

	"slatewright/cutting/sawing"
	"slatewright/cutting/slab"
	"slatewright/cutting/slab/answers"
	"slatewright/cutting/slab/check"
	"slatewright/internal/tongue"
	"slatewright/internal/web/pagetest"
)

// printing is the room as it is served where papers can be printed.
func printing(t *testing.T) (*pagetest.Browser, *sawing.Sheet) {
	t.Helper()
	frame, err := own.Frame()
	if err != nil {
		t.Fatal(err)
	}
	got := &sawing.Sheet{}
	m := http.NewServeMux()
	if err := Add(frame, m, func(sheet func(tongue.Words) sawing.Sheet, w tongue.Words) ([]byte, error) {
		*got = sheet(w)
		return fmt.Appendf(nil, "%%PDF of %s in %s", got.Name, w.Language()), nil
	}); err != nil {
		t.Fatal(err)
	}
	return own.SignIn(t, m, "visitor-1"), got
}

func example(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile("examples/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

var hiddenWork = regexp.MustCompile(`name="work" value="(\d+)"`)

// What is taken away is what was shown: the same steps give the same plan, on paper and in every file.
func TestWhatIsTakenAwayIsWhatWasShown(t *testing.T) {
	b, sheet := printing(t)
	given := []string{"slab", example(t, "photo-slab.csv"), "pieces", example(t, "pieces.csv"), "thickness", "32 mm", "time", "0"}
	code, text, page := b.Ask(t, onMarking, given...)
	work := hiddenWork.FindStringSubmatch(page)
	if code != http.StatusOK || work == nil {
		t.Fatalf("%d %.300s", code, text)
	}
	again := append(append([]string{}, given...), "work", work[1], "as")
	var plan answers.Plan
	for range 2 {
		_, _, file := b.Ask(t, onMarking, append(again, "json")...)
		var got answers.Plan
		if err := json.Unmarshal([]byte(file), &got); err != nil {
			t.Fatal(err)
		}
		if plan.Pieces != nil && got.Value != plan.Value {
			t.Errorf("worth %g, then %g", plan.Value, got.Value)
		}
		plan = got
	}
	if !strings.Contains(text, fmt.Sprintf("worth %g", plan.Value)) || len(plan.Cuts) == 0 {
		t.Errorf("the page says %.200s, the file %g", text, plan.Value)
	}
	_, _, pdf := b.Ask(t, onMarking, append(again, "pdf")...)
	if pdf != "%PDF of C3-1 in en" || len(sheet.Order.Rows) != len(plan.Cuts) || !sheet.Invented || !(sheet.SlabKg > 300) || len(sheet.PieceKg) != len(plan.Pieces) || !strings.Contains(text, sheet.Worth) {
		t.Errorf("%q, %+v", pdf, sheet)
	}
	for as, want := range map[string]string{"cuts": "order,way,setting_mm", "svg": "<svg", "dxf": "POLYLINE", "csv": "# slab: C3-1"} {
		if code, _, file := b.Ask(t, onMarking, append(again, as)...); code != http.StatusOK || !strings.Contains(file, want) {
			t.Errorf("%s: %d %.100s", as, code, file)
		}
	}
	if _, _, page := b.Ask(t, onMarking, append(given, "slab", strings.Replace(example(t, "photo-slab.csv"), "C3-1", "mine", 1), "as", "pdf")...); page != "%PDF of mine in en" || !sheet.Invented {
		t.Errorf("%q of an invented mill is invented: %v", page, sheet.Invented)
	}
}

// Without a printer no paper is offered.
func TestNoPrinterNoPaper(t *testing.T) {
	if _, _, page := own.SignIn(t, mux, "visitor-1").Ask(t, onMarking, "slab", example(t, "slab.csv"), "pieces", example(t, "pieces.csv")); strings.Contains(page, `value="pdf"`) || !strings.Contains(page, `value="dxf"`) {
		t.Error("a paper is offered that nobody can print")
	}
}

// Plain fields go before what the list says, and what the photo and the scale know stands beside the plan.
func TestTheSawAndTheScale(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	square := "what,x,y\noutline,0,0\noutline,1000,0\noutline,1000,1000\noutline,0,1000\n"
	pieces := "type,length,width,value\na,400,300,5\n"
	ask := func(more ...string) (text string) {
		t.Helper()
		code, text, _ := b.Ask(t, onMarking, append([]string{"slab", square, "pieces", pieces}, more...)...)
		if code != http.StatusOK {
			t.Fatalf("%d %.300s", code, text)
		}
		return text
	}
	if text := ask(); !strings.Contains(text, "No kerf was given") || !strings.Contains(text, "not known") {
		t.Error("no word of the missing kerf, or of masses that are not known")
	}
	text := ask("kerf", "6 mm", "angles", "0 1.5", "name", "K-9", "thickness", "30 mm", "weighed", "40")
	// 1 x 1 m, 30 mm, 2850 kg/m³: 85.5 kg, up to 90; 40 kg is more than a tenth off.
	for _, want := range []string{"90 kg", "more than a tenth", "300 × 400 mm", "15 kg", "K-9"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in %.3000s", want, text)
		}
	}
	if strings.Contains(text, "No kerf was given") {
		t.Error("the kerf was given")
	}
	text = ask("kerf", "6 mm", "photo", example(t, "photo-points.csv"))
	if !strings.Contains(text, "lie off by up to 3.3 mm") || !strings.Contains(text, "distortion of the lens") {
		t.Errorf("no doubt of the photo in %.2000s", text)
	}
	if text := ask("slab", square+"crack,0,500\ncrack,200,500\n", "kerf", "6 mm", "photo", example(t, "photo-points.csv")); !strings.Contains(text, "One flaw keeps pieces off by less than that") {
		t.Errorf("a crack without a clearance, over a photo: %.2000s", text)
	}
	four := strings.Join(strings.Split(example(t, "photo-points.csv"), "\n")[:5], "\n")
	if text := ask("kerf", "6 mm", "photo", four); !strings.Contains(text, "how far it is off is not known") {
		t.Errorf("four points: %.2000s", text)
	}
}

// What cannot be right comes back with what was typed and what to do.
func TestMarkingIsRefused(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	slab, pieces := example(t, "slab.csv"), example(t, "pieces.csv")
	points := example(t, "photo-points.csv")
	for name, c := range map[string]struct {
		fields []string
		says   string
	}{
		"no pieces":             {[]string{"slab", slab, "pieces", " "}, "No list was given"},
		"a bow tie":             {[]string{"slab", "what,x,y\noutline,0,0\noutline,100,100\noutline,100,0\noutline,0,300\n", "pieces", pieces}, "crosses the one after corner"},
		"no such thing":         {[]string{"slab", "what,x,y\nhedge,0,0\n", "pieces", pieces}, "hedge"},
		"another angle":         {[]string{"slab", slab, "pieces", pieces, "angles", "0 left"}, "“left” is no angle"},
		"no length":             {[]string{"slab", slab, "pieces", pieces, "kerf", "thin"}, "is not a length"},
		"a mass below nothing":  {[]string{"slab", slab, "pieces", pieces, "weighed", "-4"}, "is not a number"},
		"a density of feathers": {[]string{"slab", slab, "pieces", pieces, "thickness", "30 mm", "density", "3"}, "no stone has a density of 3"},
		"orders":                {[]string{"slab", `{"slabs": [{"name": "a", "rectangle_mm": [100, 100]}], "orders": [{"name": "b", "pieces": [{"type": "c", "length_mm": 10, "width_mm": 10, "value": 1}]}]}`, "pieces", " "}, "several slabs at once"},
		"three points":          {[]string{"slab", slab, "pieces", pieces, "photo", strings.Join(strings.Split(points, "\n")[:4], "\n")}, "a photo needs four"},
		"three points in line":  {[]string{"slab", slab, "pieces", pieces, "photo", strings.Replace(points, "2380,1560", "4800,0", 1)}, "lie in one line"},
		"no photo at all":       {[]string{"slab", slab, "pieces", pieces, "photo", "somewhere"}, "somewhere"},
	} {
		if code, text, page := b.Ask(t, onMarking, c.fields...); code/100 != 4 || !strings.Contains(text, c.says) || !strings.Contains(page, `role="alert"`) {
			t.Errorf("%s: %d %.700s", name, code, text)
		}
	}
}

// A slab in JSON brings its pieces: what stands in the empty form is not taken for them.
func TestASlabWithItsOwnPieces(t *testing.T) {
	text, err := os.ReadFile("../../../docs/examples/slab/slab.json")
	if err != nil {
		t.Fatal(err)
	}
	code, said, _ := own.SignIn(t, mux, "visitor-1").Ask(t, onMarking, "slab", string(text), "pieces", wanted)
	if code != http.StatusOK || !strings.Contains(said, "ft centre") && !strings.Contains(said, "ft end") {
		t.Errorf("%d %.300s", code, said)
	}
}

// With time to look, the page says what each kind would give alone: no kind is worth more than all together may be.
func TestEachKindAlone(t *testing.T) {
	given := []string{"slab", example(t, "slab.csv"), "pieces", example(t, "pieces.csv"), "time"}
	b := own.SignIn(t, mux, "visitor-1")
	if _, text, _ := b.Ask(t, onMarking, append(given, "5")...); !strings.Contains(text, "If only one kind were cut") || !strings.Contains(text, "9 ft 2 400") {
		t.Errorf("%.3000s", text)
	}
	if _, text, _ := b.Ask(t, onMarking, append(given, "0")...); strings.Contains(text, "If only one kind were cut") {
		t.Error("the first plan waits for what is not asked yet")
	}
}

// What is drawn as cut away later is where the checker lets a flaw be: whichever way round the piece lies, turned over or not.
func TestWhatIsCutAwayIsDrawnWhereItIs(t *testing.T) {
	kind := slab.Type{Name: "a", Length: 400, Width: 250, Allowance: 7, Most: -1, Quarters: [4]bool{true, true, true, true}, Shown: slab.PlaysEither,
		Zones: []slab.Zone{{Corners: []slab.Point{{X: 20, Y: 30}, {X: 90, Y: 30}, {X: 90, Y: 60}, {X: 20, Y: 60}}}, {Centre: slab.Point{X: 330, Y: 190}, Radius: 25}}}
	for quarter := range 4 {
		for _, over := range []bool{false, true} {
			for _, angle := range []float64{0, 2.5} {
				q := slab.Piece{At: slab.Point{X: 500, Y: 400}, Along: 414, Across: 264, Quarter: quarter, Over: over}
				if quarter%2 == 1 {
					q.Along, q.Across = q.Across, q.Along
				}
				drawn := zones(kind, q, angle)
				if len(drawn) != 2 || len(drawn[1]) < 12 {
					t.Fatalf("%d zones", len(drawn))
				}
				for k, z := range drawn {
					var mid slab.Point
					for _, c := range z {
						mid.X, mid.Y = mid.X+c.X/float64(len(z)), mid.Y+c.Y/float64(len(z))
					}
					for _, c := range z {
						s := slab.Slab{Outline: []slab.Point{{X: -500, Y: -500}, {X: 2500, Y: -500}, {X: 2500, Y: 2500}, {X: -500, Y: 2500}}, Types: []slab.Type{kind}, Angles: []float64{angle}}
						at := func(w float64) []slab.Flaw {
							return []slab.Flaw{{Points: []slab.Point{{X: mid.X + w*(c.X-mid.X), Y: mid.Y + w*(c.Y-mid.Y)}}}}
						}
						if s.Flaws = at(0.97); len(check.Piece(&s, angle, q)) > 0 {
							t.Errorf("quarter %d, over %v, %g°: a flaw in zone %d as drawn is in the piece: %v", quarter, over, angle, k, check.Piece(&s, angle, q))
						}
						if s.Flaws = at(1.05); len(check.Piece(&s, angle, q)) == 0 {
							t.Errorf("quarter %d, over %v, %g°: a flaw beside zone %d as drawn is let be", quarter, over, angle, k)
						}
					}
				}
			}
		}
	}
}
