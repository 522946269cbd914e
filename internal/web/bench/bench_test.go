package bench_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"html"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/oklog/ulid/v2"

	"slatewright/certificate"
	"slatewright/internal/book"
	"slatewright/internal/measured"
	"slatewright/internal/tongue"
	"slatewright/internal/web/bench"
	"slatewright/internal/web/pagetest"
	"slatewright/judge"
)

var (
	own    *pagetest.Mill
	mux    = http.NewServeMux()
	noKeys = http.NewServeMux() // the same pages where there is no key
	queue  pagetest.Queue
)

func TestMain(m *testing.M) {
	pagetest.Main(m, func(ctx context.Context, mill *pagetest.Mill) error {
		own = mill
		var err error
		if queue, err = mill.Follow(ctx); err != nil {
			return err
		}
		room := measured.New(mill.Files, measured.Options{Patience: time.Minute})
		context.AfterFunc(ctx, room.Close)
		for on, key := range map[*http.ServeMux]bench.Key{mux: func() (certificate.Key, error) { return mill.Key, nil },
			noKeys: func() (certificate.Key, error) { return certificate.Key{}, errors.New("none") }} {
			frame, err := mill.Frame()
			if err == nil {
				err = bench.Add(frame, on, room, queue, key, nil)
			}
			if err != nil {
				return err
			}
		}
		return nil
	})
}

func entry() string { return ulid.MustNew(ulid.Timestamp(own.Now()), ulid.DefaultEntropy()).String() }

// form is a form of names and values.
func form(pairs ...string) url.Values {
	f := url.Values{"_entry": {entry()}}
	for i := 0; i+1 < len(pairs); i += 2 {
		f.Set(pairs[i], pairs[i+1])
	}
	return f
}

// says holds a page against what must stand in it, and what it must be.
func says(t *testing.T, w *httptest.ResponseRecorder, code int, words ...string) {
	t.Helper()
	text := pagetest.Text(w.Body.String())
	if w.Code != code {
		t.Errorf("%d, want %d: %.400s", w.Code, code, text)
	}
	for _, word := range words {
		if !strings.Contains(text, word) && !strings.Contains(w.Body.String(), word) {
			t.Errorf("it does not say %q: %.700s", word, text)
		}
	}
}

func led(t *testing.T, w *httptest.ResponseRecorder, to string) {
	t.Helper()
	if got := w.Header().Get("Location"); w.Code != http.StatusSeeOther || got != to {
		t.Errorf("%d, to %q, want %q: %.400s", w.Code, got, to, pagetest.Text(w.Body.String()))
	}
}

// state is what the book has of a thing.
func state[S any](t *testing.T, kind book.Kind, id string) S {
	t.Helper()
	got, err := own.Ledger.Thing(t.Context(), book.Ref{Kind: kind, ID: id})
	if err != nil {
		t.Fatal(err)
	}
	s, err := book.StateOf(got)
	if err != nil {
		t.Fatal(err)
	}
	return s.(S)
}

// do hands an act in for the lead.
func do(t *testing.T, at book.Station, act book.Act) {
	t.Helper()
	word, body, err := book.Encode(act)
	if err != nil {
		t.Fatal(err)
	}
	e := book.Entry{ID: entry(), Site: own.Ledger.Site(), At: own.Now(), Person: "lead", Station: at, Act: word, Body: body}
	if _, err := own.Ledger.Append(t.Context(), book.Submission{Entry: e, Caller: book.Caller{Person: "lead", Role: book.Lead, Reaffirmed: true}}); err != nil {
		t.Fatal(err)
	}
}

const begun = "?begin=yes&face=top&instrument=QH-D2&bench=QH-B1&support=bench"

var shownPages = []string{"/bench", "/bench/QH-1053", "/bench/QH-1053" + begun, "/bench/QH-1053?begin=yes&face=bottom&instrument=QH-D1&support=bench", "/set/QH-S112/lay-up", "/lay-up",
	"/lay-up?set=QH-S900&pieces=QH-1033,QH-1037,QH-1015", "/lay-up?order=QH-O4", "/set/QH-S106/judge", "/set/QH-S106/certify", "/set/QH-S107/certify"}

