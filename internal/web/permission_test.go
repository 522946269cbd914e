package web_test

import (
	"context"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/web/pagetest"
)

// What a request comes to.
const (
	shown   = "shown"   // a page, or what it was asked for
	door    = "door"    // sent to sign in
	unknown = "unknown" // a form of nobody who is signed in
	barred  = "refused" // signed in, and may not
	done    = "done"    // the form was taken
	absent  = "absent"  // there is no such thing
	again   = "again"   // the form comes back with what is wrong
)

// who asks, in the order of the table's columns. The machine's token has the role of an inspector.
var who = []string{"", "visitor-1", "bench-1", "inspector-1", "lead", "machine"}

// permission is one line of the table: a route, a sensible address of it, the form that is sent, and what it comes to for nobody, a
// visitor, a hand, an inspector, the lead, and a machine.
type permission struct {
	route, path string
	form        func() url.Values // nil: a page is asked for
	outcomes    [6]string
}

// Who may do what, in a few words.
var (
	anybodySees   = [6]string{shown, shown, shown, shown, shown, shown}
	visitorSees   = [6]string{door, shown, shown, shown, shown, shown}
	handSees      = [6]string{door, barred, shown, shown, shown, shown}
	inspectorSees = [6]string{door, barred, barred, shown, shown, shown}

	anybodyDoes   = [6]string{done, done, done, done, done, done}
	handDoes      = [6]string{unknown, barred, done, done, done, done}
	inspectorDoes = [6]string{unknown, barred, barred, done, done, done}
	onlyPersons   = [6]string{unknown, done, done, done, done, barred}
	certifies     = [6]string{unknown, barred, barred, done, done, barred}
	nobodyHas     = [6]string{absent, absent, absent, absent, absent, absent}
	visitorAsks   = [6]string{unknown, again, again, again, again, again}
	onlyLead      = [6]string{unknown, barred, barred, barred, done, barred}
)

func send(pairs ...string) func() url.Values {
	return func() url.Values { return fields(append([]string{"_entry", entry()}, pairs...)...) }
}

