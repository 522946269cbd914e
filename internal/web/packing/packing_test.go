package packing_test

import (
	"context"
	"html"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/internal/book"
	"slatewright/internal/tongue"
	"slatewright/internal/web/packing"
	"slatewright/internal/web/pagetest"
	"slatewright/sets/marks"
)

var (
	own     *pagetest.Mill
	mux     = http.NewServeMux()
	printed []marks.Sheet
)

func TestMain(m *testing.M) {
	pagetest.Main(m, func(_ context.Context, mill *pagetest.Mill) error {
		own = mill
		frame, err := mill.Frame()
		if err != nil {
			return err
		}
		return packing.Add(frame, mux, func(s marks.Sheet, _ tongue.Words) ([]byte, error) {
			printed = append(printed, s)
			return []byte("%PDF of " + s.Set), nil
		})
	})
}

// sets are the demo's sets by how they stand.
func sets(t *testing.T) (list map[string]*book.SetState) {
	t.Helper()
	page, err := own.Ledger.Things(t.Context(), book.Filter{Kind: book.KindSet}, "", 500)
	if err != nil {
		t.Fatal(err)
	}
	list = map[string]*book.SetState{}
	for _, x := range page.Items {
		state, err := book.StateOf(x)
		if err != nil {
			t.Fatal(err)
		}
		list[x.ID] = state.(*book.SetState)
	}
	return list
}

// first is the first set of which something holds.
func first(t *testing.T, holds func(*book.SetState) bool, but ...string) (string, *book.SetState) {
	t.Helper()
	best := ""
	all := sets(t)
	for id, s := range all {
		if holds(s) && (best == "" || id < best) && !strings.Contains(strings.Join(but, " "), id) {
			best = id
		}
	}
	if best == "" {
		t.Fatal("the demo has no such set")
	}
	return best, all[best]
}

func certified(s *book.SetState) bool {
	return s.Certificate != "" && s.Stale == "" && !s.Packed && s.Parted == "" && s.Shipment == ""
}
func bare(s *book.SetState) bool {
	return s.Certificate == "" && s.Parted == "" && s.Shipment == "" && !s.Packed
}

// code is the code of a piece at its place.
func code(set string, pieces []string, place bed.Place) string {
	for _, m := range marks.Of(set, [3]string(pieces)) {
		if m.Place == place {
			return m.Code()
		}
	}
	return ""
}

var unbroken = regexp.MustCompile(`<span class="whole">([^<]*)</span>`)

// said is what a page says, with plain blanks.
func said(page string) string {
	return strings.ReplaceAll(pagetest.Text(unbroken.ReplaceAllString(page, "$1")), "\u00a0", " ")
}

// ask asks the check, and returns the page's text and the page. Pairs are fields and values.
func ask(t *testing.T, b *pagetest.Browser, pairs ...string) (text, page string) {
	t.Helper()
	q := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		q.Add(pairs[i], pairs[i+1])
	}
	w := b.Get(t, "/packing?"+q.Encode())
	if w.Code != http.StatusOK {
		t.Fatalf("%v: %d %.300s", pairs, w.Code, w.Body)
	}
	pagetest.Sound(t, strings.Join(pairs, " "), w.Body.String())
	return said(w.Body.String()), w.Body.String()
}

func TestEveryPageInEveryLanguage(t *testing.T) {
	set, _ := first(t, certified)
	own.HoldQuestions(t, mux, map[string]int{"/packing": 0, "/packing/example": 0, "/packing/swapped": 0, "/packing/mirrored": 0, "/packing/unread": 0,
		"/set/" + set + "/labels": 0, "/packing?set=" + set: 0})
}

var (
	field  = regexp.MustCompile(`<input type="hidden" name="(code|seen|set)" value="([^"]*)">`)
	anchor = regexp.MustCompile(`<a class="do[^"]*" href="([^"]*)"[^>]*>([^<]*)</a>`)
)

// carried are the fields that a page's form sends along.
func carried(page string) (pairs []string) {
	for _, m := range field.FindAllStringSubmatch(page, -1) {
		pairs = append(pairs, m[1], html.UnescapeString(m[2]))
	}
	return pairs
}

// button is the address of a button.
func button(page, says string) string {
	for _, m := range anchor.FindAllStringSubmatch(page, -1) {
		if strings.Contains(html.UnescapeString(m[2]), says) {
			return html.UnescapeString(m[1])
		}
	}
	return ""
}