func TestEveryPageInEveryLanguageAndUnit(t *testing.T) {
	b := own.SignIn(t, mux, "inspector-1")
	for _, path := range shownPages {
		said := map[tongue.Language]string{}
		for _, l := range tongue.Languages() {
			for _, units := range []string{"inch", "mm"} {
				b.Reads("inspector-1", string(l), units)
				w := b.Get(t, path)
				page := w.Body.String()
				if w.Code != http.StatusOK || !strings.Contains(page, `lang="`+string(l)) {
					t.Errorf("%s in %s: %d %.300s", path, l, w.Code, pagetest.Text(page))
				}
				for _, no := range []string{"⟨", " style=", "<script src", "<script>", "onclick", "NaN", "%!", "<nil>", "<no value>"} {
					if strings.Contains(page, no) {
						t.Errorf("%s in %s and %s holds %s", path, l, units, no)
					}
				}
				said[l] = pagetest.Text(page)
			}
		}
		for a, one := range said {
			for b, other := range said {
				if a != b && one == other {
					t.Errorf("%s says the same in %s and %s", path, a, b)
				}
			}
		}
	}
}

// plan is what the bench's script is told.
type plan struct {
	Piece  string
	Face   string
	Points []struct {
		X   float64 `json:"x_mm"`
		Y   float64 `json:"y_mm"`
		Row string
	}
	Gauge struct {
		Instrument, Unit string
		Range            [2]float64 `json:"range_mm"`
		Jump             float64    `json:"jump_mm"`
		U                float64    `json:"u_mm"`
	}
	Header [][2]string
	Edges  map[string]string
}

var planned = regexp.MustCompile(`(?s)data-bench-plan>(.*?)</script>`)

func planOf(t *testing.T, w *httptest.ResponseRecorder) (p plan) {
	t.Helper()
	found := planned.FindStringSubmatch(w.Body.String())
	if found == nil {
		t.Fatalf("no plan: %d %.400s", w.Code, pagetest.Text(w.Body.String()))
	}
	if err := json.Unmarshal([]byte(found[1]), &p); err != nil {
		t.Fatal(err)
	}
	return p
}

// The script is told where to read, what is a slip, and in which unit the numbers come: a reader in thousandths reads thousandths.
func TestThePlanOfAFace(t *testing.T) {
	b := own.SignIn(t, mux, "bench-1")
	p := planOf(t, b.Get(t, "/bench/QH-1053"+begun+"&dry_since=2026-11-01&t.0=27,35"))
	if p.Piece != "QH-1053" || p.Face != "top" || p.Gauge.Instrument != "QH-D2" || p.Gauge.Unit != "µm" || p.Gauge.Range != [2]float64{-3, 3} || p.Gauge.Jump != 0.25 || p.Gauge.U != 0.005 {
		t.Errorf("%+v", p)
	}
	rows := map[string]int{}
	for _, at := range p.Points {
		rows[at.Row]++
	}
	if rows[""] < 40 || rows["joint+"] < 5 || rows["joint-"] < 5 { // it is the centre of its set
		t.Errorf("points by row: %v", rows)
	}
	if want := "[[dry_since 2026-11-01] [thickness -398 -648 27.35]]"; !strings.Contains(fmt.Sprint(p.Header), "[dry_since 2026-11-01]") || !strings.Contains(fmt.Sprint(p.Header), " 27.35]") {
		t.Errorf("%v, want something as %s", p.Header, want)
	}
	if rows := planOf(t, b.Get(t, "/bench/QH-1053?begin=yes&face=bottom&instrument=QH-D2&support=bench")); len(rows.Points) == 0 || rows.Points[len(rows.Points)-1].Row != "" {
		t.Error("the underside has joint rows, or nothing to read")
	} else if rows.Edges["x-"] != "foot" || rows.Edges["x+"] != "head" || p.Edges["x-"] != "head" || p.Edges["x+"] != "foot" || rows.Edges["y-"] != p.Edges["y-"] {
		t.Errorf("turned over about y, the edges of the underside are %v; those of the playing face %v", rows.Edges, p.Edges)
	}
	for _, edge := range []string{`data-side="x-" data-face="top">head<`, `data-side="x-" data-face="bottom">foot<`, `data-side="y&#43;" data-face="top">right<`} {
		if page := b.Get(t, "/bench/QH-1053").Body.String(); !strings.Contains(page, edge) {
			t.Errorf("the places of the caliper lie at no edge %s", edge)
		}
	}
	b.Reads("bench-1", "en", "inch")
	inch := planOf(t, b.Get(t, "/bench/QH-1053"+begun+"&t.0=1.0625"))
	if inch.Gauge.Unit != "thou" || !strings.Contains(fmt.Sprint(inch.Header), " 26.9875]") {
		t.Errorf("in inches: %s %v", inch.Gauge.Unit, inch.Header)
	}
	says(t, b.Get(t, "/bench/QH-1053"+begun+"&t.0=27"), http.StatusUnprocessableEntity, "told bad", `name="t.0" value="27"`, "between 5 and 200 mm")
	says(t, b.Get(t, "/bench/QH-1053"+begun+"&t.0=thick"), http.StatusUnprocessableEntity, "told bad", `value="thick"`)
	says(t, b.Get(t, "/bench/QH-9999"), http.StatusNotFound, "told bad")
}