// permissions is the whole table.
var permissions = []permission{
	// the floor
	{"GET /{$}", "/", nil, visitorSees},
	{"GET /station/{station}", "/station/surfacing", nil, visitorSees},
	{"GET /scan", "/scan?code=", nil, [6]string{door, done, done, done, done, done}},
	{"GET /find", "/find?q=QH-10", nil, visitorSees},
	{"GET /lost", "/lost?station=surfacing", nil, visitorSees},
	{"GET /thing/{kind}/{number}", "/thing/slab/L1-01-A", nil, visitorSees},
	{"GET /do/{act}", "/do/weigh", nil, handSees},
	{"POST /do/{act}", "/do/weigh", send("thing", "piece:QH-1001", "scale", "QH-C9", "mass_kg", "94"), [6]string{unknown, barred, again, again, again, again}},
	{"GET /conflicts", "/conflicts", nil, visitorSees},
	{"GET /unsent", "/unsent", nil, visitorSees},
	{"GET /live", "/live", nil, visitorSees},
	{"GET /specimen", "/specimen", nil, visitorSees},

	// the stone
	{"GET /piece/{number}", "/piece/QH-1002", nil, visitorSees},
	{"GET /piece/{number}/relief", "/piece/QH-1002/relief", nil, visitorSees},
	{"GET /piece/{number}/map", "/piece/QH-1002/map", nil, visitorSees},
	{"GET /piece/{number}/map.svg", "/piece/QH-1002/map.svg", nil, visitorSees},
	{"GET /piece/{number}/profile", "/piece/QH-1002/profile?from=-400,0&to=400,0", nil, visitorSees},
	{"GET /set/{number}", "/set/QH-S105", nil, visitorSees},
	{"GET /set/{number}/relief", "/set/QH-S105/relief", nil, visitorSees},
	{"GET /set/{number}/frame", "/set/QH-S105/frame", nil, visitorSees},
	{"GET /set/{number}/frame.svg", "/set/QH-S105/frame.svg", nil, visitorSees},
	{"GET /set/{number}/map", "/set/QH-S105/map", nil, visitorSees},
	{"GET /set/{number}/map.svg", "/set/QH-S105/map.svg", nil, visitorSees},
	{"GET /trace/{kind}/{number}", "/trace/set/QH-S105", nil, visitorSees},
	{"GET /affected/{kind}/{number}", "/affected/layer/QH-L1", nil, visitorSees},

	// the bench
	{"GET /bench", "/bench", nil, visitorSees},
	{"GET /bench/{number}", "/bench/QH-1053", nil, handSees},
	{"POST /bench/{number}/so-far", "/bench/QH-1053/so-far", send("json", `{"points":[]}`), [6]string{unknown, barred, shown, shown, shown, shown}},
	{"POST /bench/{number}", "/bench/QH-1053", send("file", readings("QH-1053"), "face", "top", "instrument", "QH-D2", "bench", "QH-B1", "support", "bench"), handDoes},
	{"GET /lay-up", "/lay-up?set=QH-S990&pieces=QH-1033,QH-1037,QH-1015", nil, handSees},
	{"POST /lay-up", "/lay-up", func() url.Values { return layUp("set", "QH-S112", "pieces", "QH-1033,QH-1037,QH-1015") }, handDoes},
	{"GET /set/{number}/lay-up", "/set/QH-S112/lay-up", nil, handSees},
	{"POST /set/{number}/lay-up", "/set/QH-S112/lay-up", func() url.Values { return layUp() }, handDoes},
	{"GET /set/{number}/judge", "/set/QH-S106/judge", nil, inspectorSees},
	{"POST /set/{number}/judge", "/set/QH-S106/judge", send(), inspectorDoes},
	{"GET /set/{number}/certify", "/set/QH-S106/certify", nil, inspectorSees},
	{"POST /set/{number}/certify", "/set/QH-S106/certify", func() url.Values {
		return fields("_entry", entry(), "number", "QH-T"+entry()[16:], "code", "QH-S106", "held", "yes", "_passphrase", pagetest.Secret)
	}, certifies},

	// the racks
	{"GET /racks", "/racks", nil, visitorSees},
	{"POST /racks", "/racks", func() url.Values {
		return fields("set", entry()+"|QH-1042,QH-1060,QH-1004|0.02|0.2||QH-1060", "back", "/racks")
	}, handDoes},
	{"GET /racks/learned", "/racks/learned", nil, visitorSees},
	{"GET /racks/list", "/racks/list", nil, visitorSees},
	{"GET /racks/list/example", "/racks/list/example", nil, visitorSees},
	{"POST /racks/list", "/racks/list", send("stock", "no list"), visitorAsks},

	// packing
	{"GET /packing", "/packing?code=QH-1035", nil, visitorSees},
	{"GET /packing/example", "/packing/example", nil, visitorSees},
	{"GET /packing/swapped", "/packing/swapped", nil, visitorSees},
	{"GET /packing/mirrored", "/packing/mirrored", nil, visitorSees},
	{"GET /packing/unread", "/packing/unread", nil, visitorSees},
	{"GET /set/{number}/labels", "/set/QH-S105/labels", nil, visitorSees},
	{"GET /set/{number}/labels.pdf", "/set/QH-S105/labels.pdf", nil, visitorSees},

	// gluing
	{"GET /lining", "/lining", nil, visitorSees},
	{"GET /lining/example", "/lining/example", nil, visitorSees},
	{"POST /lining", "/lining", send("list", "no list"), visitorAsks},
	{"GET /lining/coupon", "/lining/coupon", nil, visitorSees},
	{"GET /lining/coupon/example", "/lining/coupon/example", nil, visitorSees},
	{"POST /lining/coupon", "/lining/coupon", send("list", "no list"), visitorAsks},
	// drying
	{"GET /season", "/season", nil, visitorSees},
	{"GET /season/example", "/season/example", nil, visitorSees},
	{"GET /season/layer", "/season/layer", nil, visitorSees},
	{"POST /season", "/season", send("list", "no list"), visitorAsks},
	// drilling
	{"GET /drilling", "/drilling", nil, visitorSees},
	{"GET /drilling/holes", "/drilling/holes", nil, visitorSees},
	{"GET /drilling/holes/example", "/drilling/holes/example", nil, visitorSees},
	{"GET /drilling/holes/edges", "/drilling/holes/edges", nil, visitorSees},
	{"POST /drilling/holes", "/drilling/holes", send("spec", "no file"), visitorAsks},
	{"GET /drilling/pattern", "/drilling/pattern", nil, visitorSees},
	{"GET /drilling/pattern/example", "/drilling/pattern/example", nil, visitorSees},
	{"GET /drilling/pattern/below", "/drilling/pattern/below", nil, visitorSees},
	{"GET /drilling/pattern/five", "/drilling/pattern/five", nil, visitorSees},
	{"POST /drilling/pattern", "/drilling/pattern", send("spec", "no file"), visitorAsks},
	{"GET /drilling/compare", "/drilling/compare", nil, visitorSees},
	{"GET /drilling/compare/example", "/drilling/compare/example", nil, visitorSees},
	{"POST /drilling/compare", "/drilling/compare", send("before", "no file"), visitorAsks},
	// cutting
	{"GET /cutting", "/cutting", nil, visitorSees},
	{"GET /cutting/layer", "/cutting/layer", nil, visitorSees},
	{"GET /cutting/layer/example", "/cutting/layer/example", nil, visitorSees},
	{"GET /cutting/layer/drawing", "/cutting/layer/drawing", nil, visitorSees},
	{"POST /cutting/layer", "/cutting/layer", send("survey", "no list"), visitorAsks},
	{"GET /cutting/recovery", "/cutting/recovery", nil, visitorSees},
	{"GET /cutting/recovery/example", "/cutting/recovery/example", nil, visitorSees},
	{"GET /cutting/recovery/lifts", "/cutting/recovery/lifts", nil, visitorSees},
	{"POST /cutting/recovery", "/cutting/recovery", send("list", "no list"), visitorAsks},
	{"GET /cutting/leaves", "/cutting/leaves", nil, visitorSees},
	{"GET /cutting/leaves/example", "/cutting/leaves/example", nil, visitorSees},
	{"GET /cutting/leaves/cleaned", "/cutting/leaves/cleaned", nil, visitorSees},
	{"POST /cutting/leaves", "/cutting/leaves", send("block", "no list"), visitorAsks},
	{"GET /cutting/marking-out", "/cutting/marking-out", nil, visitorSees},
	{"GET /cutting/marking-out/example", "/cutting/marking-out/example", nil, visitorSees},
	{"GET /cutting/marking-out/photo", "/cutting/marking-out/photo", nil, visitorSees},
	{"GET /cutting/marking-out/tape", "/cutting/marking-out/tape", nil, visitorSees},
	{"POST /cutting/marking-out", "/cutting/marking-out", send("slab", "no list"), visitorAsks},
	// surfacing
	{"GET /surfacing", "/surfacing", nil, visitorSees},
	{"GET /surfacing/cleanup", "/surfacing/cleanup", nil, visitorSees},
	{"GET /surfacing/cleanup/example", "/surfacing/cleanup/example", nil, visitorSees},
	{"GET /surfacing/cleanup/thin", "/surfacing/cleanup/thin", nil, visitorSees},
	{"POST /surfacing/cleanup", "/surfacing/cleanup", send("top", "no list"), visitorAsks},
	{"GET /surfacing/cleanup/set", "/surfacing/cleanup/set", nil, visitorSees},
	{"GET /surfacing/cleanup/set/example", "/surfacing/cleanup/set/example", nil, visitorSees},
	{"POST /surfacing/cleanup/set", "/surfacing/cleanup/set", send("head-top", "no list"), visitorAsks},
	{"GET /surfacing/cleanup/rough", "/surfacing/cleanup/rough", nil, visitorSees},
	{"GET /surfacing/cleanup/rough/example", "/surfacing/cleanup/rough/example", nil, visitorSees},
	{"POST /surfacing/cleanup/rough", "/surfacing/cleanup/rough", send("list", "no list"), visitorAsks},
	{"GET /surfacing/passes", "/surfacing/passes", nil, visitorSees},
	{"GET /surfacing/passes/example", "/surfacing/passes/example", nil, visitorSees},
	{"GET /surfacing/passes/tight", "/surfacing/passes/tight", nil, visitorSees},
	{"POST /surfacing/passes", "/surfacing/passes", send("machine", "no file"), visitorAsks},
	{"GET /surfacing/worked", "/surfacing/worked", nil, visitorSees},
	{"GET /surfacing/worked/example", "/surfacing/worked/example", nil, visitorSees},
	{"GET /surfacing/worked/maps", "/surfacing/worked/maps", nil, visitorSees},
	{"POST /surfacing/worked", "/surfacing/worked", send("before", "no list"), visitorAsks},
	{"GET /surfacing/disc", "/surfacing/disc", nil, visitorSees},
	{"GET /surfacing/disc/example", "/surfacing/disc/example", nil, visitorSees},
	{"GET /surfacing/disc/proud", "/surfacing/disc/proud", nil, visitorSees},
	{"GET /surfacing/disc/new", "/surfacing/disc/new", nil, visitorSees},
	{"POST /surfacing/disc", "/surfacing/disc", send("list", "no list"), visitorAsks},
	{"GET /surfacing/wear", "/surfacing/wear", nil, visitorSees},
	{"GET /surfacing/wear/example", "/surfacing/wear/example", nil, visitorSees},
	{"POST /surfacing/wear", "/surfacing/wear", send("list", "no list"), visitorAsks},
	{"GET /surfacing/toolmarks", "/surfacing/toolmarks", nil, visitorSees},
	{"GET /surfacing/toolmarks/example", "/surfacing/toolmarks/example", nil, visitorSees},
	{"GET /surfacing/toolmarks/since", "/surfacing/toolmarks/since", nil, visitorSees},
	{"POST /surfacing/toolmarks", "/surfacing/toolmarks", send("maps", "no list"), visitorAsks},
	// proof
	{"GET /levels", "/levels", nil, visitorSees},
	{"GET /levels/example", "/levels/example", nil, visitorSees},
	{"POST /levels", "/levels", send("list", "no list"), visitorAsks},
	{"GET /feelers", "/feelers", nil, visitorSees},
	{"GET /feelers/example", "/feelers/example", nil, visitorSees},
	{"POST /feelers", "/feelers", send("list", "no list"), visitorAsks},
	{"GET /feelers/table", "/feelers/table", nil, visitorSees},
	{"POST /feelers/table", "/feelers/table", send("block", "high"), visitorAsks},
	{"GET /piece/{number}/judge-face", "/piece/QH-1002/judge-face", nil, visitorSees},
	{"GET /piece/{number}/judge-face.json", "/piece/QH-1002/judge-face.json", nil, visitorSees},

	{"GET /sag", "/sag", nil, visitorSees},
	{"GET /sag.svg", "/sag.svg", nil, visitorSees},
	// gauging
	{"GET /gauging", "/gauging", nil, visitorSees},
	{"GET /gauging/study", "/gauging/study", nil, visitorSees},
	{"GET /gauging/study/example", "/gauging/study/example", nil, visitorSees},
	{"POST /gauging/study", "/gauging/study", send("list", "no list"), visitorAsks},
	{"GET /gauging/agreement", "/gauging/agreement", nil, visitorSees},
	{"GET /gauging/agreement/example", "/gauging/agreement/example", nil, visitorSees},
	{"POST /gauging/agreement", "/gauging/agreement", send("list", "no list"), visitorAsks},
	{"GET /gauging/worth", "/gauging/worth", nil, visitorSees},
	{"GET /gauging/worth/example", "/gauging/worth/example", nil, visitorSees},
	{"POST /gauging/worth", "/gauging/worth", send("list", "no list"), visitorAsks},
	{"GET /gauging/budget", "/gauging/budget", nil, visitorSees},
	{"GET /gauging/budget/example", "/gauging/budget/example", nil, visitorSees},
	{"POST /gauging/budget", "/gauging/budget", send("list", "no list"), visitorAsks},
	{"GET /gauging/due", "/gauging/due", nil, visitorSees},
	{"GET /gauging/due/example", "/gauging/due/example", nil, visitorSees},
	{"POST /gauging/due", "/gauging/due", send("list", "no list"), visitorAsks},
	{"GET /gauging/reversal", "/gauging/reversal", nil, visitorSees},
	{"GET /gauging/reversal/example", "/gauging/reversal/example", nil, visitorSees},
	{"POST /gauging/reversal", "/gauging/reversal", send("list", "no list"), visitorAsks},
	{"GET /gauging/bench", "/gauging/bench", nil, visitorSees},
	{"GET /gauging/bench/example", "/gauging/bench/example", nil, visitorSees},
	{"POST /gauging/bench", "/gauging/bench", send("list", "no list"), visitorAsks},

	// the office
	{"GET /sign-in", "/sign-in", nil, anybodySees},
	{"POST /sign-in", "/sign-in", send("person", "quarry-1", "passphrase", pagetest.Secret), anybodyDoes},
	{"POST /switch", "/switch", send("person", "quarry-1", "pin", "4711"), [6]string{again, again, again, again, again, again}},
	{"POST /sign-out", "/sign-out", send(), onlyPersons},
	{"GET /me", "/me", nil, visitorSees},
	{"POST /me/pin", "/me/pin", send("passphrase", pagetest.Secret, "pin", "4917"), onlyPersons},
	{"POST /me/passphrase", "/me/passphrase", send("passphrase", pagetest.Secret, "new", pagetest.Secret), onlyPersons},
	{"GET /people", "/people", nil, visitorSees},
	{"POST /people/passphrase", "/people/passphrase", send("person", "saw-2", "passphrase", pagetest.Secret), [6]string{unknown, barred, barred, barred, shown, barred}},
	{"GET /instruments", "/instruments", nil, visitorSees},
	{"GET /instrument/{number}", "/instrument/QH-D1", nil, visitorSees},
	{"GET /orders", "/orders", nil, visitorSees},
	{"GET /order/{number}", "/order/QH-O2", nil, visitorSees},
	{"GET /mill", "/mill", nil, visitorSees},
	{"POST /mill", "/mill", send("supports", "bench"), onlyLead},
	{"GET /trust", "/trust", nil, anybodySees},
	{"GET /trust/root.crt", "/trust/root.crt", nil, nobodyHas}, // this mill has made none
	{"GET /certificate/{number}", "/certificate/QH-C105", nil, anybodySees},
	{"GET /certificate/{number}/json", "/certificate/QH-C105/json", nil, anybodySees},
	{"GET /certificate/{number}/pdf", "/certificate/QH-C105/pdf", nil, anybodySees},
	{"POST /reader", "/reader", send("language", "it", "units", "mm", "back", "/find"), anybodyDoes},
}