// Three codes are scanned one after the other, each with Enter, as a reader does on a page without scripts; then the set packs, and the act's form has its codes.
func TestThreeScansOneAfterAnother(t *testing.T) {
	b := own.SignIn(t, mux, "bench-1")
	set, s := first(t, certified)
	var pairs []string
	for n, place := range []bed.Place{bed.Foot, bed.Head, bed.Centre} {
		text, page := ask(t, b, append(pairs, "code", code(set, s.Pieces, place))...)
		pairs = carried(page)
		if n < 2 {
			want := []string{"2 codes are still to be read.", "One code is still to be read."}[n]
			if !strings.Contains(text, "Not yet") || !strings.Contains(text, want) || len(pairs) != 4*(n+1) || button(page, "Pack") != "" {
				t.Errorf("after %d: %q in %s", n+1, pairs, text)
			}
			if missing := s.Pieces[1]; !strings.Contains(text, "centre: "+missing+", ") {
				t.Errorf("after %d, %s is not asked for: %s", n+1, missing, text)
			}
			continue
		}
		if !strings.Contains(text, "Packs "+s.Pieces[0]+", "+s.Pieces[1]+", "+s.Pieces[2]+" are set "+set) || len(pairs) != 0 {
			t.Errorf("%q in %s", pairs, text)
		}
		to, err := url.Parse(button(page, "Pack"))
		if err != nil || to.Path != "/do/pack" || to.Query().Get("set") != set || to.Query().Get("codes") != strings.Join(s.Pieces, ", ") {
			t.Errorf("%v %v", to, err)
		}
	}
	visitor := own.SignIn(t, mux, "visitor-1")
	if _, page := ask(t, visitor, "code", s.Pieces[0], "code", s.Pieces[1], "code", s.Pieces[2]); button(page, "Pack") != "" {
		t.Error("a visitor is offered the act")
	}
}

// What is wrong is said in large, and the way out is one touch.
func TestWhatIsWrong(t *testing.T) {
	b := own.SignIn(t, mux, "bench-1")
	set, s := first(t, certified)
	other, o := first(t, bare)
	parted, p := first(t, func(s *book.SetState) bool { return s.Parted != "" })
	shipped, sh := first(t, func(s *book.SetState) bool { return s.Shipment != "" })
	head, centre, foot := code(set, s.Pieces, bed.Head), code(set, s.Pieces, bed.Centre), code(set, s.Pieces, bed.Foot)
	for _, c := range []struct {
		name  string
		codes []string
		want  []string
	}{
		{"another set", []string{head, centre, code(other, o.Pieces, bed.Foot)}, []string{"Does not pack " + o.Pieces[2] + " belongs to set " + other + ", not to " + set, "foot: " + s.Pieces[2], "Take " + o.Pieces[2] + " out of this check"}},
		{"two sets", []string{head, code(other, o.Pieces, bed.Foot)}, []string{"Does not pack These pieces are not of one set: they belong to " + set + ", " + other}},
		{"twice", []string{head, head}, []string{"Not yet The code of " + s.Pieces[0] + " was read twice."}},
		{"parted", []string{code(parted, p.Pieces, bed.Centre)}, []string{"Does not pack", "old mark of set " + parted}},
		{"shipped", sh.Pieces, []string{"Does not pack Set " + shipped + " has left with shipment " + sh.Shipment}},
		{"a letter", []string{"C"}, []string{"Not yet “C” is the letter of a joint"}},
		{"the certificate", []string{"https://mill.example/certificate/QH-C1"}, []string{"Not yet That is the code of a certificate"}},
		{"garbage", []string{"<b>x</b>&y"}, []string{"Not yet “<b>x</b>&y” is no mark of a piece."}},
		{"a set's number", []string{set}, []string{"Not yet " + set + " is the number of a set."}},
		{"typed, in one go", []string{strings.ToLower(s.Pieces[0]) + ", " + s.Pieces[1] + "," + s.Pieces[2]}, []string{"Packs"}},
		{"without a certificate", o.Pieces, []string{"Packs", "set " + other + " has no certificate that holds"}},
		{"garbage besides", []string{head, centre, "%%", foot}, []string{"Packs", "“%%” is no mark of a piece."}},
	} {
		var pairs []string
		for _, x := range c.codes {
			pairs = append(pairs, "code", x)
		}
		text, page := ask(t, b, pairs...)
		for _, want := range c.want {
			if !strings.Contains(text, want) {
				t.Errorf("%s: no %q in %s", c.name, want, text)
			}
		}
		if c.name == "without a certificate" && button(page, "Pack") != "" {
			t.Error("an act is offered that the book refuses")
		}
	}
	_, page := ask(t, b, "code", head, "code", code(other, o.Pieces, bed.Foot), "code", centre)
	w := b.Get(t, button(page, "Take "+o.Pieces[2]))
	if text := said(w.Body.String()); !strings.Contains(text, "One code is still to be read.") || strings.Contains(text, o.Pieces[2]) {
		t.Errorf("taken out: %s", text)
	}
}

