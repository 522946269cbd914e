package stone_test

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/oklog/ulid/v2"

	"slatewright/bed"
	"slatewright/internal/book"
	"slatewright/internal/gate"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/blobs"
	"slatewright/internal/measured"
	"slatewright/internal/rehearsal"
	"slatewright/internal/rehearsal/halfyear"
	"slatewright/internal/tongue"
	"slatewright/internal/waiting"
	"slatewright/internal/web/shell"
	"slatewright/internal/web/stone"
	"slatewright/trouble"
)

// until is the end of the half year.
var until = time.Date(2026, time.November, 25, 15, 0, 0, 0, time.UTC)

// mill is the pages of this room over the book of half a year.
type mill struct {
	shell  *shell.Shell
	mux    *http.ServeMux
	ledger *ledger.Ledger
	files  blobs.Store
	rooms  *measured.Room
}

// own is the mill that all tests look at; it is filled once.
var own *mill

func TestMain(m *testing.M) {
	code, err := run(m)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		code = 1
	}
	os.Exit(code)
}

func run(m *testing.M) (code int, err error) {
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	folder, err := os.MkdirTemp("", "stone")
	if err != nil {
		return 0, err
	}
	defer os.RemoveAll(folder)
	if own, err = open(ctx, folder); err != nil {
		return 0, err
	}
	defer own.rooms.Close()
	defer own.ledger.Close()
	return m.Run(), nil
}

// people signs everybody in whose name is shown as token.
type people struct{ shell.Gate }

func (people) Identify(_ context.Context, token string) (gate.Identity, error) {
	if token == "nobody" {
		return gate.Identity{}, trouble.Data("not-signed-in", "", "nobody", "sign in")
	}
	return gate.Identity{Person: token, Full: true}, nil
}

// queue is what waits in a house.
type queue struct{ *waiting.Watcher }

func (q queue) Ask(now time.Time) []waiting.Question { return waiting.Ask(q.House(), now) }
func (q queue) NextFor(now time.Time, things ...book.Ref) []waiting.Sentence {
	return q.House().NextFor(now, things...)
}

func open(ctx context.Context, folder string) (*mill, error) {
	story, err := halfyear.New(rehearsal.DemoSeed, until, "slatewright, in a test")
	if err != nil {
		return nil, err
	}
	m := &mill{mux: http.NewServeMux()}
	m.ledger, err = ledger.Open(ctx, folder, ledger.Options{Site: halfyear.Site, Create: true, CheckAfter: time.Hour, Clock: func() time.Time { return until.AddDate(1, 0, 0) }})
	if err != nil {
		return nil, err
	}
	if m.files, err = blobs.Open(ctx, folder+"/blobs", blobs.Access{}); err != nil {
		return nil, err
	}
	for file := range story.Blobs() {
		if _, _, err := m.files.Put(ctx, strings.NewReader(string(file)), 1<<24); err != nil {
			return nil, err
		}
	}
	for part := range slices.Chunk(slices.Collect(story.Submissions()), 200) {
		if _, _, err := m.ledger.AppendAll(ctx, part, false); err != nil {
			return nil, err
		}
	}
	if err := m.readMore(ctx); err != nil {
		return nil, err
	}
	m.rooms = measured.New(m.files, measured.Options{Patience: time.Minute})
	w, err := waiting.Follow(ctx, m.ledger, bed.NineFoot(), nil)
	if err != nil {
		return nil, err
	}
	m.shell, err = shell.New(shell.Config{Ledger: m.ledger, Blobs: m.files, Gate: people{}, Clock: func() time.Time { return until }, Log: slog.New(slog.DiscardHandler), Mill: "Quern Hollow", Demo: true})
	if err != nil {
		return nil, err
	}
	return m, stone.Add(m.shell, m.mux, m.rooms, queue{w})
}

const (
	wedge   = "QH-1001" // read on both sides in this test, 0.2 mm thicker at the foot edge than in the middle
	twoWays = "QH-1004" // read on the bench, and later on two lines
)