// An instrument whose calibration has ended, and one that reads no faces, are told of before anything is read.
func TestAnInstrumentThatMayNotServe(t *testing.T) {
	b := own.SignIn(t, mux, "bench-1")
	says(t, b.Get(t, "/bench/QH-1053?begin=yes&face=top&instrument=QH-D1&support=bench"), http.StatusOK, "The calibration of QH-D1 ended on 1 November 2026", "told doubt")
	if page := b.Get(t, "/bench/QH-1053"+begun).Body.String(); strings.Contains(page, "nothing that is read with it") || !strings.Contains(page, "calibration ended 1 November 2026") {
		t.Error("a good dial is told to be none, or the list does not say which one is")
	}
	if planned.MatchString(b.Get(t, "/bench/QH-1053?begin=yes&face=top&instrument=QH-T1&support=bench").Body.String()) {
		t.Error("a face is read with a tape")
	}
}

// An earlier reading that does not hold any more is told of.
func TestALastReadingThatExpired(t *testing.T) {
	b := own.SignIn(t, mux, "bench-1")
	for _, id := range state[*book.SetState](t, book.KindSet, "QH-S110").Pieces {
		p := state[*book.PieceState](t, book.KindPiece, id)
		for _, r := range p.Readings {
			if r.What == "top" && r.ExpiredBy != "" {
				says(t, b.Get(t, "/bench/"+id), http.StatusOK, "The last reading no longer holds")
				return
			}
		}
	}
	t.Fatal("no piece of the set in the room has a reading that expired")
}

// A piece whose playing face was read leads to what is believed of it; one that was not leads nowhere.
func TestAFaceThatWasReadLeadsToItsBelief(t *testing.T) {
	b := own.SignIn(t, mux, "bench-1")
	list, err := own.Ledger.Things(t.Context(), book.Filter{Kind: book.KindPiece}, "", 200)
	if err != nil {
		t.Fatal(err)
	}
	tried := map[bool]bool{}
	for _, piece := range list.Items {
		read := slices.ContainsFunc(state[*book.PieceState](t, book.KindPiece, piece.ID).Readings, func(r book.Reading) bool { return r.What == "top" && r.Blob != "" })
		if tried[read] {
			continue
		}
		tried[read] = true
		if page := b.Get(t, "/bench/"+piece.ID).Body.String(); strings.Contains(page, `href="/piece/`+piece.ID+`/judge-face"`) != read {
			t.Errorf("%s was read: %v", piece.ID, read)
		}
	}
	if !tried[true] || !tried[false] {
		t.Errorf("tried %v", tried)
	}
}

func soFar(points int, height float64, left int) string {
	type point struct {
		X   float64 `json:"x_mm"`
		Y   float64 `json:"y_mm"`
		Z   float64 `json:"z_mm"`
		Row string  `json:"row"`
	}
	var list []point
	for i := range points {
		at := point{X: float64(i%5)*200 - 400, Y: float64(i/5)*150 - 650, Z: float64(i%5) / 4 * float64(i/5%2) * height}
		list = append(list, at)
	}
	list = append(list, point{X: 447, Y: 0, Z: 2, Row: "joint+"}) // of another face's affair
	text, err := json.Marshal(map[string]any{"piece": "QH-1053", "face": "top", "points": list, "left": left, "u_mm": 0.003})
	if err != nil {
		panic(err)
	}
	return string(text)
}

