package web_test

import (
	"crypto/tls"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"strings"
	"testing"

	"slatewright/internal/book"
	"slatewright/internal/web"
	"slatewright/internal/web/api"
)

// sendWith asks with the cookies of an earlier answer.
func (m *mill) sendWith(t *testing.T, cookies []*http.Cookie, method, path, body string) *httptest.ResponseRecorder {
	t.Helper()
	r := httptest.NewRequestWithContext(t.Context(), method, path, strings.NewReader(body))
	r.Header.Set("Content-Type", "application/json")
	for _, c := range cookies {
		r.AddCookie(c)
	}
	w := httptest.NewRecorder()
	m.handler.ServeHTTP(w, r)
	return w
}

func TestABrowserSignsInByCookie(t *testing.T) {
	m := newMill(t)
	w := m.sendWith(t, nil, "POST", "/api/v1/session", `{"person":"bench-1","passphrase":"`+secret+`"}`)
	got := into[api.Session](t, w, http.StatusCreated)
	if got.Person != "bench-1" || got.Role != book.Inspector || !got.Full || got.Token != "" || got.Tablet != "" || got.Until.IsZero() {
		t.Errorf("%+v", got)
	}
	cookies := w.Result().Cookies()
	if len(cookies) != 2 {
		t.Fatalf("%d cookies", len(cookies))
	}
	for _, c := range cookies {
		if !c.HttpOnly || c.SameSite != http.SameSiteLaxMode || c.Path != "/" || c.Secure || c.MaxAge <= 0 {
			t.Errorf("cookie %+v", c)
		}
	}
	if got := into[api.Session](t, m.sendWith(t, cookies, "GET", "/api/v1/session", ""), http.StatusOK); got.Person != "bench-1" {
		t.Errorf("%+v", got)
	}
	out := m.sendWith(t, cookies, "DELETE", "/api/v1/session", "")
	if cleared := out.Result().Cookies(); out.Code != http.StatusNoContent || len(cleared) != 1 || cleared[0].MaxAge >= 0 {
		t.Errorf("%d %v", out.Code, cleared)
	}
	gone := m.sendWith(t, cookies, "GET", "/api/v1/session", "")
	refused(t, gone, "not-signed-in")
	if gone.Header().Get("WWW-Authenticate") != "Bearer" {
		t.Error("a 401 must say how to sign in")
	}
}

// Where the connection is encrypted, at the program or at a proxy before it, the cookies never travel over another.
func TestCookiesAreSecureOverTLS(t *testing.T) {
	m := newMill(t)
	h, err := web.New(t.Context(), web.Config{Ledger: m.shelf, Blobs: m.crates, Gate: m.porter, Queue: m.line, Proxies: []netip.Prefix{netip.MustParsePrefix("10.0.0.0/8")}})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		from, proto string
		tls, secure bool
	}{
		{"192.0.2.1:4000", "", true, true}, {"192.0.2.1:4000", "", false, false}, {"10.0.0.1:4000", "https", false, true}, {"10.0.0.1:4000", "HTTPS", false, true},
		{"192.0.2.1:4000", "https", false, false}, // anybody can say so
		{"10.0.0.1:4000", "http", false, false}, {"10.0.0.1:4000", "https, http", false, false}, {"10.0.0.1:4000", "http, https", false, true}, {"10.0.0.1:4000", "", false, false},
	} {
		r := httptest.NewRequest("POST", "/api/v1/session", strings.NewReader(`{"person":"bench-1","passphrase":"`+secret+`"}`))
		if r.RemoteAddr = c.from; c.tls {
			r.TLS = &tls.ConnectionState{}
		}
		if c.proto != "" {
			r.Header.Set("X-Forwarded-Proto", c.proto)
		}
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		cookies := w.Result().Cookies()
		if len(cookies) != 2 || cookies[0].Secure != c.secure || cookies[1].Secure != c.secure {
			t.Errorf("%+v: %v", c, cookies)
		}
	}
}

