package office

import (
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/netip"
	"net/url"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/internal/trust"
	"slatewright/internal/web"
	"slatewright/trouble"
)

// protection says how connections are protected, and how others reach the pages.
type protection struct {
	TLS            bool   `name:"tls" help:"Speak TLS with a certificate made here, under a root of the mill's own that each tablet is told to trust once, at /trust."`
	TLSCertificate string `name:"tls-certificate" placeholder:"FILE" help:"Speak TLS with this certificate (PEM, the server's own first). It is read again when the file changes."`
	TLSKey         string `name:"tls-key" placeholder:"FILE" help:"The key of that certificate (PEM)."`
	Trust          string `placeholder:"FOLDER" help:"Where --tls keeps its root and certificate. Without it the folder trust in the book's folder."`
	Address        string `placeholder:"URL" help:"How others reach the pages, such as https://mill.lan:8273: for the certificate, and for the code on printed certificates."`

	at *url.URL // Address, read
}

// trustFolder is where a book's folder keeps root and certificate.
const trustFolder = "trust"

// check reads the flags before anything is opened. where is the book's place.
func (p *protection) check(where string) (err error) {
	const by = "slatewright serve"
	switch {
	case (p.TLSCertificate == "") != (p.TLSKey == ""):
		return trouble.Usage("half-a-pair", by, "a certificate and its key belong together", "give both --tls-certificate and --tls-key")
	case p.TLS && p.TLSCertificate != "":
		return trouble.Usage("two-certificates", by, "--tls makes a certificate, and another is named", "leave out --tls, or --tls-certificate and --tls-key")
	case p.Trust != "" && !p.TLS:
		return trouble.Usage("no-tls", by, "--trust says where --tls keeps its root", "add --tls, or leave out --trust")
	case p.TLS && p.Trust == "" && opened.IsAddress(where):
		return trouble.Usage("no-trust-folder", by, "the book is in a database, and the root of --tls needs a folder", "name one by --trust FOLDER")
	}
	p.at, err = PagesAddress(p.Address)
	if p.Trust == "" {
		p.Trust = filepath.Join(where, trustFolder)
	}
	return err
}

// PagesAddress reads the address of a mill's pages; nil for none. It is that of a host, with a port or without: the pages stand at its top.
func PagesAddress(text string) (*url.URL, error) {
	if text == "" {
		return nil, nil
	}
	u, err := url.Parse(text)
	if err != nil || u.Scheme != "https" && u.Scheme != "http" || u.User != nil || strings.Trim(u.Path, "/") != "" || u.RawQuery != "" || u.Fragment != "" || !trust.IsName(u.Hostname()) {
		return nil, trouble.Usage("bad-address", "--address", fmt.Sprintf("%q is no address of a mill's pages", text), "write it as https://mill.lan:8273, with a host and nothing after it")
	}
	return &url.URL{Scheme: u.Scheme, Host: strings.ToLower(u.Host)}, nil
}

// pageOf is the address of a certificate's public page; empty when the mill's is not known.
func pageOf(at *url.URL, number string) string {
	if at == nil {
		return ""
	}
	return at.String() + "/certificate/" + url.PathEscape(number)
}

// CertificatePage is the address of the public page of the certificate with a number, at a mill's address as it is typed; empty without one.
func CertificatePage(address, number string) (string, error) {
	at, err := PagesAddress(address)
	return pageOf(at, number), err
}

// soonEnded is how long before the end of a given certificate the log says so at a start.
const soonEnded = 14 * 24 * time.Hour

// protected is how connections are protected while the program runs.
type protected struct {
	trust.Certificates // nil: not at all
	how                web.Trust
	made               *trust.SelfMade // nil unless it is
}

// open takes up the certificate that the flags name.
func (p *protection) open(s *verb.Session, log *slog.Logger) (protected, error) {
	said := ""
	if p.at != nil {
		said = p.at.Hostname()
	}
	switch {
	case p.TLS:
		set := trust.Setting{Folder: p.Trust, Clock: s.Clock, Log: log}
		if said != "" {
			set.Said = []string{said}
		}
		made, err := trust.Open(set)
		if err != nil {
			return protected{}, err
		}
		return protected{made, web.Trust{How: web.SelfMade, Root: made.Root}, made}, nil
	case p.TLSCertificate != "":
		given, err := trust.Load(trust.Files{Certificate: p.TLSCertificate, Key: p.TLSKey, Host: said, Clock: s.Clock, Log: log})
		if err != nil {
			return protected{}, err
		}
		if left := given.Ends().Sub(s.Clock()); left < soonEnded {
			log.Warn("the certificate of the pages ends soon", "on", given.Ends().Format("2006-01-02"), "next", "have it renewed; the new files are read without a new start")
		}
		return protected{given, web.Trust{How: web.Given}, nil}, nil
	}
	return protected{how: web.Trust{How: web.Plain}}, nil
}