// readMore adds readings that the story does not have.
func (m *mill) readMore(ctx context.Context) error {
	type reading struct{ piece, what, support, file string }
	list := []reading{{wedge, "top", "bench", faceFile("top", "bench", 1)}, {wedge, "bottom", "bench", faceFile("bottom", "bench", -1)},
		{twoWays, "top", "lines 0.22", faceFile("top", "lines 0.22", 1)}}
	for i, r := range list {
		digest, _, err := m.files.Put(ctx, strings.NewReader(r.file), 1<<20)
		if err != nil {
			return err
		}
		act := &book.Read{Thing: book.Ref{Kind: book.KindPiece, ID: r.piece}, What: r.what, Instruments: []string{"QH-D2"}, Bench: "QH-B1", Support: r.support, Blob: digest}
		word, body, err := book.Encode(act)
		if err != nil {
			return err
		}
		at := until.Add(time.Duration(i-9) * time.Minute)
		e := book.Entry{ID: ulid.MustNew(ulid.Timestamp(at), ulid.DefaultEntropy()).String(), Site: m.ledger.Site(), At: at, Person: "inspector-1", Station: book.Bench, Act: word, Body: body}
		if _, err := m.ledger.Append(ctx, book.Submission{Entry: e, Caller: book.Caller{Person: "inspector-1", Role: book.Inspector, System: true}}); err != nil {
			return fmt.Errorf("%s of %s: %w", r.what, r.piece, err)
		}
	}
	return nil
}

// thicknessAt is the thickness of the wedge.
func thicknessAt(x float64) float64 { return 26 + 0.2*x/457 }

// faceFile is a file of a face: the top is crowned, and the bottom follows it at the thickness of the wedge. side is 1 for the top, −1 for
// the bottom, which is read turned over about the y axis.
func faceFile(face, support string, side float64) string {
	var b strings.Builder
	fmt.Fprintf(&b, "# unit: mm\n# size: 914 x 1473 mm\n# face: %s\n# support: %s\n# u: 0.005\n# date: 2026-11-25\n", face, support)
	if side > 0 {
		for _, at := range [][2]float64{{-380, -520}, {-380, 0}, {-380, 520}, {380, -520}, {380, 0}, {380, 520}, {0, -640}, {0, 640}} {
			fmt.Fprintf(&b, "# thickness: %g %g %.4f\n", at[0], at[1], thicknessAt(at[0]))
		}
	}
	b.WriteString("x,y,z\n")
	for x := -437.0; x <= 437; x += 874 / 9.0 {
		for y := -716.5; y <= 716.5; y += 1433 / 12.0 {
			top := 0.1 * (1 - math.Pow(2*x/914, 2)) // the same on both sides of the middle
			z := top
			if side < 0 {
				z = thicknessAt(-x) - 26 - top
			}
			fmt.Fprintf(&b, "%.2f,%.2f,%.5f\n", x, y, z)
		}
	}
	return b.String()
}

// get asks for an address as somebody, in a language and units; a person "" shows no token.
func (m *mill) get(t testing.TB, person, path string, how ...string) *httptest.ResponseRecorder {
	t.Helper()
	q := httptest.NewRequest(http.MethodGet, path, nil).WithContext(t.Context())
	if person != "" {
		q.Header.Set("Authorization", "Bearer "+person)
	}
	if len(how) == 2 {
		q.AddCookie(&http.Cookie{Name: "slatewright_reader", Value: person + "~" + how[0] + "~" + how[1] + "~"})
	}
	w := httptest.NewRecorder()
	m.mux.ServeHTTP(w, q)
	return w
}

// page gets a page that must be there.
func (m *mill) page(t testing.TB, path string, how ...string) string {
	t.Helper()
	w := m.get(t, "lead", path, how...)
	if w.Code != http.StatusOK {
		t.Fatalf("%s: %d %s", path, w.Code, text(w.Body.String()))
	}
	return w.Body.String()
}

// data gets what a script asks for.
func data[T any](t testing.TB, m *mill, path string) (v T) {
	t.Helper()
	w := m.get(t, "visitor-1", path)
	if w.Code != http.StatusOK || w.Header().Get("Content-Type") != "application/json" {
		t.Fatalf("%s: %d %s", path, w.Code, w.Header())
	}
	if err := json.Unmarshal(w.Body.Bytes(), &v); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	return v
}

