package web_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/web/api"
)

const anID = "01KB3C5V8Q3Z6J1W2Y4X7T9R0N"

func TestAnActIsHandedInOnce(t *testing.T) {
	m := newMill(t)
	act := weigh(96.4)
	act["id"] = anID
	first := into[api.Receipt](t, m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", act), http.StatusCreated)
	if first.Result != "applied" || first.Entry.ID != anID || first.Entry.Person != "saw-1" || !first.Entry.At.Equal(morning) || first.Entry.Station != "bench" {
		t.Errorf("first answer %+v %+v", first, first.Entry)
	}
	again := into[api.Receipt](t, m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", act), http.StatusOK)
	if again.Result != "repeated" || again.Entry.Seq != first.Entry.Seq {
		t.Errorf("second answer %+v", again)
	}
	if n := len(m.shelf.entries); n != 1 {
		t.Errorf("%d entries in the journal", n)
	}
}

func TestAnActWithoutIDGetsOne(t *testing.T) {
	m := newMill(t)
	got := into[api.Receipt](t, m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", weigh(96.4)), http.StatusCreated)
	if len(got.Entry.ID) != 26 {
		t.Errorf("id %q", got.Entry.ID)
	}
}

func TestAnEntryIDHasOneForm(t *testing.T) {
	m := newMill(t)
	act := weigh(96.4)
	for _, id := range []string{"1", strings.Repeat("8", 26), strings.Repeat("U", 26), "ü" + anID[1:]} {
		act["id"] = id
		refused(t, m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", act), "bad-entry-id")
	}
	act["id"] = strings.ToLower(anID)
	if got := into[api.Receipt](t, m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", act), http.StatusCreated); got.Entry.ID != anID {
		t.Errorf("id %s", got.Entry.ID)
	}
}

// The clock of a sender may be five minutes ahead and no more; what lies before 2000 is no clock.
func TestTimesOfActs(t *testing.T) {
	m := newMill(t)
	for _, c := range []struct {
		at   time.Time
		code string
	}{
		{morning.Add(5 * time.Minute), ""}, {morning.Add(5*time.Minute + time.Millisecond), "clock-ahead"},
		{time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC), ""}, {time.Date(1999, 12, 31, 23, 59, 59, 0, time.UTC), "clock-behind"},
	} {
		act := weigh(96.4)
		act["at"] = c.at
		w := m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", act)
		if c.code != "" {
			refused(t, w, c.code)
		} else if got := into[api.Receipt](t, w, http.StatusCreated); !got.Entry.At.Equal(c.at) {
			t.Errorf("%v became %v", c.at, got.Entry.At)
		}
	}
	act := weigh(96.4)
	act["at"] = "0000-01-01T00:00:00+23:59"
	refused(t, m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", act), "clock-behind")
}

func TestAnActIsHeldToItsSchema(t *testing.T) {
	m := newMill(t)
	for body, where := range map[string]string{
		`{"station":"bench"}`:                              "body",
		`{"station":"nowhere","body":{}}`:                  "body.",
		`{"station":"bench","body":{},"more":1}`:           "body.",
		`{"station":"bench","body":{"thing":7}}`:           "body.body",
		`{"station":"bench","at":"yesterday","body":{}}`:   "body.",
		`{"station":"bench","passphrase":"x","body":null}`: "body.",
		`[]`: "body",
	} {
		p := refused(t, m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", body), "not-valid")
		if !strings.HasPrefix(p.Where, where) {
			t.Errorf("%s: where %q, want %s…", body, p.Where, where)
		}
	}
	p := refused(t, m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", `{"station":"bench","body":{"thing":"piece:A","scale":"S","mass_kg":-1}}`), "not-valid")
	if p.Where != "body.body.mass_kg" || p.Errors != nil {
		t.Errorf("one wrong field: %+v", p)
	}
	refused(t, m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", `{`), "bad-json")
	refused(t, m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", `{} {}`), "bad-json")
	refused(t, m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", ``), "bad-json")
	refused(t, m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", `{}`, "Content-Type", "text/plain"), "bad-media-type")
	refused(t, m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", strings.Repeat("[", 25)), "brackets-too-deep")
}

// Certifying asks for the passphrase again, in the very request, from somebody who signed in with it.
func TestCertifyingNeedsThePassphrase(t *testing.T) {
	m := newMill(t)
	digest := strings.Repeat("ab", 32)
	body := object{"set": "QH-12", "certificate": "C-1", "digest": digest, "blob": digest, "key": "k"}
	post := func(role book.Role, act object) (code string) {
		w := m.send(t, role, "POST", "/api/v1/acts/certify", act)
		if w.Code == http.StatusCreated {
			return ""
		}
		return into[object](t, w, w.Code)["code"].(string)
	}
	for _, c := range []struct {
		role book.Role
		act  object
		code string
	}{
		{book.Inspector, object{"station": "bench", "body": body}, "not-valid"},
		{book.Inspector, object{"station": "bench", "body": body, "passphrase": "guess"}, "wrong-passphrase"},
		{book.Hand, object{"station": "bench", "body": body, "passphrase": secret}, "not-allowed"},
		{book.Inspector, object{"station": "bench", "body": body, "passphrase": secret}, ""},
	} {
		if code := post(c.role, c.act); code != c.code {
			t.Errorf("%s %v: code %q, want %q", c.role, c.act, code, c.code)
		}
	}
	if got := string(m.shelf.entries[0].Body) + m.log.String(); strings.Contains(got, secret) {
		t.Errorf("the passphrase stands in %s", got)
	}
	m.porter.sessions["pin"] = m.porter.sessions[m.tokens[book.Inspector]]
	id := m.porter.sessions["pin"]
	id.Full = false
	m.porter.sessions["pin"] = id
	m.tokens[book.Inspector] = "pin"
	if code := post(book.Inspector, object{"station": "bench", "body": body, "passphrase": secret}); code != "wrong-passphrase" {
		t.Errorf("by PIN: code %q", code)
	}
}

// Who may not do an act at all hears that, whatever stands in the body, and no passphrase is tried; the mill's own route says who may.
func TestTheRoleComesBeforeTheBody(t *testing.T) {
	m := newMill(t)
	for _, body := range []any{object{}, object{"station": "cellar", "body": 7}, object{"station": "bench", "passphrase": "guess", "body": object{}}} {
		refused(t, m.send(t, book.Hand, "POST", "/api/v1/acts/certify", body), "not-allowed")
		refused(t, m.send(t, book.Visitor, "POST", "/api/v1/acts/weigh", body), "not-allowed")
		refused(t, m.send(t, book.Inspector, "POST", "/api/v1/acts/certify", body), "not-valid")
	}
	route := book.DefaultRoute()
	for i := range route.Steps {
		if route.Steps[i].Act == "weigh" {
			route.Steps[i].May = book.Inspector
		}
	}
	m.shelf.put(book.Ref{Kind: book.KindMill, ID: "quern-hollow"}, book.MillState{Route: route})
	refused(t, m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", object{}), "not-allowed")
	refused(t, m.send(t, book.Inspector, "POST", "/api/v1/acts/weigh", object{}), "not-valid")
}

// The correction of a certificate asks for the passphrase as the certificate did; any other is handed in without.
func TestCorrectingACertificateNeedsThePassphrase(t *testing.T) {
	m := newMill(t)
	digest := strings.Repeat("ab", 32)
	certify := object{"set": "QH-12", "certificate": "C-1", "digest": digest, "blob": digest, "key": "k"}
	strike := object{"entry": anID, "why": "the wrong set"}
	replace := object{"entry": anID, "why": "the wrong set", "act": "certify", "body": certify}
	for _, c := range []struct {
		role       book.Role
		body       object
		passphrase any
		code       string
	}{
		{book.Lead, strike, nil, ""}, {book.Lead, replace, nil, "passphrase-needed"}, {book.Lead, replace, "guess", "wrong-passphrase"},
		{book.Lead, replace, "", "not-valid"}, {book.Inspector, replace, secret, "not-allowed"}, {book.Lead, replace, secret, ""},
	} {
		act := object{"station": "office", "body": c.body}
		if c.passphrase != nil {
			act["passphrase"] = c.passphrase
		}
		w := m.send(t, c.role, "POST", "/api/v1/acts/correct", act)
		if c.code != "" {
			refused(t, w, c.code)
		} else if w.Code != http.StatusCreated {
			t.Errorf("%v: %d %s", c, w.Code, w.Body)
		}
	}
	for _, e := range m.shelf.entries {
		if strings.Contains(string(e.Body)+m.log.String(), secret) {
			t.Errorf("the passphrase stands in %s", e.Body)
		}
	}
}

func TestDelayedEntriesAreAnsweredOneByOne(t *testing.T) {
	m := newMill(t)
	entry := func(id string, mass float64) object {
		e := weigh(mass)
		e["id"], e["at"], e["act"] = id, morning.Add(-time.Hour), "weigh"
		return e
	}
	ids := []string{"01KB3C5V8Q3Z6J1W2Y4X7T9R0A", "01KB3C5V8Q3Z6J1W2Y4X7T9R0B", "01KB3C5V8Q3Z6J1W2Y4X7T9R0C"}
	wrong, other := entry(ids[2], 1), entry(ids[2], 1)
	wrong["station"], other["person"] = 7, "bench-1"
	barred := entry(ids[2], 1)
	barred["act"], barred["body"] = "certify", object{"nonsense": 1}
	batch := object{"entries": []any{entry(ids[0], 96.4), entry(ids[0], 96.4), entry(ids[1], tooHeavy), "nonsense", wrong, other, barred, entry(ids[2], 5)}}
	got := into[struct{ Receipts []api.Receipt }](t, m.send(t, book.Hand, "POST", "/api/v1/entries", batch), http.StatusOK).Receipts
	want := []string{"applied", "repeated", "conflict", "refused not-valid", "refused not-valid", "refused other-person", "refused not-allowed", "applied"}
	if len(got) != len(want) {
		t.Fatalf("%d receipts", len(got))
	}
	for i, r := range got {
		said := r.Result
		if r.Problem != nil {
			said += " " + r.Problem.Code
		}
		if said != want[i] {
			t.Errorf("entry %d: %s, want %s", i, said, want[i])
		}
	}
	if s := got[2].Entry.Standing; s == nil || s.Refusal == nil || s.Refusal.Code != "used-up" || s.BySeq != 1 {
		t.Errorf("the conflict says %+v", s)
	}
	conflicts := into[api.Listed[api.Entry]](t, m.send(t, book.Visitor, "GET", "/api/v1/conflicts", nil), http.StatusOK)
	if len(conflicts.Items) != 1 || conflicts.Items[0].ID != ids[1] {
		t.Errorf("conflicts %+v", conflicts)
	}
}

func TestABatchHasItsBounds(t *testing.T) {
	m := newMill(t)
	refused(t, m.send(t, book.Hand, "POST", "/api/v1/entries", `{"entries":[]}`), "not-valid")
	refused(t, m.send(t, book.Hand, "POST", "/api/v1/entries", `[]`), "not-valid")
	refused(t, m.send(t, book.Hand, "POST", "/api/v1/entries", object{"entries": make([]int, 501)}), "too-many-entries")
}
