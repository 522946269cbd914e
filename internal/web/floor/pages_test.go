package floor_test

import (
	"context"
	"fmt"
	"html"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/oklog/ulid/v2"

	"slatewright/internal/book"
	"slatewright/internal/tongue"
	"slatewright/internal/web/floor"
	"slatewright/internal/web/pagetest"
)

var (
	own   *pagetest.Mill
	mux   = http.NewServeMux()
	queue pagetest.Queue
)

func TestMain(m *testing.M) {
	pagetest.Main(m, func(ctx context.Context, mill *pagetest.Mill) (err error) {
		own = mill
		if queue, err = mill.Follow(ctx); err != nil {
			return err
		}
		frame, err := mill.Frame()
		if err != nil {
			return err
		}
		// the other rooms' pages are not here: where a link leads to one is what is tested, not the page
		return floor.Add(frame, mux, queue)
	})
}

func entry() string { return ulid.MustNew(ulid.Timestamp(own.Now()), ulid.DefaultEntropy()).String() }

var shownPages = []string{"/", "/?station=bench&role=inspector", "/station/quarry", "/station/saw", "/station/surfacing", "/station/sets", "/station/drilling", "/station/room", "/station/lining",
	"/station/bench", "/station/shipping", "/find", "/find?q=QH-10", "/find?q=nothing-like-it", "/find?cause=vein", "/lost", "/lost?station=surfacing&length_mm=1473", "/lost?station=surfacing&mass_kg=90,5", "/thing/slab/L1-01-A", "/thing/order/QH-O4", "/thing/disc/QH-G1", "/conflicts", "/unsent",
	"/do/match", "/do/match?order=QH-O4", "/do/weigh?thing=piece:QH-1001", "/do/cut", "/do/reject?thing=piece:QH-1001", "/do/correct"}

func TestEveryPageInEveryLanguage(t *testing.T) {
	lead := own.SignIn(t, mux, "lead")
	for _, path := range shownPages {
		said := map[string]string{}
		for _, l := range tongue.Languages() {
			lead.Reads("lead", string(l), "mm")
			w := lead.Get(t, path)
			page := w.Body.String()
			if w.Code != http.StatusOK || !strings.Contains(page, `lang="`+string(l)) {
				t.Errorf("%s in %s: %d", path, l, w.Code)
			}
			for _, no := range []string{"⟨", " style=", "<script", "onclick", "NaN", "%!", "<nil>", "<no value>"} {
				if strings.Contains(page, no) {
					t.Errorf("%s in %s holds %s", path, l, no)
				}
			}
			for other, same := range said {
				if same == pagetest.Text(page) {
					t.Errorf("%s says the same in %s and %s", path, l, other)
				}
			}
			said[string(l)] = pagetest.Text(page)
		}
	}
}

var doLink = regexp.MustCompile(`href="((?:/do/|/lay-up|/bench|/racks)[^"]*)"`)

// Whatever the first page offers to do leads to a form that can be handed in: none names what the act does not take, or more pieces than
// a set has.
func TestEverySlipLeadsToAFormThatCanBeHandedIn(t *testing.T) {
	lead := own.SignIn(t, mux, "lead")
	links := map[string]bool{}
	for _, found := range doLink.FindAllStringSubmatch(lead.Get(t, "/").Body.String(), -1) {
		links[html.UnescapeString(found[1])] = true
	}
	matches := 0
	for link := range links {
		u, err := url.Parse(link)
		if err != nil {
			t.Fatal(err)
		}
		asked := u.Query()
		if n := len(strings.Fields(asked.Get("pieces"))); n > 3 {
			t.Errorf("%s names %d pieces", link, n)
		}
		if strings.HasPrefix(asked.Get("thing"), "mill:") {
			t.Errorf("%s is about the mill", link)
		}
		if strings.HasPrefix(link, "/racks") {
			matches++
		}
		if strings.HasPrefix(link, "/do/") {
			if w := lead.Get(t, link); w.Code != http.StatusOK || strings.Contains(w.Body.String(), "told bad") {
				t.Errorf("%s: %d", link, w.Code)
			}
		}
	}
	if len(links) < 10 || matches < 2 {
		t.Errorf("%d links, %d to matching", len(links), matches)
	}
}

// pick follows the first link of a form that puts a piece into it.
func pick(t *testing.T, b *pagetest.Browser, path string) string {
	t.Helper()
	w := b.Get(t, path)
	for _, found := range doLink.FindAllStringSubmatch(w.Body.String(), -1) {
		link := html.UnescapeString(found[1])
		u, err := url.Parse(link)
		if err != nil {
			t.Fatal(err)
		}
		now, _ := url.Parse(path)
		if u.Path == now.Path && len(u.Query().Get("pieces")) > len(now.Query().Get("pieces")) && strings.HasPrefix(u.Query().Get("pieces"), now.Query().Get("pieces")) {
			return link
		}
	}
	t.Fatalf("%s offers no piece", path)
	return ""
}

// A match is made with three taps, of pieces of the size that the order wants; then no more are offered, and it is taken.
func TestAMatchIsChosenOfTheLoosePieces(t *testing.T) {
	lead := own.SignIn(t, mux, "lead")
	path := "/do/match?order=QH-O4"
	for range 3 {
		path = pick(t, lead, path)
	}
	u, err := url.Parse(path)
	if err != nil {
		t.Fatal(err)
	}
	if n := len(strings.Split(u.Query().Get("pieces"), ", ")); n != 3 || u.Query().Get("order") != "QH-O4" {
		t.Fatalf("%s", path)
	}
	page := lead.Get(t, path).Body.String()
	if strings.Contains(page, html.EscapeString(u.Query().Get("pieces")+", QH-")) || !strings.Contains(page, "Choose the pieces anew") {
		t.Error("a fourth is offered, or it cannot be begun anew")
	}
	if w := lead.Send(t, "/do/match", url.Values{"_entry": {entry()}, "order": {"QH-O4"}, "pieces": {u.Query().Get("pieces")}}); w.Code != http.StatusSeeOther {
		t.Errorf("%d %s", w.Code, pagetest.Text(w.Body.String()))
	}
	if page := lead.Get(t, "/do/match?_size=8+ft").Body.String(); strings.Contains(page, "pieces=QH-") && strings.Contains(page, "wait to be matched") {
		t.Error("pieces of another size are offered")
	}
}

