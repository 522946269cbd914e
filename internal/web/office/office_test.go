package office_test

import (
	"context"
	"fmt"
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

	"slatewright/certificate"
	"slatewright/internal/book"
	"slatewright/internal/tongue"
	"slatewright/internal/web/office"
	"slatewright/internal/web/pagetest"
)

var (
	own *pagetest.Mill
	mux = http.NewServeMux()
)

func TestMain(m *testing.M) {
	pagetest.Main(m, func(ctx context.Context, mill *pagetest.Mill) error {
		own = mill
		frame, err := mill.Frame()
		if err != nil {
			return err
		}
		queue, err := mill.Follow(ctx)
		if err != nil {
			return err
		}
		return office.Add(frame, mux, queue, func(string, certificate.Certificate, tongue.Words) ([]byte, error) {
			return []byte("%PDF-1.7 a print"), nil
		}, office.Trust{})
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
		t.Errorf("%d, want %d: %.300s", w.Code, code, text)
	}
	for _, word := range words {
		if !strings.Contains(text, word) && !strings.Contains(w.Body.String(), word) {
			t.Errorf("it does not say %q: %.500s", word, text)
		}
	}
}

// led holds an answer against the address that it leads to.
func led(t *testing.T, w *httptest.ResponseRecorder, to string) {
	t.Helper()
	if got := w.Header().Get("Location"); w.Code != http.StatusSeeOther || got != to {
		t.Errorf("%d, to %q, want %q: %.300s", w.Code, got, to, pagetest.Text(w.Body.String()))
	}
}

var shownPages = []string{"/sign-in", "/sign-in?next=/piece/QH-1", "/me", "/me?kept=pin", "/people", "/instruments", "/instrument/QH-D1", "/instrument/QH-B1", "/orders", "/order/QH-O2", "/mill", "/certificate/QH-C105", "/certificate/QH-C101"}

func TestEveryPageInEveryLanguage(t *testing.T) {
	for _, person := range []string{"lead", "visitor-1"} {
		b := own.SignIn(t, mux, person)
		for _, path := range shownPages {
			said := map[string]string{}
			for _, l := range tongue.Languages() {
				for _, units := range []string{"inch", "mm"} {
					b.Reads(person, string(l), units)
					w := b.Get(t, path)
					page := w.Body.String()
					if w.Code != http.StatusOK || !strings.Contains(page, `lang="`+string(l)) {
						t.Errorf("%s in %s: %d", path, l, w.Code)
					}
					for _, no := range []string{"⟨", " style=", "<script", "onclick", "NaN", "%!", "<nil>", "<no value>"} {
						if strings.Contains(page, no) {
							t.Errorf("%s in %s holds %s", path, l, no)
						}
					}
					said[string(l)+units] = pagetest.Text(page)
				}
			}
			for a, one := range said {
				for b, other := range said {
					if a[:2] != b[:2] && one == other {
						t.Errorf("%s says the same in %s and %s", path, a, b)
					}
				}
			}
		}
	}
}

func TestSigningIn(t *testing.T) {
	b := own.SignIn(t, mux, "")
	w := b.Send(t, "/sign-in", form("person", "saw-1", "passphrase", "not that one", "next", "/find"))
	says(t, w, http.StatusForbidden, `value="saw-1"`, `name="next" value="/find"`, "told bad")
	if b.Cookie("slatewright_session") != "" || strings.Contains(w.Body.String(), "not that one") {
		t.Error("a wrong passphrase opens a session, or is shown again")
	}
	for next, want := range map[string]string{"/find?q=a": "/find?q=a", "//elsewhere.example/": "/", "https://elsewhere.example/": "/", `/\elsewhere.example`: "/", "": "/"} {
		led(t, b.Send(t, "/sign-in", form("person", " saw-1 ", "passphrase", pagetest.Secret, "next", next)), want)
	}
	if b.Cookie("slatewright_session") == "" || len(b.Cookie("slatewright_tablet")) < 20 {
		t.Error("no session, or no tablet")
	}
	says(t, b.Get(t, "/me"), http.StatusOK, "first hand at the saw")
	old := b.Cookie("slatewright_session")
	led(t, b.Send(t, "/sign-out", form()), "/sign-in")
	b.Keep("slatewright_session", old)
	led(t, b.Get(t, "/me"), "/sign-in?next=%2Fme")
	says(t, b.Send(t, "/me/pin", form("pin", "4917")), http.StatusUnauthorized, "told bad")
}

// Too many wrong passphrases, and even the right one has to wait: where it is tried from, and on whose name.
func TestTriesAtAPassphraseAreLimited(t *testing.T) {
	b := own.SignIn(t, mux, "")
	b.From = "192.0.2.66"
	for i := range 6 {
		says(t, b.Send(t, "/sign-in", form("person", "saw-2", "passphrase", fmt.Sprint("guess number ", i))), map[bool]int{true: http.StatusForbidden, false: http.StatusTooManyRequests}[i < 5], "told bad")
	}
	says(t, b.Send(t, "/sign-in", form("person", "saw-2", "passphrase", pagetest.Secret)), http.StatusTooManyRequests, "told bad")
	own.Later(time.Minute)
	led(t, b.Send(t, "/sign-in", form("person", "saw-2", "passphrase", pagetest.Secret)), "/")
}

func TestAPINServesOnlyWhereItsPersonSignedIn(t *testing.T) {
	b := own.SignIn(t, mux, "drilling-1")
	for _, weak := range []string{"1234", "1111", "12", "123456789", "abcd"} {
		says(t, b.Send(t, "/me/pin", form("passphrase", pagetest.Secret, "pin", weak)), http.StatusUnprocessableEntity, "told bad", "use 4 to 8 digits")
	}
	says(t, b.Send(t, "/me/pin", form("passphrase", "not that one at all", "pin", "4917")), http.StatusForbidden, "told bad")
	led(t, b.Send(t, "/me/pin", form("passphrase", pagetest.Secret, "pin", "4917")), "/me?kept=pin")
	says(t, b.Get(t, "/me?kept=pin"), http.StatusOK, "It is kept.")
	led(t, b.Send(t, "/sign-out", form()), "/sign-in")
	says(t, b.Get(t, "/sign-in"), http.StatusOK, `action="/switch"`)
	says(t, b.Send(t, "/switch", form("person", "drilling-1", "pin", "4918")), http.StatusForbidden, "told bad", `value="drilling-1"`)
	led(t, b.Send(t, "/switch", form("person", "drilling-1", "pin", "4917", "next", "/find")), "/find")
	page := b.Get(t, "/me")
	says(t, page, http.StatusOK, "signed in with a PIN: cannot certify")
	if strings.Contains(page.Body.String(), `action="/me/p`) {
		t.Error("a session by PIN is offered what only the passphrase opens")
	}
	says(t, b.Send(t, "/me/passphrase", form("passphrase", pagetest.Secret, "new", "another passphrase of mine")), http.StatusForbidden, "told bad", "signed in with the passphrase")

	for range 5 {
		says(t, b.Send(t, "/switch", form("person", "drilling-1", "pin", "9999")), http.StatusForbidden, "told bad")
	}
	says(t, b.Send(t, "/switch", form("person", "drilling-1", "pin", "4917")), http.StatusForbidden, "needs the passphrase")

	stranger := own.SignIn(t, mux, "")
	if strings.Contains(stranger.Get(t, "/sign-in").Body.String(), `action="/switch"`) {
		t.Error("a tablet that nobody signed in on offers the PIN")
	}
	says(t, stranger.Send(t, "/switch", form("person", "drilling-1", "pin", "4917")), http.StatusForbidden, "needs the passphrase")
}

// A new passphrase must be a good one, for this person in this mill, and shuts out whoever knew the old one.
func TestAPassphraseOfOnesOwn(t *testing.T) {
	b := own.SignIn(t, mux, "lining-1")
	elsewhere := own.SignIn(t, mux, "")
	led(t, elsewhere.Send(t, "/sign-in", form("person", "lining-1", "passphrase", pagetest.Secret)), "/")
	for weak, why := range map[string]string{"short": "too short", "aaaaaaaaaaaaaaaaaaaa": "same few characters", "quern-hollow quern-hollow": "little more than the name", "Quern Hollow 1 2 3 4 5": "little more than the name",
		"lining-1 lining-1 x": "little more than the name"} {
		w := b.Send(t, "/me/passphrase", form("passphrase", pagetest.Secret, "new", weak))
		says(t, w, http.StatusUnprocessableEntity, "told bad", why)
		if strings.Contains(w.Body.String(), `"`+weak+`"`) {
			t.Errorf("%q is shown again", weak)
		}
	}
	says(t, b.Get(t, "/me"), http.StatusOK, "hand at the lining")
	led(t, b.Send(t, "/me/passphrase", form("passphrase", pagetest.Secret, "new", "thirty drawers of rough bits")), "/me?kept=passphrase")
	led(t, elsewhere.Get(t, "/me"), "/sign-in?next=%2Fme")
	led(t, b.Get(t, "/me"), "/sign-in?next=%2Fme")
	says(t, b.Send(t, "/sign-in", form("person", "lining-1", "passphrase", pagetest.Secret)), http.StatusForbidden, "told bad")
	led(t, b.Send(t, "/sign-in", form("person", "lining-1", "passphrase", "thirty drawers of rough bits")), "/")
}

var once = regexp.MustCompile(`<p class="figure">([A-Z0-9]{20,})</p>`)

// Only the lead gives somebody a new passphrase, against the lead's own, and it is shown once.
func TestALeadResetsAPassphrase(t *testing.T) {
	lead, whose := own.SignIn(t, mux, "lead"), own.SignIn(t, mux, "quarry-2")
	inspector := own.SignIn(t, mux, "inspector-2")
	if strings.Contains(inspector.Get(t, "/people").Body.String(), "/people/passphrase") {
		t.Error("an inspector is offered what only the lead may do")
	}
	says(t, inspector.Send(t, "/people/passphrase", form("person", "quarry-2", "passphrase", pagetest.Secret)), http.StatusForbidden, "Not for this role")
	says(t, lead.Send(t, "/people/passphrase", form("person", "quarry-2", "passphrase", "not that one at all")), http.StatusForbidden, "told bad", `name="person"`)
	says(t, lead.Send(t, "/people/passphrase", form("person", "quarry-9", "passphrase", pagetest.Secret)), http.StatusNotFound, "told bad", `name="person"`)
	says(t, whose.Get(t, "/me"), http.StatusOK)
	page := lead.Send(t, "/people/passphrase", form("person", "quarry-2", "passphrase", pagetest.Secret))
	found := once.FindStringSubmatch(page.Body.String())
	if found == nil {
		t.Fatalf("%d %s", page.Code, pagetest.Text(page.Body.String()))
	}
	led(t, whose.Get(t, "/me"), "/sign-in?next=%2Fme")
	led(t, whose.Send(t, "/sign-in", form("person", "quarry-2", "passphrase", found[1])), "/")
	if again := lead.Get(t, "/people"); strings.Contains(again.Body.String(), found[1]) {
		t.Error("it is shown again")
	}
}

func TestInstrumentsAndOrders(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	says(t, b.Get(t, "/instruments"), http.StatusOK, "QH-D1", "QH-B1", "The calibration has ended.")
	says(t, b.Get(t, "/instrument/QH-D1"), http.StatusOK, "QH-D1")
	says(t, b.Get(t, "/instrument/QH-B1"), http.StatusOK, "QH-B1")
	says(t, b.Get(t, "/instrument/none"), http.StatusNotFound, "told bad")
	says(t, b.Get(t, "/orders"), http.StatusOK, "QH-O1", "QH-O4")
	says(t, b.Get(t, "/order/QH-O2"), http.StatusOK, "QH-S102", "QH-S103")
	says(t, b.Get(t, "/order/QH-O1"), http.StatusOK, "What can be said to the buyer?", "in the queue") // what waits for a decision stands on top
	says(t, b.Get(t, "/order/none"), http.StatusNotFound, "told bad")
}

// The mill's answers and its route: what is wrong is said, and what was typed stays.
func TestTheMillSettles(t *testing.T) {
	lead, visitor := own.SignIn(t, mux, "lead"), own.SignIn(t, mux, "visitor-1")
	if strings.Contains(visitor.Get(t, "/mill").Body.String(), `action="/mill"`) {
		t.Error("a visitor is offered to settle")
	}
	checked := func(key, word string) string { return `name="` + key + `" value="` + word + `" checked` }
	says(t, lead.Get(t, "/mill"), http.StatusOK, checked("supports", "bench"), checked("lining-layout", "full"))
	led(t, lead.Send(t, "/mill", form("supports", "lines")), "/mill?did=settle")
	says(t, lead.Get(t, "/mill"), http.StatusOK, checked("supports", "lines"), checked("lining-layout", "full"))
	says(t, lead.Send(t, "/mill", form("supports", "clouds", "lining-layout", "strips")), http.StatusUnprocessableEntity, "told bad", "answers.supports", checked("lining-layout", "strips"))
	says(t, lead.Send(t, "/mill", form("route", `{"steps":[`)), http.StatusBadRequest, "told bad", `{&#34;steps&#34;:[</textarea>`)
	says(t, lead.Send(t, "/mill", form("route", `{"steps":[{"act":"dance","from":["saw"]}],"holds":[]}`)), http.StatusUnprocessableEntity, "told bad", `&#34;act&#34;:&#34;dance&#34;`)
	says(t, lead.Get(t, "/mill"), http.StatusOK, checked("supports", "lines"), checked("lining-layout", "full"))
	if strings.Contains(lead.Get(t, "/mill").Body.String(), "dance") {
		t.Error("a refused route stands in the book")
	}
	led(t, lead.Send(t, "/mill", form("supports", "bench")), "/mill?did=settle")
}

// holds waits until a certificate was checked.
func holds(t *testing.T, b *pagetest.Browser, path string) *httptest.ResponseRecorder {
	t.Helper()
	for range 1000 {
		w := b.Get(t, path)
		if w.Header().Get("Refresh") == "" {
			return w
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Fatal("it is not checked after ten seconds")
	return nil
}

// Anybody may check a certificate; what they take along says the same by itself.
func TestAPublicCertificate(t *testing.T) {
	b := own.SignIn(t, mux, "")
	says(t, holds(t, b, "/certificate/QH-C105"), http.StatusOK, "The certificate holds", "QH-S105", "QH-1006", "conforms")
	w := b.Get(t, "/certificate/QH-C105/json")
	says(t, w, http.StatusOK)
	report, err := certificate.Check{Program: "a test"}.Verify("QH-C105.json", w.Body.Bytes())
	if err != nil || !report.OK() || !strings.Contains(w.Header().Get("Content-Disposition"), `attachment; filename="QH-C105.json"`) {
		t.Errorf("%+v %v %s", report, err, w.Header())
	}
	w = b.Get(t, "/certificate/QH-C105/pdf")
	if w.Code != http.StatusOK || !strings.HasPrefix(w.Body.String(), "%PDF") || w.Header().Get("Content-Type") != "application/pdf" {
		t.Errorf("%d %s %.20s", w.Code, w.Header(), w.Body)
	}
	says(t, holds(t, b, "/certificate/QH-C101"), http.StatusOK, "Since this certificate the set has changed: took back.")
	if page := b.Get(t, "/certificate/QH-C105").Body.String(); strings.Contains(page, "has changed") || strings.Contains(page, "newer certificate") {
		t.Error("a certificate of a set that is as it was says otherwise")
	}
}

// Numbers cannot be tried out: who asks for too many that are not there has to wait, and hears nothing of those that are.
func TestNumbersOfCertificatesCannotBeTriedOut(t *testing.T) {
	b := own.SignIn(t, mux, "")
	b.From = "192.0.2.99"
	for i := range 21 {
		says(t, b.Get(t, fmt.Sprintf("/certificate/QH-X%d", i)), http.StatusNotFound, "told bad")
	}
	for _, path := range []string{"/certificate/QH-X1", "/certificate/QH-C105", "/certificate/QH-C105/json", "/certificate/QH-C105/pdf"} {
		says(t, b.Get(t, path), http.StatusTooManyRequests, "told bad")
	}
	says(t, own.SignIn(t, mux, "").Get(t, "/certificate/QH-C105"), http.StatusOK)
	known := own.SignIn(t, mux, "visitor-1")
	known.From = b.From
	says(t, known.Get(t, "/certificate/QH-C105"), http.StatusOK)
	own.Later(11 * time.Minute)
	says(t, b.Get(t, "/certificate/QH-C105"), http.StatusOK)
}

// A certificate whose file was changed behind the book says so and shows nothing of it; one that was taken back is not there.
func TestATamperedAndAWithdrawnCertificate(t *testing.T) {
	b := own.SignIn(t, mux, "")
	_, state := thing[*book.CertificateState](t, book.Ref{Kind: book.KindCertificate, ID: "QH-C103"})
	path := find(t, state.Blob)
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(path, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(strings.Replace(string(text), `"conforms"`, `"CONFORMS"`, 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, at := range []string{"", "/json", "/pdf"} {
		w := b.Get(t, "/certificate/QH-C103"+at)
		says(t, w, http.StatusInternalServerError, "told bad", "does NOT hold")
		if strings.Contains(w.Body.String(), "QH-1021") {
			t.Errorf("%s shows what was changed", at)
		}
	}

	says(t, b.Get(t, "/certificate/QH-C106"), http.StatusOK)
	made, _ := thing[*book.SetState](t, book.Ref{Kind: book.KindSet, ID: "QH-S106"})
	var certify string
	history, err := own.Ledger.History(t.Context(), made.Ref, "", 100)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range history.Items {
		if e.Act == "certify" {
			certify = e.ID
		}
	}
	word, body, err := book.Encode(&book.Correct{Entry: certify, Why: "sealed by mistake"})
	if err != nil {
		t.Fatal(err)
	}
	strike := book.Entry{ID: entry(), Site: own.Ledger.Site(), At: own.Now(), Person: "lead", Station: book.Office, Act: word, Body: body}
	if _, err := own.Ledger.Append(t.Context(), book.Submission{Entry: strike, Caller: book.Caller{Person: "lead", Role: book.Lead, Reaffirmed: true}}); err != nil {
		t.Fatal(err)
	}
	says(t, b.Get(t, "/certificate/QH-C106"), http.StatusNotFound, "told bad")
}

// thing reads a thing and its state.
func thing[S any](t *testing.T, r book.Ref) (book.Thing, S) {
	t.Helper()
	got, err := own.Ledger.Thing(t.Context(), r)
	if err != nil {
		t.Fatal(err)
	}
	state, err := book.StateOf(got)
	if err != nil {
		t.Fatal(err)
	}
	return got, state.(S)
}

// find finds the file of a blob.
func find(t *testing.T, digest string) (path string) {
	t.Helper()
	err := filepath.WalkDir(own.Folder, func(at string, e os.DirEntry, err error) error {
		if err == nil && !e.IsDir() && strings.Contains(strings.ReplaceAll(at, string(filepath.Separator), ""), digest) {
			path = at
		}
		return err
	})
	if err != nil || path == "" {
		t.Fatalf("no file of %s: %v", digest, err)
	}
	return path
}