// lead says how others reach the pages, where they can.
func (p *protected) lead(addresses []string, given *url.URL, listening net.Addr) {
	if given != nil || onNetwork(listening) {
		p.how.Address, _ = url.Parse(addresses[0]) // put together here
	}
}

// silence is how long a connection may say nothing before it is closed.
const silence = 10 * time.Second

// over is a listener that speaks TLS where there is a certificate.
func (p protected) over(l net.Listener) net.Listener {
	if p.Certificates == nil {
		return l
	}
	return trust.Both(l, trust.Config(p.Certificates), silence)
}

// reached lists the addresses that can be typed elsewhere, the likeliest first. Where a program listens on every address these are
// those of the machine, and its name on the local network; none that a certificate of its own does not hold.
func (p protected) reached(listening net.Addr, given *url.URL) (list []string) {
	scheme, out := "http", []string(nil)
	if p.Certificates != nil {
		scheme = "https"
	}
	if p.made != nil {
		out = p.made.LeftOut()
	}
	if given != nil {
		list = append(list, given.String())
	}
	at, err := netip.ParseAddrPort(listening.String())
	if err != nil || !at.Addr().IsUnspecified() {
		return append(list, scheme+"://"+listening.String())
	}
	own := trust.Own()
	for _, a := range own.Addresses {
		if a.IsGlobalUnicast() && !slices.Contains(out, a.String()) && (a.Is4() || at.Addr().Is6()) {
			list = append(list, scheme+"://"+netip.AddrPortFrom(a, at.Port()).String())
		}
	}
	for _, h := range own.Hosts {
		if strings.HasSuffix(h, ".local") {
			list = append(list, fmt.Sprintf("%s://%s:%d", scheme, h, at.Port()))
		}
	}
	if len(list) == 0 {
		list = append(list, fmt.Sprintf("%s://127.0.0.1:%d", scheme, at.Port()))
	}
	return list
}

// onNetwork tells whether others than the machine itself can reach an address that is listened on.
func onNetwork(listening net.Addr) bool {
	at, err := netip.ParseAddrPort(listening.String())
	return err != nil || !at.Addr().IsLoopback()
}

// shown is what the start says of the protection.
type shown struct {
	Root    string   `json:"root_fingerprint,omitempty"` // SHA-256 of the root that was made here
	Trust   string   `json:"trust,omitempty"`            // address of the page that helps tablets to trust it
	Remade  string   `json:"root_remade,omitempty"`      // why the root is a new one
	LeftOut []string `json:"left_out,omitempty"`         // names and addresses that the certificate does not hold
}

func (p protected) shown(first string) (s shown) {
	if p.made == nil {
		return s
	}
	_, s.Root = p.made.Root()
	s.Trust = "http" + strings.TrimPrefix(first, "https") + "/trust"
	s.Remade, s.LeftOut = p.made.Remade(), p.made.LeftOut()
	return s
}

func (s shown) print(w io.Writer) {
	if s.Root == "" {
		return
	}
	groups := strings.Fields(s.Root)
	fmt.Fprintf(w, "Each tablet is told once to trust it, at %s\nFingerprint of the mill's root certificate (SHA-256), to be compared there:\n  %s\n  %s\n",
		s.Trust, strings.Join(groups[:len(groups)/2], " "), strings.Join(groups[len(groups)/2:], " "))
	if s.Remade != "" {
		fmt.Fprintf(w, "The root was made anew: %s. Every tablet must be told to trust the new one.\n", s.Remade)
	}
	if len(s.LeftOut) > 0 {
		fmt.Fprintf(w, "The certificate does not hold %s: its root vouches for private addresses and the mill's own names. To be reached by another, name it by --address.\n", strings.Join(s.LeftOut, ", "))
	}
}