var tags = regexp.MustCompile(`<[^>]*>`)

func text(page string) string {
	return strings.Join(strings.Fields(tags.ReplaceAllString(page, " ")), " ")
}

// shownPages are the addresses of every state that a page of this room can be in.
var shownPages = []string{"/piece/QH-1002", "/piece/QH-1002?face=bottom", "/piece/QH-1002?face=thickness", "/piece/QH-1002?x1=-445&y1=0&x2=445&y2=0", "/piece/QH-1002?x1=a&y1=0&x2=445&y2=0",
	"/piece/QH-1002?x1=1&y1=1&x2=1&y2=1", "/piece/" + wedge + "?face=thickness", "/piece/" + wedge + "?face=bottom", "/piece/" + twoWays, "/piece/QH-1002/relief", "/piece/" + wedge + "/relief?face=thickness",
	"/set/QH-S101", "/set/QH-S104", "/set/QH-S105", "/set/QH-S107", "/set/QH-S108", "/set/QH-S112", "/set/QH-S105/relief", "/set/QH-S105/frame", "/set/QH-S105/frame?frame=ring&modulus=52GPa&screws=300N", "/trace/piece/QH-1002", "/trace/piece/" + wedge, "/trace/set/QH-S105", "/trace/slab/L1-01-A",
	"/trace/disc/QH-G1", "/affected/disc/QH-G1", "/affected/layer/QH-L1", "/affected/instrument/QH-D1"}

func TestEveryPageInEveryLanguageAndUnit(t *testing.T) {
	for _, path := range shownPages {
		said := map[string]string{}
		for _, l := range tongue.Languages() {
			for _, units := range []string{"mm", "inch"} {
				page := own.page(t, path, string(l), units)
				for _, no := range []string{"⟨", "style=", "<script", "onclick", "NaN", "%!", "<nil>"} {
					if strings.Contains(page, no) {
						t.Errorf("%s in %s and %s: %s: %.200s", path, l, units, no, page[max(0, strings.Index(page, no)-100):])
					}
				}
				if !strings.Contains(page, `lang="`+string(l)) {
					t.Errorf("%s is not in %s", path, l)
				}
				if units == "inch" {
					continue
				}
				for other, same := range said {
					if same == text(page) {
						t.Errorf("%s says the same in %s and %s", path, l, other)
					}
				}
				said[string(l)] = text(page)
			}
		}
	}
}

// leasts is who may ask for each address at least.
var leasts = map[string]book.Role{
	"/piece/{number}": book.Visitor, "/piece/{number}/relief": book.Visitor, "/piece/{number}/map": book.Visitor, "/piece/{number}/map.svg": book.Visitor,
	"/piece/{number}/profile": book.Visitor, "/set/{number}": book.Visitor, "/set/{number}/relief": book.Visitor, "/set/{number}/map": book.Visitor,
	"/set/{number}/map.svg": book.Visitor, "/set/{number}/frame": book.Visitor, "/set/{number}/frame.svg": book.Visitor, "/trace/{kind}/{number}": book.Visitor, "/affected/{kind}/{number}": book.Visitor,
}

func TestEveryRouteAndEveryRole(t *testing.T) {
	routes := own.shell.Routes()
	if len(routes) != len(leasts) {
		t.Fatalf("%d routes, %d in the table", len(routes), len(leasts))
	}
	for _, r := range routes {
		least, there := leasts[r.Path]
		if !there || r.Least != least || r.Method != http.MethodGet {
			t.Errorf("%s %s for %q: the table says %q", r.Method, r.Path, r.Least, least)
		}
		number := "QH-1002"
		if strings.HasPrefix(r.Path, "/set") {
			number = "QH-S105"
		}
		path := strings.NewReplacer("{number}", number, "{kind}", "piece").Replace(r.Path)
		if strings.HasSuffix(path, "/profile") {
			path += "?from=-400,0&to=400,0"
		}
		for person, want := range map[string]int{"": http.StatusSeeOther, "nobody": http.StatusSeeOther, "stranger": http.StatusSeeOther, "visitor-1": http.StatusOK,
			"bench-1": http.StatusOK, "inspector-1": http.StatusOK, "lead": http.StatusOK} {
			if w := own.get(t, person, path); w.Code != want {
				t.Errorf("%s as %q: %d, want %d", path, person, w.Code, want)
			}
		}
	}
}