// What is read so far can only get worse: once the face is beyond what a whole bed may have, more readings change nothing.
func TestSoFar(t *testing.T) {
	b := own.SignIn(t, mux, "bench-1")
	ask := func(text string) *httptest.ResponseRecorder {
		return b.Do(t, http.MethodPost, "/bench/QH-1053/so-far", "application/json", strings.NewReader(text))
	}
	says(t, ask(soFar(0, 0, 60)), http.StatusOK, "4 more readings")
	says(t, ask(soFar(3, 0, 60)), http.StatusOK, "1 more reading,")
	says(t, ask(soFar(30, 0.1, 20)), http.StatusOK, "zone so far, 20 left", "At least 0.0", "The whole face: about ", "with a probability of ", "Nothing was learned", "would settle most", "<svg")
	if text := ask(soFar(5, 0.1, 20)).Body.String(); strings.Contains(text, "whole face") {
		t.Errorf("five readings are said to tell of the whole face: %s", text)
	}
	says(t, ask(soFar(30, 0.1, 0)), http.StatusOK, "lies within what a bed may have")
	says(t, ask(soFar(30, 3, 20)), http.StatusOK, "data-bench-enough", "More readings cannot change this no")
	if text := ask(soFar(30, 0.1, 0)).Body.String(); strings.Contains(text, "settle most") {
		t.Errorf("more readings are asked for where none is left: %s", text)
	}
	if text := ask(soFar(30, 0.1, 20)).Body.String(); strings.Contains(text, "data-bench-enough") || strings.Contains(text, "within what") {
		t.Errorf("it is said to be enough: %s", text)
	}
	for name, text := range map[string]string{"nothing": "", "no JSON": "{", "a text": `{"points":[{"x_mm":"a"}]}`, "no number": `{"points":[{"x_mm":NaN}]}`, "too many": soFar(1001, 0, 0),
		"too long": `{"piece":"` + strings.Repeat("x", 300<<10) + `"}`} {
		if w := ask(text); w.Code != http.StatusBadRequest || !strings.Contains(w.Body.String(), "told bad") {
			t.Errorf("%s: %d", name, w.Code)
		}
	}
	says(t, ask(`{"points":[{"x_mm":1e300,"z_mm":1e300},{},{},{}]}`), http.StatusOK, "1 more reading,") // no length of a mill
	says(t, ask(`{"points":[{},{},{},{}]}`), http.StatusOK, "do not make a face yet")
	says(t, b.Do(t, http.MethodPost, "/bench/QH-9999/so-far", "application/json", strings.NewReader(soFar(30, 0.1, 0))), http.StatusNotFound)
}

// readings is a readings file.
func readings(piece, extra string) []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "# %s\n# piece: %s\n# unit: mm\n# size: 914 x 1473 mm\n# support: bench\n# u: 0.003 mm\n%sx,y,z\n", certificate.Invented, piece, extra)
	for x := -430; x <= 430; x += 215 {
		for y := -700; y <= 700; y += 175 {
			fmt.Fprintf(&b, "%d,%d,%.5f\n", x, y, float64(y*y)/1e7)
		}
	}
	return []byte(b.String())
}