// beside are the addresses that are no page's own route: what everybody's browser fetches, and the specimens.
var beside = []permission{
	{"", "/manifest.webmanifest", nil, anybodySees},
	{"", "/specimen/full/piece/QH-1002", nil, visitorSees},
	{"", "/specimen/one/", nil, visitorSees},
	{"", "/specimen/empty/mill", nil, visitorSees},
	{"", "/specimen/empty/do/weigh", nil, handSees},
	{"", "/specimen/full/set/QH-S106/judge", nil, inspectorSees},
	{"", "/specimen/full/sign-in", nil, anybodySees},
}

// The walls of the pages, in front of one mill.
func TestTheWallsOfThePages(t *testing.T) {
	oneAfterTheOther(t)
	s := newStory(t, nil)
	for _, part := range []struct {
		name string
		hold func(*testing.T, *story)
	}{
		{"no other site writes", noOtherSiteWrites}, {"no address leads out", noAddressLeadsOut}, {"what pages load", whatPagesLoad}, {"forms with files", everyFormWithAFileIsKnown},
		{"files by content", filesAreTakenByTheirContent}, {"cookies over TLS", cookiesAreSecureOverTLS},
		{"nothing in the clear", nothingInTheClear}, {"who remembers TLS", whoRemembersTLS}, {"the page about trust", thePageAboutTrust}, {"faults", faultsHaveHeaders}, {"every page and every role", everyPageAndEveryRole},
	} {
		t.Run(part.name, func(t *testing.T) { part.hold(t, s) })
	}
}