// Buttons are for those who may press them; a visitor only reads.
func TestButtonsAreForThoseWhoMay(t *testing.T) {
	for _, path := range []string{"/piece/" + wedge, "/set/QH-S112"} {
		if !strings.Contains(own.page(t, path), `href="/do/`) {
			t.Errorf("%s offers the lead nothing to do", path)
		}
		for _, act := range []string{`href="/do/`, `/judge"`, `/certify"`} {
			if strings.Contains(own.get(t, "visitor-1", path).Body.String(), act) {
				t.Errorf("%s offers a visitor %s", path, act)
			}
		}
	}
	for _, set := range []string{"QH-S108", "QH-S101"} { // not judged; judged, and come back since
		if page := own.page(t, "/set/"+set); strings.Contains(page, "/do/pack") || strings.Contains(page, `/certify"`) {
			t.Errorf("%s has no verdict that holds, and is offered to be certified or packed", set)
		}
	}
}

func TestWhatIsNotThere(t *testing.T) {
	tried := 0
	for path, want := range map[string]int{"/piece/QH-9999": 404, "/set/QH-S999": 404, "/trace/piece/QH-9999": 404, "/affected/nothing/QH-1002": 400, "/piece/QH-1002/map?face=bottom": 404,
		"/piece/QH-1002/map?face=thickness": 404, "/piece/QH-1002/map.svg?face=thickness": 422, "/piece/QH-1002/profile": 400, "/piece/QH-1002/profile?from=0,0&to=1e9,0": 400,
		"/piece/QH-1002/profile?from=NaN,0&to=100,0": 400, "/piece/QH-1002/profile?from=0,0&to=0.1,0": 422, "/piece/QH-1002/profile?from=0,0&to=100,0&n=1000000": 422,
		"/piece/QH-1002/map?reading=none": 404, "/piece/QH-1002/relief?face=bottom": 404, "/set/QH-S999/map": 404} {
		tried++
		w := own.get(t, "lead", path)
		if w.Code/100 != 4 || want == 404 && w.Code != 404 {
			t.Errorf("%s: %d, want %d: %s", path, w.Code, want, text(w.Body.String()))
		}
		if !strings.Contains(w.Body.String(), "told bad") {
			t.Errorf("%s: no page says what is wrong", path)
		}
	}
	if tried == 0 {
		t.Error("nothing was tried")
	}
}

func TestPictures(t *testing.T) {
	for _, path := range []string{"/piece/QH-1002/map.svg", "/piece/" + wedge + "/map.svg?face=bottom", "/piece/" + wedge + "/map.svg?face=thickness", "/set/QH-S105/map.svg"} {
		w := own.get(t, "visitor-1", path)
		body, _ := io.ReadAll(w.Body)
		if w.Code != http.StatusOK || w.Header().Get("Content-Type") != "image/svg+xml" || !strings.HasPrefix(string(body), "<svg") || !strings.Contains(string(body), "invented") {
			t.Errorf("%s: %d %s %.80s", path, w.Code, w.Header(), body)
		}
	}
	for path, english := range map[string]string{"/set/QH-S105/map.svg": "proud", "/piece/" + wedge + "/map.svg?face=thickness": "Thickness of"} {
		for _, l := range []string{"pt", "it", "es", "zh"} {
			if strings.Contains(own.get(t, "lead", path, l, "mm").Body.String(), english) {
				t.Errorf("%s in %s: the picture speaks English", path, l)
			}
		}
		if !strings.Contains(own.get(t, "lead", path).Body.String(), english) {
			t.Errorf("%s does not say %q even in English", path, english)
		}
	}
	if in, out := own.get(t, "lead", "/piece/QH-1002/map.svg", "it", "mm").Body.String(), own.get(t, "lead", "/piece/QH-1002/map.svg").Body.String(); in == out || !strings.Contains(in, "testa") {
		t.Error("the picture of a face is not in the reader's language")
	}
}