// A file that is not as it must be is refused in the form, which keeps what was chosen; a good one stands in the book.
func TestAReadingsFile(t *testing.T) {
	b := own.SignIn(t, mux, "bench-1")
	send := func(file []byte, pairs ...string) *httptest.ResponseRecorder {
		f := form("face", "top", "instrument", "QH-D2", "bench", "QH-B1", "support", "bench")
		for i := 0; i+1 < len(pairs); i += 2 {
			f.Set(pairs[i], pairs[i+1])
		}
		return b.SendFile(t, "/bench/QH-1053", f, "top.csv", file)
	}
	chosen := []string{"told bad", `<option value="QH-D2" selected`, `value="QH-B1" selected`}
	says(t, b.Send(t, "/bench/QH-1053", form("face", "top", "instrument", "QH-D2", "bench", "QH-B1")), http.StatusUnprocessableEntity, append(chosen, "There is no file.")...)
	for name, c := range map[string]struct {
		file []byte
		says string
	}{
		"no readings":   {[]byte("dear inspector,\nthe face is flat\n"), ""},
		"another piece": {readings("QH-1045", ""), "QH-1045"},
		"another face":  {readings("QH-1053", "# face: bottom\n"), "bottom"},
		"a broken line": {append(readings("QH-1053", ""), []byte("0,0,flat\n")...), "53"},
		"another unit":  {[]byte(strings.Replace(string(readings("QH-1053", "")), "# unit: mm", "# unit: ell", 1)), "ell"},
		"another hold":  {[]byte(strings.Replace(string(readings("QH-1053", "")), "# support: bench", "# support: lines 0.22", 1)), "lines 0.22"},
	} {
		w := send(c.file)
		if w.Code/100 != 4 {
			t.Errorf("%s: %d", name, w.Code)
		}
		says(t, w, w.Code, append(chosen, c.says)...)
	}
	says(t, send(readings("QH-1053", ""), "instrument", "QH-T1"), http.StatusConflict, "told bad", "QH-T1 is a tape")
	says(t, send(readings("QH-1053", ""), "instrument", "QH-D77"), http.StatusNotFound, "told bad", "QH-D77", `value="QH-B1" selected`)
	before := len(state[*book.PieceState](t, book.KindPiece, "QH-1053").Readings)
	f := form("face", "top", "instrument", "QH-D2", "bench", "QH-B1", "support", "bench")
	for range 2 { // sent again it is the same entry
		led(t, b.SendFile(t, "/bench/QH-1053", f, "top.csv", readings("QH-1053", "")), "/piece/QH-1053?did=read")
	}
	list := state[*book.PieceState](t, book.KindPiece, "QH-1053").Readings
	if r := list[len(list)-1]; len(list) != before+1 || r.What != "top" || r.Blob == "" {
		t.Errorf("%d readings, %d before: %+v", len(list), before, r)
	}
}

// steps fills the form of a lay-up.
func steps(step string, pairs ...string) url.Values {
	f := form(append([]string{"instrument", "QH-D2", "u", "0.01", "bench", "QH-B1", "support", "bench, shimmed"}, pairs...)...)
	for joint := range 2 {
		for at := range 5 {
			f.Set(fmt.Sprintf("step.%d.%d", joint, at), step)
		}
	}
	return f
}

func TestLayingUp(t *testing.T) {
	b := own.SignIn(t, mux, "bench-1")
	const path = "/set/QH-S112/lay-up"
	if page := b.Get(t, path).Body.String(); !strings.Contains(page, "mm, left</label>") || !strings.Contains(page, "mm, right</label>") || strings.Count(page, "<circle") != 2*judge.LayUpStations {
		t.Error("the page does not say or draw on which side a step is read")
	}
	last := func() book.Reading {
		list := state[*book.SetState](t, book.KindSet, "QH-S112").LayUps
		return list[len(list)-1]
	}
	missing := steps("0.04")
	missing.Set("step.1.3", " ")
	missing.Set("step.0.2", "0.07")
	says(t, b.Send(t, path, missing), http.StatusUnprocessableEntity, "told bad", "The step of centre to foot at", `name="step.0.2" value="0.07"`, "bench, shimmed")
	for _, outside := range []string{"60", "-60", "flat", "1e400", "0.04 kg", "NaN", "Inf"} {
		says(t, b.Send(t, path, steps(outside)), http.StatusUnprocessableEntity, "told bad", "is no length", `name="step.0.0" value="`+html.EscapeString(outside)+`"`)
	}
	says(t, b.Send(t, path, steps("0.04", "u", "little")), http.StatusUnprocessableEntity, "told bad", "is no length", `name="u" value="little"`)
	says(t, b.Send(t, path, steps("0.04", "instrument", "QH-D77")), http.StatusNotFound, "told bad", "QH-D77", `value="0.04"`)
	says(t, b.Send(t, "/set/QH-S999/lay-up", steps("0.04")), http.StatusNotFound, "told bad")

	for typed, want := range map[string]float64{"0,04": 0.04, "−0.05": -0.05, "60 µm": 0.06} {
		led(t, b.Send(t, path, steps(typed)), "/set/QH-S112?did=lay-up")
		if s := state[*book.SetState](t, book.KindSet, "QH-S112").StepsMM; fmt.Sprint(s) != fmt.Sprint([]float64{want, want}) {
			t.Errorf("%q was taken for %v", typed, s)
		}
	}
	b.Reads("bench-1", "en", "inch")
	led(t, b.Send(t, path, steps("2", "u", "0.4")), "/set/QH-S112?did=lay-up")
	if s := state[*book.SetState](t, book.KindSet, "QH-S112").StepsMM; fmt.Sprint(s) != "[0.0508 0.0508]" {
		t.Errorf("two thousandths were taken for %v", s)
	}
	file, _, err := own.Files.Open(t.Context(), last().Blob)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	laid, err := certificate.ReadLayUp("lay-up", file)
	if err != nil {
		t.Errorf("%+v %v", laid, err)
	}
}

