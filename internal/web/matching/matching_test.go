package matching

import (
	"context"
	"encoding/json"
	"fmt"
	"html"
	"net/http"
	"net/url"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/measured"
	"slatewright/internal/web/pagetest"
)

var (
	own   *pagetest.Mill
	mux   = http.NewServeMux()
	queue pagetest.Queue
)

func TestMain(m *testing.M) {
	pagetest.Main(m, func(ctx context.Context, mill *pagetest.Mill) error {
		own = mill
		frame, err := mill.Frame()
		if err != nil {
			return err
		}
		if queue, err = mill.Follow(ctx); err != nil {
			return err
		}
		return Add(frame, mux, measured.New(mill.Files, measured.Options{}), queue)
	})
}

// settled is a page of the racks once nothing on it is being computed any more.
func settled(t *testing.T, b *pagetest.Browser, path string) string {
	t.Helper()
	for range 600 {
		page := b.Get(t, path).Body.String()
		if !strings.Contains(page, `hx-trigger="load delay:1s"`) {
			return page
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatalf("%s is still being computed", path)
	return ""
}

var (
	stones   = regexp.MustCompile(`(?s)<article class="bed" id="([^"]*)">.*?</article>`)
	stoneID  = regexp.MustCompile(`<strong><span class="whole">([^<]*)</span></strong> <span class="facts">`)
	setField = regexp.MustCompile(`name="set" value="([^"]*)"`)
	links    = regexp.MustCompile(`<a class="do look" href="(/racks[^"]*)">([^<]*)`)
)

// cardsOn are the pieces of each set on a page, by the id of its card, in the order of the page.
func cardsOn(t *testing.T, page string) (ids []string, pieces map[string][]string) {
	t.Helper()
	pieces = map[string][]string{}
	for _, found := range stones.FindAllStringSubmatch(page, -1) {
		ids = append(ids, found[1])
		for _, id := range stoneID.FindAllStringSubmatch(found[0], -1) {
			pieces[found[1]] = append(pieces[found[1]], id[1])
		}
	}
	if len(ids) == 0 {
		t.Fatalf("no set on the page: %.2000s", pagetest.Text(page))
	}
	return ids, pieces
}

func TestEveryPageInEveryLanguage(t *testing.T) {
	own.HoldQuestions(t, mux, map[string]int{onList: 0, onList + "/example": 2, onLearned: 2})
	b := own.SignIn(t, mux, "visitor-1")
	tapped := at + "?piece=" + firstSet(t, b)[0]
	said := map[string]bool{}
	for language, units := range map[string]string{"en": "mm", "pt": "mm", "it": "mm", "es": "inch", "zh": "mm"} {
		b.Reads("visitor-1", language, units)
		for _, path := range []string{at, at + "?all=yes&free=yes", tapped, at + "?piece=QH-0000"} {
			page := settled(t, b, path)
			pagetest.Sound(t, path+" in "+language, page)
			if n := pagetest.Charts(t, page); n != 2 {
				t.Errorf("%s in %s has %d charts", path, language, n)
			}
			if text := pagetest.Text(page); said[text] && path == at {
				t.Errorf("%s in %s says what it says in another language", path, language)
			} else {
				said[text] = true
			}
		}
	}
}

// firstSet are the pieces of the first set of the racks.
func firstSet(t *testing.T, b *pagetest.Browser) []string {
	t.Helper()
	ids, pieces := cardsOn(t, settled(t, b, at))
	return pieces[ids[0]]
}

func TestExamplesAreTheHandbooks(t *testing.T) {
	pagetest.HoldExamples(t, "../../../docs/examples/racks")
}

// No piece is in two sets, every one of the stock is shown once, and every set has its three places and its figures.
func TestTheRacksShowEveryPieceOnce(t *testing.T) {
	page := settled(t, own.SignIn(t, mux, "lead"), at)
	_, pieces := cardsOn(t, page)
	seen := map[string]int{}
	for card, three := range pieces {
		if len(three) != 3 {
			t.Errorf("%s has %q", card, three)
		}
		for _, id := range three {
			seen[id]++
		}
	}
	for _, found := range regexp.MustCompile(`<th scope="row"><a href="/racks[^"]*"><span class="whole">([^<]*)<`).FindAllStringSubmatch(page, -1) {
		seen[found[1]]++
	}
	stock := 0
	for _, rack := range queue.Racks(own.Now()) {
		for _, p := range rack.Pieces {
			stock++
			if seen[p.ID] != 1 {
				t.Errorf("%s is shown %d times", p.ID, seen[p.ID])
			}
		}
	}
	if stock < 9 || len(seen) != stock {
		t.Errorf("%d pieces stand there, %d are shown", stock, len(seen))
	}
	for _, must := range []string{"Put ", "for QH-O1", "Never lift or turn a piece by hand alone", "can be no set"} {
		if !strings.Contains(pagetest.Text(page), must) {
			t.Errorf("the page does not say %q", must)
		}
	}
}

// A tap on a piece tells what others in its place would cost; the one that is taken makes a set that stays, and the plan is made anew about it.
func TestAnExchangeIsAskedForAndTaken(t *testing.T) {
	b := own.SignIn(t, mux, "lead")
	three := firstSet(t, b)
	page := settled(t, b, at+"?piece="+three[1])
	take := ""
	for _, found := range links.FindAllStringSubmatch(page, -1) {
		if found[2] == "Take it" && take == "" {
			take = html.UnescapeString(found[1])
		}
	}
	if take == "" {
		t.Fatalf("nothing can be taken: %s", pagetest.Text(page))
	}
	u, err := url.Parse(take)
	if err != nil || len(u.Query()["keep"]) == 0 {
		t.Fatalf("%s: %v", take, err)
	}
	after := settled(t, b, take)
	_, pieces := cardsOn(t, after)
	for _, kept := range u.Query()["keep"] {
		together := false
		for _, set := range pieces {
			together = together || share(set, strings.Split(kept, ",")) == 3
		}
		if !together || !strings.Contains(pagetest.Text(after), "stay together") {
			t.Errorf("%s does not stay together", kept)
		}
	}
	if share([]string{three[1]}, strings.Split(u.Query()["keep"][0], ",")) != 0 {
		t.Errorf("%s is still in its set: %s", three[1], take)
	}
}

// What is kept apart lies in no one bed, and what is let go of is free again; a piece that is named is priced by name.
func TestApartAndByName(t *testing.T) {
	b := own.SignIn(t, mux, "lead")
	three := firstSet(t, b)
	_, pieces := cardsOn(t, settled(t, b, at+"?apart="+three[0]+","+three[1]))
	for card, set := range pieces {
		if share(set, three[:2]) == 2 {
			t.Errorf("%s holds both: %q", card, set)
		}
	}
	ids, all := cardsOn(t, settled(t, b, at))
	other := all[ids[1]][0]
	if text := pagetest.Text(settled(t, b, at+"?piece="+three[0]+"&with="+other)); !strings.Contains(text, other+" from set B") {
		t.Errorf("what %s would cost is not told: %.1500s", other, text)
	}
	if text := pagetest.Text(settled(t, b, at+"?piece="+three[0]+"&with=QH-9999")); !strings.Contains(text, "QH-9999 does not wait here") {
		t.Errorf("%.1500s", text)
	}
}

// A set is proposed by one tap, once however often the form is sent; then it is there to be laid up, and stays in the plan.
func TestASetIsProposed(t *testing.T) {
	b := own.SignIn(t, mux, "inspector-1")
	page := settled(t, b, at)
	ids, pieces := cardsOn(t, page)
	form := url.Values{"set": {html.UnescapeString(setField.FindStringSubmatch(page)[1])}, "back": {at}}
	first := stones.FindString(page)
	card := pagetest.Text(first)
	turned := []string{}
	for i, stone := range regexp.MustCompile(`(?s)<a class="stone.*?</a>`).FindAllString(first, -1) {
		if strings.Contains(stone, "<b>turned</b>") {
			turned = append(turned, pieces[ids[0]][i])
		}
	}
	for range 2 {
		if w := b.Send(t, at, form); w.Code != http.StatusSeeOther || !strings.Contains(w.Header().Get("Location"), "did=match") {
			t.Fatalf("%d %s", w.Code, pagetest.Text(w.Body.String()))
		}
	}
	if err := queue.Catch(t.Context()); err != nil {
		t.Fatal(err)
	}
	proposals := 0
	for _, rack := range queue.Racks(own.Now()) {
		for _, o := range rack.Proposed {
			if proposals++; share(o.Pieces, pieces[ids[0]]) != 3 || !(o.Match.StepMM > 0) || !(o.Match.ZoneMM > 0) || o.Match.Order != "QH-O1" {
				t.Errorf("proposed %+v", o.Match)
			}
			if lie, same := o.Match.TurnedIn(pieces[ids[0]]); !same || lie == nil || !slices.Equal(lie, turned) {
				t.Errorf("%q lie turned on the page, %+v was proposed", turned, o.Match)
			}
			for _, shown := range []string{fmt.Sprintf("larger step %.3f\u00a0mm", o.Match.StepMM), fmt.Sprintf("zone %.3f\u00a0mm", o.Match.ZoneMM)} {
				if !strings.Contains(card, strings.ReplaceAll(shown, "\u00a0", " ")) && !strings.Contains(card, shown) {
					t.Errorf("proposed %+v, shown %s", o.Match, card)
				}
			}
		}
	}
	if proposals != 1 {
		t.Errorf("%d proposals", proposals)
	}
	page = settled(t, b, at)
	ids, now := cardsOn(t, page)
	if share(now[ids[0]], pieces[ids[0]]) != 3 || !strings.Contains(html.UnescapeString(page), "&_turned="+url.QueryEscape(strings.Join(turned, ", "))+`"`) || !strings.Contains(pagetest.Text(page), "Proposed on") {
		t.Errorf("the proposal does not stand first: %q", now[ids[0]])
	}
	visitor := own.SignIn(t, mux, "visitor-1")
	if w := visitor.Send(t, at, form); w.Code != http.StatusForbidden {
		t.Errorf("a visitor proposes: %d", w.Code)
	}
	if page := settled(t, visitor, at); strings.Contains(page, `name="set"`) {
		t.Error("a visitor is offered to propose")
	}
}

// What cannot be proposed is said on the page, and nothing is in the book.
func TestWhatCannotBeProposed(t *testing.T) {
	b := own.SignIn(t, mux, "lead")
	for said, code := range map[string]int{"": 400, "x|y": 400, "01ARZ3NDEKTSV4RRFFQ69G5FAV|QH-1001,QH-9999,QH-1002|0.1|0.2||": 422, "01ARZ3NDEKTSV4RRFFQ69G5FAW|QH-1001,QH-1002,QH-1003|a|0.2||": 400, "01ARZ3NDEKTSV4RRFFQ69G5FAX|QH-1001,QH-1002,QH-1003|0.1|0.2||QH-1004": 422} {
		w := b.Send(t, at, url.Values{"set": {said}, "back": {"https://elsewhere.example/racks?piece=QH-1001"}})
		if w.Code/100 != 4 || !strings.Contains(w.Body.String(), "told bad") {
			t.Errorf("%q: %d, want about %d: %.300s", said, w.Code, code, pagetest.Text(w.Body.String()))
		}
	}
	if h, err := own.Ledger.Entry(t.Context(), "01ARZ3NDEKTSV4RRFFQ69G5FAV"); err == nil {
		t.Errorf("%+v is in the book", h)
	}
}

// A list is answered as the command line answers it; what is kept apart by hand is, and what cannot be read is refused with its line.
func TestAListIsAnswered(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	stock, err := os.ReadFile("examples/floor.csv")
	if err != nil {
		t.Fatal(err)
	}
	ask := func(pairs ...string) (int, map[string]any, string) {
		code, text, page := b.Ask(t, onList, append([]string{"stock", string(stock), "as", "json"}, pairs...)...)
		var found map[string]any
		if err := json.Unmarshal([]byte(page), &found); err != nil && code == http.StatusOK {
			t.Fatalf("%v in %.300s", err, page)
		}
		return code, found, text
	}
	code, found, _ := ask()
	sets, _ := found["sets"].([]any)
	if code != http.StatusOK || len(sets) != 4 || found["gap"].(float64) > 1e-6 {
		t.Fatalf("%d: %v", code, found)
	}
	one := sets[0].(map[string]any)
	for _, key := range []string{"head", "centre", "foot", "turns", "step_mm", "zone_mm", "cost"} {
		if one[key] == nil {
			t.Errorf("a set has no %s: %v", key, one)
		}
	}
	head, foot := one["head"].(string), one["foot"].(string)
	_, found, _ = ask("apart", head+"+"+foot)
	for _, s := range found["sets"].([]any) {
		x := s.(map[string]any)
		if share([]string{x["head"].(string), x["centre"].(string), x["foot"].(string)}, []string{head, foot}) == 2 {
			t.Errorf("%s and %s lie in one bed: %v", head, foot, x)
		}
	}
	for _, wrong := range [][]string{{"apart", "QH-2101+QH-9999"}, {"w-step", "many"}, {"w-step", "-1"}, {"orders", "id,sets\nO-1,none\n"}, {"spec", "size: ["}} {
		if code, _, text := ask(wrong...); code/100 != 4 {
			t.Errorf("%q is taken: %d %.200s", wrong, code, text)
		}
	}
}

// What lay-ups have taught is worked out of the journal's own figures.
func TestWhatLayUpsHaveTaught(t *testing.T) {
	l := &lessons{}
	list, err := l.all(t.Context(), own.Ledger, own.Files)
	if err != nil || len(list) < 5 {
		t.Fatalf("%d lessons, %v", len(list), err)
	}
	judged := 0
	for _, x := range list {
		if read := firstLayUp(t, x.Set); !(x.StepForetold > 0) || !(x.ZoneForetold > 0) || x.Step != largest(read.StepsMM) {
			t.Errorf("%+v, at first %v was read", x, read.StepsMM)
		}
		if x.Zone > 0 {
			judged++
		}
	}
	if judged == 0 {
		t.Error("no set was judged")
	}
	again, err := l.all(t.Context(), own.Ledger, own.Files)
	if err != nil || len(again) != len(list) {
		t.Errorf("%d lessons the second time, %v", len(again), err)
	}
	text := pagetest.Text(own.SignIn(t, mux, "visitor-1").Get(t, onLearned).Body.String())
	for _, must := range []string{list[0].Set, "The next proposals keep"} {
		if !strings.Contains(text, must) {
			t.Errorf("the page does not say %q: %.600s", must, text)
		}
	}
}

// firstLayUp is the first lay-up of a set, as its history has it.
func firstLayUp(t *testing.T, set string) *book.LayUp {
	t.Helper()
	page, err := own.Ledger.History(t.Context(), book.Ref{Kind: book.KindSet, ID: set}, "", 100)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range page.Items {
		if p.Act == "lay-up" {
			act, err := book.Decode(p.Act, p.Body)
			if err != nil {
				t.Fatal(err)
			}
			return act.(*book.LayUp)
		}
	}
	t.Fatalf("%s was never laid up", set)
	return nil
}