func TestAPersonTakesOverATabletByPIN(t *testing.T) {
	m := newMill(t)
	const pin = `{"person":"saw-1","pin":"4711"}`
	lead := m.sendWith(t, nil, "POST", "/api/v1/session", `{"person":"lead-1","passphrase":"`+secret+`"}`).Result().Cookies()
	refused(t, m.sendWith(t, lead, "POST", "/api/v1/session/switch", pin), "wrong-passphrase") // never signed in here
	hand := m.sendWith(t, lead[1:], "POST", "/api/v1/session", `{"person":"saw-1","passphrase":"`+secret+`"}`).Result().Cookies()
	if hand[1].Value != lead[1].Value {
		t.Error("the tablet is another one after the second sign-in")
	}
	refused(t, m.sendWith(t, nil, "POST", "/api/v1/session/switch", pin), "wrong-passphrase") // another tablet
	got := into[api.Session](t, m.sendWith(t, hand, "POST", "/api/v1/session/switch", pin), http.StatusCreated)
	if got.Full || got.Person != "saw-1" {
		t.Errorf("%+v", got)
	}
}

func TestAProgramSignsInByToken(t *testing.T) {
	m := newMill(t)
	w := m.sendWith(t, nil, "POST", "/api/v1/session", `{"person":"bench-1","passphrase":"`+secret+`","token":true}`)
	got := into[api.Session](t, w, http.StatusCreated)
	if got.Token == "" || got.Tablet == "" || len(w.Result().Cookies()) != 0 {
		t.Errorf("%+v, cookies %v", got, w.Result().Cookies())
	}
	m.tokens["program"] = got.Token
	if who := into[api.Session](t, m.send(t, "program", "GET", "/api/v1/session", nil), http.StatusOK); who.Person != "bench-1" {
		t.Errorf("%+v", who)
	}
	for _, authorization := range []string{"Bearer", "Bearer ", "Basic " + got.Token, got.Token, "Bearer x"} {
		refused(t, m.send(t, "", "GET", "/api/v1/session", nil, "Authorization", authorization), "not-signed-in")
	}
}

// What a person may do is what the book says at that moment.
func TestTheBookTellsTheRole(t *testing.T) {
	m := newMill(t)
	person := book.Ref{Kind: book.KindPerson, ID: "lead-1"}
	m.shelf.put(person, object{"role": "visitor"})
	refused(t, m.send(t, book.Lead, "GET", "/api/v1/tokens", nil), "not-allowed")
	m.shelf.put(person, object{"role": "lead", "gone": true})
	refused(t, m.send(t, book.Lead, "GET", "/api/v1/session", nil), "not-signed-in")
	before := len(m.porter.sessions)
	refused(t, m.sendWith(t, nil, "POST", "/api/v1/session", `{"person":"lead-1","passphrase":"`+secret+`"}`), "not-signed-in")
	if len(m.porter.sessions) != before {
		t.Error("a session of somebody who is gone was left open")
	}
	delete(m.shelf.things, person)
	refused(t, m.send(t, book.Lead, "GET", "/api/v1/session", nil), "not-signed-in")
}

func TestMachinesHaveTokens(t *testing.T) {
	m := newMill(t)
	made := into[api.Token](t, m.send(t, book.Lead, "POST", "/api/v1/tokens", object{"name": "scale-1", "role": "hand", "days": 30}), http.StatusCreated)
	if made.Secret == "" || !made.Until.Equal(morning.AddDate(0, 0, 30)) {
		t.Errorf("%+v", made)
	}
	list := m.send(t, book.Lead, "GET", "/api/v1/tokens", nil)
	if got := into[api.Listed[api.Token]](t, list, http.StatusOK); len(got.Items) != 1 || got.Items[0].Secret != "" || strings.Contains(list.Body.String(), made.Secret) {
		t.Errorf("%s", list.Body)
	}
	m.tokens["machine"] = made.Secret
	if got := into[api.Receipt](t, m.send(t, "machine", "POST", "/api/v1/acts/weigh", weigh(96)), http.StatusCreated); got.Entry.Person != "scale-1" {
		t.Errorf("%+v", got.Entry)
	}
	refused(t, m.send(t, "machine", "GET", "/api/v1/tokens", nil), "not-allowed")
	refused(t, m.send(t, "machine", "PUT", "/api/v1/people/scale-1/passphrase", object{"new": "x"}), "not-allowed")
	if w := m.send(t, book.Lead, "DELETE", "/api/v1/tokens/scale-1", nil); w.Code != http.StatusNoContent {
		t.Errorf("%d %s", w.Code, w.Body)
	}
	refused(t, m.send(t, "machine", "GET", "/api/v1/things", nil), "not-signed-in")
	refused(t, m.send(t, book.Lead, "DELETE", "/api/v1/tokens/scale-1", nil), "no-such-token")
	refused(t, m.send(t, book.Lead, "POST", "/api/v1/tokens", object{"name": "x", "role": "lead", "days": 1}), "not-valid")
}