// A set that is to be needs three pieces that are there and free; the form stays with what was typed.
func TestANewSet(t *testing.T) {
	b := own.SignIn(t, mux, "bench-1")
	says(t, b.Get(t, "/lay-up?order=QH-O4"), http.StatusOK, "Wait to be matched", "order=QH-O4&amp;pieces=")
	if page := b.Get(t, "/lay-up?pieces=QH-1033,QH-1037,QH-1015").Body.String(); strings.Contains(page, "QH-1015%2C+QH-") {
		t.Error("a fourth piece is offered")
	}
	for pieces, code := range map[string]int{"QH-1028": http.StatusConflict, "": http.StatusConflict, "QH-1033 QH-1037": http.StatusConflict, "QH-1033, QH-1037, QH-7777": http.StatusNotFound,
		"QH-1033, QH-1037, ../etc": http.StatusUnprocessableEntity, "QH-1033, QH-1033, QH-1037": http.StatusUnprocessableEntity, "QH-1033, QH-1037, QH-1015": http.StatusConflict} {
		w := b.Send(t, "/lay-up", steps("0.04", "set", "QH-S900", "pieces", pieces))
		if w.Code/100 != 4 || w.Code == http.StatusNotFound != (code == http.StatusNotFound) || w.Code == http.StatusConflict != (code == http.StatusConflict) {
			t.Errorf("%q: %d, want %d", pieces, w.Code, code)
		}
		says(t, w, w.Code, "told bad", `name="set" value="QH-S900"`, `name="step.0.0" value="0.04"`)
	}
}

// proposed is a set of loose pieces that nobody has proposed yet.
func proposed(t *testing.T) []string {
	t.Helper()
	for _, rack := range queue.Racks(own.Now()) {
		var taken, free []string
		for _, o := range rack.Proposed {
			taken = append(taken, o.Pieces...)
		}
		for _, p := range rack.Pieces {
			if !slices.Contains(taken, p.ID) {
				free = append(free, p.ID)
			}
		}
		if rack.Size == "9 ft" && len(free) >= 3 {
			return free[:3]
		}
	}
	t.Fatal("no three pieces are free")
	return nil
}

// foretold are the steps that a page foretells.
var foretold = regexp.MustCompile(`</label></th><td class="figure">([^<]*)`)

func stepsOn(page string) (list []string) {
	for _, found := range foretold.FindAllStringSubmatch(page, -1) {
		list = append(list, found[1])
	}
	return list
}