// A part of a number is looked for by the index when the number begins with it, else through the mill, so many things at a time; a
// question goes on where the last one stopped, and reaches everything.
func TestFinding(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	for asked, want := range map[string][]string{"q=QH-103": {"QH-1030", "QH-1039"}, "q=qh-103": {"QH-1030"}, "q=QH-S1&kind=set": {"QH-S101", "QH-S112"}, "q=1033": {"QH-1033"}, "q=QH-1033": {"QH-1033"},
		"q=QH-C10": {"QH-C101"}} {
		page := pagetest.Text(b.Get(t, "/find?"+asked).Body.String())
		for _, id := range want {
			if !strings.Contains(page, id) {
				t.Errorf("%s does not find %s: %.400s", asked, id, page)
			}
		}
	}
	if page := b.Get(t, "/find?q=QH-103").Body.String(); strings.Contains(page, "/piece/QH-1029") || strings.Contains(page, "/piece/QH-1040") {
		t.Error("other numbers are found too")
	}
	pages, found := 0, 0
	for path := "/find?from=2000-01-01"; path != ""; pages++ {
		body := b.Get(t, path).Body.String()
		found += strings.Count(body, `scope="row"`)
		path = ""
		if on := regexp.MustCompile(`href="(/find\?[^"]*after=[^"]*)"`).FindStringSubmatch(body); on != nil {
			path = html.UnescapeString(on[1])
		}
		if pages > 20 {
			t.Fatal("it never ends")
		}
	}
	all := 0
	for cursor := ""; ; {
		page, err := own.Ledger.Things(t.Context(), book.Filter{}, cursor, 100)
		if err != nil {
			t.Fatal(err)
		}
		if all += len(page.Items); page.Next == "" {
			break
		}
		cursor = page.Next
	}
	if found != all || pages < 2 {
		t.Errorf("%d things found on %d pages, %d there are", found, pages, all)
	}
}

// A piece that has lost its number is searched for by one person and marked by another; the first page leads there.
func TestALostNumber(t *testing.T) {
	searcher, other := own.SignIn(t, mux, "surfacing-1"), own.SignIn(t, mux, "bench-1")
	const piece = "QH-1001"
	state := func() *book.PieceState {
		got, err := own.Ledger.Thing(t.Context(), book.Ref{Kind: book.KindPiece, ID: piece})
		if err != nil {
			t.Fatal(err)
		}
		s, err := book.StateOf(got)
		if err != nil {
			t.Fatal(err)
		}
		return s.(*book.PieceState)
	}
	own.Later(time.Minute)
	if w := searcher.Send(t, "/do/mark", url.Values{"_entry": {entry()}, "piece": {piece}, "on": {"nowhere"}}); w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, pagetest.Text(w.Body.String()))
	}
	q := url.Values{"length_mm": {fmt.Sprint(state().LengthMM)}, "width_mm": {fmt.Sprint(state().WidthMM)}, "thickness_mm": {strings.Replace(fmt.Sprint(state().ThicknessMM), ".", ",", 1)}}
	page := searcher.Get(t, "/lost?"+q.Encode()).Body.String()
	first := regexp.MustCompile(`<th scope="row"><a href="/piece/([^"]+)"`).FindStringSubmatch(page)
	mark := regexp.MustCompile(`href="(/do/mark\?piece=` + piece + `&amp;searched_by=surfacing-1)"`).FindStringSubmatch(page)
	if first == nil || first[1] != piece || mark == nil || !strings.Contains(pagetest.Text(page), "A second person looks at the stone") {
		t.Fatalf("%v %v %.900s", first, mark, pagetest.Text(page))
	}
	if page := own.SignIn(t, mux, "visitor-1").Get(t, "/lost?"+q.Encode()).Body.String(); strings.Contains(page, "/do/mark") {
		t.Error("a visitor is offered to mark")
	}
	own.Later(time.Minute)
	filled := func() url.Values {
		return url.Values{"_entry": {entry()}, "piece": {piece}, "searched_by": {"surfacing-1"}, "on": {"edge"}}
	}
	if w := searcher.Send(t, "/do/mark", filled()); w.Code/100 != 4 || !strings.Contains(w.Body.String(), "told bad") {
		t.Errorf("who searched marks too: %d", w.Code)
	}
	if w := other.Get(t, html.UnescapeString(mark[1])); !strings.Contains(w.Body.String(), `value="surfacing-1"`) || !strings.Contains(w.Body.String(), `value="`+piece+`"`) {
		t.Errorf("the form does not say who searched, or for what: %s", pagetest.Text(w.Body.String()))
	}
	if w := other.Send(t, "/do/mark", filled()); w.Code != http.StatusSeeOther || state().MarkedOn != book.OnEdge {
		t.Errorf("%d %s", w.Code, pagetest.Text(w.Body.String()))
	}
	for _, asked := range []string{"length_mm=long", "thickness_mm=-3", "mass_kg=NaN", "since=tomorrow", "station=moon"} {
		if w := searcher.Get(t, "/lost?"+asked); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "told bad") {
			t.Errorf("%s: %d", asked, w.Code)
		}
	}
}