// Every route of the pages is asked by nobody, by a person of each role, and by a machine, and comes to what the table says. A route
// that is not in the table fails, and so does a line of the table without a route.
func everyPageAndEveryRole(t *testing.T, s *story) {
	listed, there := map[string]bool{}, map[string]bool{}
	for _, p := range permissions {
		if listed[p.route] {
			t.Errorf("%s stands twice in the table", p.route)
		}
		listed[p.route] = true
	}
	for _, r := range s.frame.Routes() {
		name := r.Method + " " + r.Path
		if there[name] = true; !listed[name] {
			t.Errorf("%s is not in the table: say who may", name)
		}
		if _, data := kinds[r.Path]; data != r.Data {
			t.Errorf("%s: the route says that it answers with data: %v; the table of kinds %v", name, r.Data, data)
		}
	}
	cookies := 0
	machine := s.Machine(t, s.handler, "scanner-1", book.Inspector)
	lead := s.SignIn(t, s.handler, "lead")
	s.computed(t, lead, "/set/QH-S106/judge")
	for _, p := range append(permissions, beside...) {
		if p.route != "" && !there[p.route] {
			t.Errorf("%s is in the table, and there is no such route", p.route)
		}
		for i, person := range who {
			b := machine
			if person != "machine" {
				b = s.SignIn(t, s.handler, person)
			}
			w := p.ask(t, b)
			cookies += holdToWalls(t, p, w)
			if got := outcome(w, p.form != nil); got != p.outcomes[i] {
				t.Errorf("%s %s as %q is %s (%d %s), and the table says %s: %.300s", p.route, p.path, person, got, w.Code, w.Header().Get("Location"), p.outcomes[i], pagetest.Text(mainOf(w)))
			}
		}
	}
	if cookies < 10 {
		t.Errorf("%d cookies were seen", cookies)
	}
}