// A set is laid up as it was proposed: the page says which stones lie turned, foretells the steps of that bed and of no other, and the book
// keeps it. An address may say otherwise; what it says of other pieces is not said of these.
func TestLyingAsProposed(t *testing.T) {
	b := own.SignIn(t, mux, "bench-1")
	ids := proposed(t)
	path := "/lay-up?pieces=" + strings.Join(ids, ",")
	unsaid := b.Get(t, path).Body.String()
	if strings.Contains(unsaid, "turned end for end") || strings.Contains(unsaid, `name="_turned"`) {
		t.Errorf("nobody said how they lie: %.600s", pagetest.Text(unsaid))
	}
	do(t, book.Sets, &book.Match{Pieces: ids, StepMM: 0.05, ZoneMM: 0.3})
	if err := queue.Catch(t.Context()); err != nil {
		t.Fatal(err)
	}
	if page := b.Get(t, path).Body.String(); !slices.Equal(stepsOn(page), stepsOn(unsaid)) || strings.Contains(page, `name="_turned"`) {
		t.Error("a proposal that says nothing of the turns changes what is foretold")
	}
	do(t, book.Sets, &book.Match{Pieces: ids, StepMM: 0.05, ZoneMM: 0.3, Turned: ids[1:2]})
	if err := queue.Catch(t.Context()); err != nil {
		t.Fatal(err)
	}
	w := b.Get(t, path)
	says(t, w, http.StatusOK, "Lay "+ids[1]+" turned end for end.", "foretold for stones that lie so", `name="_turned" value="`+ids[1]+`"`)
	middle := stepsOn(w.Body.String())
	back := slices.Clone(ids)
	slices.Reverse(back)
	says(t, b.Get(t, "/lay-up?pieces="+strings.Join(back, ",")), http.StatusOK, "Lay "+ids[2]+", "+ids[0]+" turned end for end.")
	w = b.Get(t, path+"&_turned=")
	says(t, w, http.StatusOK, "none is turned end for end", `name="_turned" value=""`)
	if none := stepsOn(w.Body.String()); len(none) != 10 || len(middle) != 10 || slices.Equal(none, middle) {
		t.Errorf("turned %q, not turned %q", middle, none)
	}
	says(t, b.Get(t, path+"&_turned="+ids[0]+"&_turned_of=A,B,C"), http.StatusOK, "Lay "+ids[1]+" turned end for end.")

	f := steps("0.04", "set", "QH-S901", "pieces", strings.Join(ids, ", "), "_turned", ids[1], "_turned_of", strings.Join(ids, ", "))
	led(t, b.Send(t, "/lay-up", f), "/set/QH-S901?did=lay-up")
	if s := state[*book.SetState](t, book.KindSet, "QH-S901"); !slices.Equal(s.Turned, ids[1:2]) {
		t.Errorf("%+v", s)
	}
	again := b.Get(t, "/set/QH-S901/lay-up")
	says(t, again, http.StatusOK, "Lay "+ids[1]+" turned end for end.")
	if got := stepsOn(again.Body.String()); !slices.Equal(got, middle) {
		t.Errorf("laid up again %q, first %q", got, middle)
	}
	led(t, b.Send(t, "/set/QH-S901/lay-up", steps("0.03")), "/set/QH-S901?did=lay-up")
	if s := state[*book.SetState](t, book.KindSet, "QH-S901"); !slices.Equal(s.Turned, ids[1:2]) || s.StepsMM[0] != 0.03 {
		t.Errorf("%+v", s)
	}
}

// What does not hold any more is named: the piece, the act that ended its reading, and what to read again.
func TestAVerdictNeedsReadingsThatHold(t *testing.T) {
	b := own.SignIn(t, mux, "inspector-1")
	says(t, b.Get(t, "/set/QH-S110/judge"), http.StatusConflict, "told bad", "The reading of QH-1070 no longer holds", "Read the playing face of QH-1070 again.")
	says(t, b.Send(t, "/set/QH-S110/judge", form()), http.StatusConflict, "told bad", "QH-1070")
	says(t, b.Get(t, "/set/QH-S999/judge"), http.StatusNotFound, "told bad")

	w := b.Get(t, "/set/QH-S107/judge")
	says(t, w, http.StatusOK, "cannot tell", "Write down: cannot tell")
	f := form()
	for range 2 { // a form that is sent twice is one verdict
		led(t, b.Send(t, "/set/QH-S107/judge", f), "/set/QH-S107?did=judge")
	}
	if s := state[*book.SetState](t, book.KindSet, "QH-S107"); s.Verdict != "cannot tell" || s.JudgedBy != f.Get("_entry") {
		t.Errorf("%+v", s)
	}
	says(t, b.Get(t, "/set/QH-S107/certify"), http.StatusOK, "Only a set that conforms can be certified.")
}

// certify is a filled form of certifying.
func certify(pairs ...string) url.Values {
	return form(append([]string{"number", "QH-C606", "code", "QH-S106", "held", "yes", "_passphrase", pagetest.Secret}, pairs...)...)
}

const certifying = "/set/QH-S106/certify"