// One name is one person or one machine, whichever came first, however it is handed in.
func TestAPersonAndAMachineHaveTwoNames(t *testing.T) {
	m := newMill(t)
	refused(t, m.send(t, book.Lead, "POST", "/api/v1/tokens", object{"name": "saw-1", "role": "hand", "days": 30}), "name-taken")
	into[api.Token](t, m.send(t, book.Lead, "POST", "/api/v1/tokens", object{"name": "scale-1", "role": "hand", "days": 30}), http.StatusCreated)
	appoint := func(person string) object {
		return object{"station": "office", "body": object{"person": person, "role": "hand", "called": "second hand at the saw"}}
	}
	refused(t, m.send(t, book.Lead, "POST", "/api/v1/acts/appoint", appoint("scale-1")), "name-taken")
	late := appoint("scale-1")
	late["id"], late["at"], late["act"] = anID, morning, "appoint"
	got := into[struct{ Receipts []api.Receipt }](t, m.send(t, book.Lead, "POST", "/api/v1/entries", object{"entries": []any{late}}), http.StatusOK).Receipts
	if len(got) != 1 || got[0].Problem == nil || got[0].Problem.Code != "name-taken" {
		t.Errorf("late: %+v", got)
	}
	if w := m.send(t, book.Lead, "POST", "/api/v1/acts/appoint", appoint("saw-2")); w.Code != http.StatusCreated {
		t.Errorf("another name: %d %s", w.Code, w.Body)
	}
}

// What the mill is called is the first that anybody would guess.
func TestTheMillsNameIsNoPassphrase(t *testing.T) {
	m := newMill(t)
	m.shelf.put(book.Ref{Kind: book.KindMill, ID: "quern-hollow"}, book.MillState{Name: "The Old Works at Low Moor"})
	for _, guess := range []string{"the old works at low moor", "Quern Hollow Quern Hollow", "The Old Works at Low Moor 1"} {
		refused(t, m.send(t, book.Lead, "PUT", "/api/v1/people/saw-1/passphrase", object{"new": guess}), "weak-passphrase")
	}
}

// People set their own passphrase and PIN with the passphrase they have; a lead sets anybody's.
func TestPassphrasesAreSet(t *testing.T) {
	m := newMill(t)
	const path = "/api/v1/people/saw-1/passphrase"
	refused(t, m.send(t, book.Hand, "PUT", path, object{"new": "another good one"}), "wrong-passphrase")
	refused(t, m.send(t, book.Inspector, "PUT", path, object{"new": "another good one", "passphrase": secret}), "not-allowed")
	refused(t, m.send(t, book.Lead, "PUT", "/api/v1/people/nobody/passphrase", object{"new": "x"}), "no-such-thing")
	if w := m.send(t, book.Hand, "PUT", "/api/v1/people/saw-1/pin", object{"new": "0815", "passphrase": secret}); w.Code != http.StatusNoContent || m.porter.pins["saw-1"] != "0815" {
		t.Errorf("PIN: %d %s", w.Code, w.Body)
	}
	if w := m.send(t, book.Hand, "PUT", path, object{"new": "another good one", "passphrase": secret}); w.Code != http.StatusNoContent || m.porter.passphrases["saw-1"] != "another good one" {
		t.Errorf("own: %d %s", w.Code, w.Body)
	}
	refused(t, m.send(t, book.Hand, "GET", "/api/v1/session", nil), "not-signed-in")
	if w := m.send(t, book.Lead, "PUT", path, object{"new": "a third one that is long"}); w.Code != http.StatusNoContent || m.porter.passphrases["saw-1"] != "a third one that is long" {
		t.Errorf("by the lead: %d %s", w.Code, w.Body)
	}
	if w := m.send(t, book.Lead, "DELETE", "/api/v1/people/bench-1/sessions", nil); w.Code != http.StatusNoContent {
		t.Errorf("%d %s", w.Code, w.Body)
	}
	refused(t, m.send(t, book.Inspector, "GET", "/api/v1/session", nil), "not-signed-in")
	if strings.Contains(m.log.String(), secret) {
		t.Errorf("a passphrase stands in the log: %s", m.log)
	}
}
