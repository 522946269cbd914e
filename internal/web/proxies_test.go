package web_test

import (
	"context"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"strings"
	"testing"

	"slatewright/internal/gate"
	"slatewright/internal/web"
)

// counting is a gate that tells where a try comes from.
type counting struct {
	*porter
	from *string
}

func (c counting) SignIn(_ context.Context, _, _, _, from string) (gate.Session, error) {
	*c.from = from
	return gate.Session{}, wrong()
}

// Tries are counted where they come from: behind a trusted proxy that is what the proxy says, and nothing that a sender could have
// made up before it.
func TestTriesAreCountedBehindAProxy(t *testing.T) {
	const inside, other, out, far = "10.0.0.1", "10.0.0.2", "203.0.113.9", "198.51.100.7"
	for _, c := range []struct {
		trusted, at string
		forwarded   []string
		want        string
	}{
		{"", inside + ":4000", []string{out}, inside}, {"10.0.0.0/8", far + ":4000", []string{out}, far},
		{"10.0.0.0/8", inside + ":4000", []string{out}, out}, {"10.0.0.1/32", inside + ":4000", []string{out}, out},
		{"10.0.0.0/8", inside + ":4000", nil, inside}, {"10.0.0.0/8", inside + ":4000", []string{""}, inside},
		{"10.0.0.0/8", inside + ":4000", []string{far + ", " + out}, out}, {"10.0.0.0/8", inside + ":4000", []string{far, out}, out},
		{"10.0.0.0/8", inside + ":4000", []string{far + "," + out + "," + other}, out}, {"10.0.0.1/32", inside + ":4000", []string{far + "," + other}, other},
		{"10.0.0.0/8", inside + ":4000", []string{other}, other}, {"10.0.0.0/8", inside + ":4000", []string{far + ", unknown"}, inside},
		{"10.0.0.0/8", inside + ":4000", []string{far + ", unknown, " + other}, other}, {"10.0.0.0/8", inside + ":4000", []string{out + ":5123"}, out},
		{"10.0.0.0/8", "[::ffff:10.0.0.1]:4000", []string{"2001:db8::7"}, "2001:db8::7"}, {"fe80::/10", "[fe80::1%eth0]:4000", []string{"[2001:db8::7]:1"}, "2001:db8::7"},
		{"10.0.0.0/8", "no address", []string{out}, "no address"}, {"10.0.0.0/8", inside + ":4000", []string{strings.Repeat(",", 9000)}, inside},
	} {
		var from string
		m := newMill(t)
		config := web.Config{Ledger: m.shelf, Blobs: m.crates, Gate: counting{m.porter, &from}, Queue: m.line}
		if c.trusted != "" {
			config.Proxies = []netip.Prefix{netip.MustParsePrefix("192.0.2.0/24"), netip.MustParsePrefix(c.trusted)}
		}
		h, err := web.New(t.Context(), config)
		if err != nil {
			t.Fatal(err)
		}
		r := httptest.NewRequest(http.MethodPost, "/api/v1/session", strings.NewReader(`{"person":"saw-1","passphrase":"guess"}`))
		r.Header.Set("Content-Type", "application/json")
		r.RemoteAddr = c.at
		for _, line := range c.forwarded {
			r.Header.Add("X-Forwarded-For", line)
		}
		h.ServeHTTP(httptest.NewRecorder(), r)
		if from != c.want {
			t.Errorf("%+v: counted at %q", c, from)
		}
	}
}