func TestWhatNeverCertifies(t *testing.T) {
	b := own.SignIn(t, mux, "inspector-2")
	says(t, b.Get(t, certifying), http.StatusOK, "conforms", `data-held="QH-S106"`, `value="QH-S106-B"`)
	for name, c := range map[string]struct {
		form url.Values
		code int
		says string
	}{
		"another code":          {certify("code", "QH-S105"), http.StatusConflict, "QH-S105"},
		"no code":               {certify("code", ""), http.StatusConflict, "QH-S106"},
		"a tap":                 {certify("held", ""), http.StatusUnprocessableEntity, ""},
		"no passphrase":         {certify("_passphrase", ""), http.StatusForbidden, "person and passphrase do not belong together"},
		"another passphrase":    {certify("_passphrase", "not that one at all"), http.StatusForbidden, "person and passphrase do not belong together"},
		"a number that is none": {certify("number", "../C 1"), http.StatusUnprocessableEntity, ""},
		"a number that is used": {certify("number", "QH-C105"), http.StatusConflict, "QH-C105"},
	} {
		w := b.Send(t, certifying, c.form)
		if w.Code != c.code {
			t.Errorf("%s: %d, want %d: %.300s", name, w.Code, c.code, pagetest.Text(w.Body.String()))
		}
		says(t, w, w.Code, "told bad", c.says, `name="number" value="`+html.EscapeString(c.form.Get("number"))+`"`)
		if strings.Contains(w.Body.String(), "not that one at all") {
			t.Error("a passphrase is shown again")
		}
	}
	if err := own.Gate.SetPIN(t.Context(), "inspector-2", "4917"); err != nil {
		t.Fatal(err)
	}
	s, err := own.Gate.Switch(t.Context(), b.Cookie("slatewright_tablet"), "inspector-2", "4917", "192.0.2.1")
	if err != nil {
		t.Fatal(err)
	}
	b.Keep("slatewright_session", s.Token)
	says(t, b.Get(t, certifying), http.StatusOK, "A session by PIN never certifies")
	says(t, b.Send(t, certifying, certify()), http.StatusForbidden, "told bad", "signed in with the passphrase")
	says(t, own.Machine(t, mux, "scanner-1", book.Inspector).Send(t, certifying, certify()), http.StatusForbidden, "told bad", "signed in with the passphrase")

	keyless := own.SignIn(t, noKeys, "inspector-1")
	says(t, keyless.Get(t, certifying), http.StatusOK, "There is no key here to sign with", "keygen")
	says(t, keyless.Send(t, certifying, certify()), http.StatusOK, "There is no key here to sign with")
	if _, err := own.Ledger.Thing(t.Context(), book.Ref{Kind: book.KindCertificate, ID: "QH-C606"}); err == nil {
		t.Error("there is a certificate all the same")
	}
}

// Whoever guesses at the passphrase on the page of certifying waits as at the door.
func TestTriesAtCertifyingAreLimited(t *testing.T) {
	b := own.SignIn(t, mux, "lead")
	for i := range 5 {
		says(t, b.Send(t, certifying, certify("_passphrase", fmt.Sprint("guess number ", i))), http.StatusForbidden, "told bad")
	}
	says(t, b.Send(t, certifying, certify()), http.StatusTooManyRequests, "told bad")
	own.Later(time.Minute)
}

// A certificate is made with the passphrase, once however often the form is sent; a later act that reaches into the readings ends it, and
// the page says which act it was and what is to be read again.
func TestCertifyingAndWhatEndsIt(t *testing.T) {
	b := own.SignIn(t, mux, "inspector-1")
	f := certify("code", "qh-s106")
	for range 2 {
		led(t, b.Send(t, certifying, f), "/certificate/QH-C606?did=certify")
	}
	c := state[*book.CertificateState](t, book.KindCertificate, "QH-C606")
	file, size, err := own.Files.Open(t.Context(), c.Blob)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	text := make([]byte, size)
	if _, err := file.Read(text); err != nil {
		t.Fatal(err)
	}
	if report, err := (certificate.Check{Program: "a test"}).Verify("QH-C606", text); err != nil || !report.OK() {
		t.Errorf("%+v %v", report, err)
	}
	own.Later(time.Minute)
	do(t, book.Bench, &book.DressJoint{Piece: "QH-1035", Joint: "foot", DepthMM: 0.05, Tool: "stone"})
	own.Later(time.Minute)
	says(t, b.Get(t, certifying), http.StatusConflict, "told bad", "The reading of QH-1035 no longer holds: dressed a joint", "Read the playing face of QH-1035 again.")
	says(t, b.Send(t, certifying, certify("number", "QH-C607")), http.StatusConflict, "told bad", "QH-1035")
}
