package office

import (
	"html/template"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"strings"

	"slatewright/internal/picture/look"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/internal/web/signin"
)

// Protection is how the program protects connections.
type Protection string

// The ways. The zero value stands for Plain.
const (
	Plain    Protection = "plain"     // not at all: somebody else may do it
	SelfMade Protection = "self-made" // by a certificate under a root of the mill's own
	Given    Protection = "given"     // by a certificate that browsers know
)

// Trust is how this program is reached over a network, as the page about it tells.
type Trust struct {
	How     Protection
	Root    func() (der []byte, fingerprint string) // the root's certificate; nil unless self-made
	Address *url.URL                                // by which others reach the mill's pages; nil: what the browser asked for
}

// trusting is the page that helps a tablet to trust the mill.
type trusting struct {
	How         Protection
	Fingerprint []string // in groups
	Address     string   // where the mill's pages are
	Code        template.HTML
	CodeLeads   string // the address in the code
	Systems     []system
}

// system is what runs on a tablet, and the key of what is done there.
type system struct{ Name, Key string }

var systems = []system{{"iPad, iPhone", "office.trust.ipad"}, {"Android", "office.trust.android"}, {"Windows", "office.trust.windows"}, {"macOS", "office.trust.mac"},
	{"Linux, Firefox", "office.trust.firefox"}}

func (t Trust) show(v *shell.Visit) error {
	p := trusting{How: t.how(v.R), Systems: systems}
	at := t.at(v.R)
	p.Address = at.JoinPath("/").String()
	if p.How == SelfMade {
		_, fingerprint := t.Root()
		p.Fingerprint = strings.Fields(fingerprint)
		at.Scheme = "http" // on the same port: what is installed here is not trusted yet
		at = at.JoinPath("/trust")
	}
	if !ownOnly(at.Hostname()) {
		var b strings.Builder
		p.CodeLeads = at.String()
		if err := look.CodeSVG(&b, p.CodeLeads, v.Say("office.trust.code")); err != nil {
			return err
		}
		p.Code = template.HTML(b.String()) //nolint:gosec // drawn here, words escaped
	}
	return v.Show(shell.Page{Name: "office/trust", Title: v.Say("office.trust.title"), Here: "mill", Data: p})
}

// how is the protection of the connection that a request came by: a proxy that protects it has a certificate of its own.
func (t Trust) how(r *http.Request) Protection {
	switch {
	case t.How == "" && signin.Secure(r), t.How == Plain && signin.Secure(r):
		return Given
	case t.How == "":
		return Plain
	}
	return t.How
}

// at is the address of the mill's pages, always with its port where that is not the one its scheme has by itself.
func (t Trust) at(r *http.Request) *url.URL {
	at := &url.URL{Scheme: "http", Host: r.Host}
	if t.how(r) != Plain {
		at.Scheme = "https"
	}
	if t.Address != nil {
		at = &url.URL{Scheme: t.Address.Scheme, Host: t.Address.Host}
	}
	if t.How == SelfMade && at.Port() == "" {
		at.Host = net.JoinHostPort(at.Hostname(), "443") // the one port speaks both, and plain HTTP would go to another
	}
	return at
}

// ownOnly tells whether a host means the machine itself, so that a tablet cannot reach it.
func ownOnly(host string) bool {
	a, err := netip.ParseAddr(host)
	return host == "" || host == "localhost" || err == nil && a.IsLoopback()
}

// root gives the root's certificate, as a tablet installs it.
func (t Trust) root(v *shell.Visit) error {
	if t.Root == nil {
		return problem.New("no-such-path", "", v.Say("shell.no-such-page"), v.Say("shell.no-such-page-next"))
	}
	der, _ := t.Root()
	v.W.Header().Set("Content-Type", "application/x-x509-ca-cert")
	v.W.Header().Set("Content-Disposition", `attachment; filename="root.crt"`)
	_, _ = v.W.Write(der) // a browser that has gone cannot be told so
	return nil
}