// The corner at which a mark is seen is one touch; what was touched stays with the codes.
func TestCorners(t *testing.T) {
	b := own.SignIn(t, mux, "bench-1")
	set, s := first(t, certified)
	text, page := ask(t, b, "code", code(set, s.Pieces, bed.Head), "code", code(set, s.Pieces, bed.Centre), "code", code(set, s.Pieces, bed.Foot))
	if n := strings.Count(page, `class="corners"`); n != 3 || !strings.Contains(text, "the arrow away from you") {
		t.Fatalf("%d pieces to look at", n)
	}
	touch := func(n int, corner string) string { // the n-th piece
		_, rest, _ := strings.Cut(page, `class="corners"`)
		for range n {
			_, rest, _ = strings.Cut(rest, `class="corners"`)
		}
		w := b.Get(t, button(rest, corner))
		page = w.Body.String()
		return said(page)
	}
	if text := touch(0, "near left"); !strings.Contains(text, "Packs") || !strings.Contains(text, s.Pieces[0]+": the mark is near left") {
		t.Errorf("right: %s", text)
	}
	if text := touch(2, "far right"); !strings.Contains(text, "Does not pack "+s.Pieces[2]+" (foot) is mirrored: its mark is on the right") || !strings.Contains(text, s.Pieces[0]+": the mark is near left") {
		t.Errorf("mirrored: %s", text)
	}
	if text := touch(2, "near right"); !strings.Contains(text, s.Pieces[2]+" (foot) lies turned by half a turn.") {
		t.Errorf("turned: %s", text)
	}
}

// Nonsense in the address is never a fault of our own.
func TestNonsense(t *testing.T) {
	b := own.SignIn(t, mux, "bench-1")
	long := strings.Repeat("x", 5000)
	for _, pairs := range [][]string{{"code", ""}, {"code", long}, {"seen", "up"}, {"code", "A", "seen", "up"}, {"set", "no such"}, {"set", long}, {"set", "\x00"}, {"code", "\xff\xfe"}, {"code", "M1.01.\x00.a.H1A.22"}} {
		ask(t, b, pairs...)
	}
	var many []string
	for range 500 {
		many = append(many, "code", "A")
	}
	if _, page := ask(t, b, many...); strings.Count(page, "<tr>") > 20 {
		t.Error("as many rows as codes")
	}
}

func TestLabelsOfASet(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	set, s := first(t, certified)
	w := b.Get(t, "/set/"+set+"/labels")
	text := pagetest.Text(w.Body.String())
	for _, m := range marks.Of(set, [3]string(s.Pieces)) {
		if !strings.Contains(text, m.Code()) {
			t.Errorf("no %s in %s", m.Code(), text)
		}
	}
	printed = nil
	for path, want := range map[string]int{"labels.pdf": 200, "labels.pdf?size=62x29": 200, "labels.pdf?size=57 × 32": 200, "labels.pdf?size=big": 422, "labels.pdf?size=1x1": 422, "labels.pdf?size=0x0": 422} {
		w := b.Get(t, "/set/"+set+"/"+strings.ReplaceAll(path, " ", "%20"))
		if w.Code != want || (want == 200) != strings.HasPrefix(w.Body.String(), "%PDF of "+set) {
			t.Errorf("%s: %d %.200s", path, w.Code, w.Body)
		}
	}
	if len(printed) != 3 || !printed[0].Invented || printed[0].Pieces != [3]string(s.Pieces) {
		t.Errorf("%+v", printed)
	}
	parted, _ := first(t, func(s *book.SetState) bool { return s.Parted != "" })
	for _, path := range []string{"/set/" + parted + "/labels", "/set/" + parted + "/labels.pdf"} {
		if w := b.Get(t, path); w.Code/100 != 4 || !strings.Contains(pagetest.Text(w.Body.String()), "it was parted") {
			t.Errorf("%s: %d %.300s", path, w.Code, pagetest.Text(w.Body.String()))
		}
	}
	if w := b.Get(t, "/set/none/labels"); w.Code != http.StatusNotFound {
		t.Errorf("%d", w.Code)
	}
}