// ask asks for a page, or sends the form; one with a field named json or file is sent as that.
func (p permission) ask(t *testing.T, b *pagetest.Browser) *httptest.ResponseRecorder {
	t.Helper()
	if p.form == nil && p.path == "/live" { // it goes on until whoever listens has gone
		ctx, stop := context.WithTimeout(t.Context(), 100*time.Millisecond)
		defer stop()
		until := *b
		until.Handler = http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) { b.Handler.ServeHTTP(w, q.WithContext(ctx)) })
		return until.Get(t, p.path)
	}
	if p.form == nil {
		return b.Get(t, p.path)
	}
	form := p.form()
	if text := form.Get("json"); text != "" {
		return b.Do(t, http.MethodPost, p.path, "application/json", strings.NewReader(text))
	}
	if text := form.Get("file"); text != "" {
		form.Del("file")
		return b.SendFile(t, p.path, form, "readings.csv", []byte(text))
	}
	return b.Send(t, p.path, form)
}

// outcome is what an answer comes to.
func outcome(w *httptest.ResponseRecorder, form bool) string {
	told := strings.Contains(w.Body.String(), `class="told bad"`)
	switch to := w.Header().Get("Location"); {
	case w.Code == http.StatusSeeOther && strings.HasPrefix(to, "/sign-in?next="):
		return door
	case w.Code == http.StatusSeeOther:
		return done
	case w.Code == http.StatusUnauthorized && told:
		return unknown
	case form && w.Code/100 == 4 && told && strings.Contains(w.Body.String(), `<form class="act`):
		return again
	case w.Code == http.StatusForbidden && told:
		return barred
	case w.Code == http.StatusNotFound && told:
		return absent
	case w.Code == http.StatusOK:
		return shown
	}
	return "something else"
}

// mainOf is the part of a page within its frame.
func mainOf(w *httptest.ResponseRecorder) string {
	_, main, ok := strings.Cut(w.Body.String(), "<main")
	if !ok {
		return w.Body.String()
	}
	return main
}
