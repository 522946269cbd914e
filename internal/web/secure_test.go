package web_test

import (
	"crypto/tls"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"slatewright/internal/web"
	"slatewright/internal/web/pagetest"
)

const (
	fingerprint = "BA:78:16:BF 8F:01:CF:EA 41:41:40:DE 5D:AE:22:23 B0:03:61:A3 96:17:7A:9C B4:10:FF:61 F2:00:15:AD"
	rootBytes   = "the root's certificate"
)

// trusts is how a mill may be reached.
func trusts(how, address string) web.Trust {
	t := web.Trust{}
	switch how {
	case "self-made":
		t.How, t.Root = web.SelfMade, func() ([]byte, string) { return []byte(rootBytes), fingerprint }
	case "given":
		t.How = web.Given
	}
	if address != "" {
		t.Address, _ = url.Parse(address)
	}
	return t
}

// protected is a handler of pages with some trust.
func protected(t *testing.T, m *pagetest.Mill, trust web.Trust, demo bool) http.Handler {
	t.Helper()
	h, err := web.New(t.Context(), web.Config{Ledger: m.Ledger, Blobs: m.Files, Gate: m.Gate, Queue: &line{}, Clock: m.Now, Mill: "Quern Hollow", Pages: true, Demo: demo, Trust: trust})
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// asks sends a request, by TLS or not.
func asks(h http.Handler, method, address string, headers ...string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, address, nil)
	if r.TLS = nil; strings.HasPrefix(address, "https:") {
		r.TLS = &tls.ConnectionState{}
	}
	for i := 0; i+1 < len(headers); i += 2 {
		r.Header.Set(headers[i], headers[i+1])
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

// A program that speaks TLS answers nothing in the clear but what helps to trust it.
func nothingInTheClear(t *testing.T, s *story) {
	for _, how := range []string{"self-made", "given"} {
		h := protected(t, s.Mill, trusts(how, ""), false)
		for _, path := range []string{"/", "/sign-in", "/piece/QH-1001?x=1", "/api/v1/health", "/trust/other", "/certificate/QH-C105"} {
			for _, method := range []string{http.MethodGet, http.MethodHead} {
				w := asks(h, method, "http://mill.lan:8273"+path)
				if w.Code != http.StatusTemporaryRedirect || w.Header().Get("Location") != "https://mill.lan:8273"+path || w.Header().Get("X-Content-Type-Options") != "nosniff" {
					t.Errorf("%s: %s %s: %d to %q", how, method, path, w.Code, w.Header().Get("Location"))
				}
			}
			for _, method := range []string{http.MethodPost, http.MethodPut, http.MethodDelete} {
				refused(t, asks(h, method, "http://mill.lan:8273"+path), "not-protected")
			}
		}
		if w := asks(h, http.MethodGet, "http://mill.lan:8273/trust"); w.Code != http.StatusOK {
			t.Errorf("%s: /trust: %d", how, w.Code)
		}
		if w := asks(h, http.MethodPost, "http://mill.lan:8273/trust"); w.Code != http.StatusForbidden {
			t.Errorf("%s: written to /trust: %d", how, w.Code)
		}
		if w := asks(h, http.MethodGet, "https://mill.lan:8273/sign-in"); w.Code != http.StatusOK {
			t.Errorf("%s: /sign-in by TLS: %d", how, w.Code)
		}
	}
	if w := asks(protected(t, s.Mill, web.Trust{}, false), http.MethodGet, "http://mill.lan:8273/sign-in"); w.Code != http.StatusOK {
		t.Errorf("without TLS: %d", w.Code)
	}
}

// Browsers are told to remember TLS only for a certificate that they know, and only where it was seen.
func whoRemembersTLS(t *testing.T, s *story) {
	for _, c := range []struct {
		how, at string
		demo    bool
		want    string
	}{
		{"given", "https://mill.lan/sign-in", false, "max-age=2592000"}, {"given", "https://mill.lan/api/v1/health", false, "max-age=2592000"},
		{"given", "https://mill.lan/sign-in", true, ""}, {"given", "http://mill.lan/trust", false, ""}, {"given", "http://mill.lan/", false, ""},
		{"self-made", "https://mill.lan/sign-in", false, ""}, {"", "https://mill.lan/sign-in", false, ""},
	} {
		h := protected(t, s.Mill, trusts(c.how, ""), c.demo)
		if got := asks(h, http.MethodGet, c.at).Header().Get("Strict-Transport-Security"); got != c.want {
			t.Errorf("%+v: %q", c, got)
		}
	}
}

func thePageAboutTrust(t *testing.T, s *story) {
	for _, c := range []struct {
		how, address, at string
		says, not        []string
	}{
		{"self-made", "https://mill.lan:8273", "http://10.0.0.7:8273/trust", []string{"F2:00:15:AD", "/trust/root.crt", `href="https://mill.lan:8273/"`, "<figcaption>http://mill.lan:8273/trust<", "Android"}, []string{"--tls"}},
		{"self-made", "https://mill.lan", "http://mill.lan:443/trust", []string{`href="https://mill.lan:443/"`, "<figcaption>http://mill.lan:443/trust<"}, nil},
		{"self-made", "", "https://localhost:8273/trust", []string{"F2:00:15:AD"}, []string{"figcaption"}},
		{"given", "", "https://mill.lan/trust", []string{"Nothing to do", "<figcaption>https://mill.lan<"}, []string{"root.crt", "--tls"}},
		{"", "", "http://192.168.7.2:8273/trust", []string{"Not protected", "--tls", "<figcaption>http://192.168.7.2:8273<"}, []string{"root.crt"}},
		{"", "", "https://mill.lan/trust", []string{"Nothing to do"}, []string{"--tls"}},
	} {
		w := asks(protected(t, s.Mill, trusts(c.how, c.address), false), http.MethodGet, c.at)
		for _, word := range c.says {
			if !strings.Contains(w.Body.String(), word) {
				t.Errorf("%s at %s: %d, not %q in %s", c.how, c.at, w.Code, word, mainOf(w))
			}
		}
		for _, word := range c.not {
			if strings.Contains(w.Body.String(), word) {
				t.Errorf("%s at %s says %q", c.how, c.at, word)
			}
		}
	}
	h := protected(t, s.Mill, trusts("self-made", ""), false)
	w := asks(h, http.MethodGet, "http://mill.lan:8273/trust/root.crt")
	wants(t, "root.crt", w, map[string]string{"Content-Type": "application/x-x509-ca-cert", "Content-Disposition": `attachment; filename="root.crt"`})
	if w.Code != http.StatusOK || w.Body.String() != rootBytes {
		t.Errorf("%d %q", w.Code, w.Body)
	}
	if w := asks(protected(t, s.Mill, trusts("given", ""), false), http.MethodGet, "https://mill.lan/trust/root.crt"); w.Code != http.StatusNotFound {
		t.Errorf("a root of a given certificate: %d", w.Code)
	}
	for _, how := range []string{"self-made", "given"} {
		w := asks(protected(t, s.Mill, trusts(how, ""), false), http.MethodGet, "https://mill.lan/sign-in")
		if strings.Contains(w.Body.String(), `href="/trust"`) != (how == "self-made") {
			t.Errorf("the door of %s: %s", how, mainOf(w))
		}
	}
}
