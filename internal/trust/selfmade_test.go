package trust

import (
	"bytes"
	"crypto/x509"
	"errors"
	"log/slog"
	"net/netip"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"slatewright/trouble"
)

// noon is when the tests begin.
var noon = time.Date(2026, 5, 4, 12, 0, 0, 0, time.UTC)

// house is a folder with a machine beside it, whose clock and addresses the test sets.
type house struct {
	t      *testing.T
	folder string
	now    time.Time
	own    Names
	log    bytes.Buffer
}

func newHouse(t *testing.T) *house {
	return &house{t: t, folder: filepath.Join(t.TempDir(), "trust"), now: noon, own: Names{Hosts: []string{"localhost", "saw", "saw.local"},
		Addresses: addresses("127.0.0.1", "192.168.7.20", "203.0.113.9")}}
}

func addresses(words ...string) (list []netip.Addr) {
	for _, w := range words {
		list = append(list, netip.MustParseAddr(w))
	}
	return list
}

func (h *house) open(said ...string) *SelfMade {
	h.t.Helper()
	m, err := Open(h.setting(said...))
	if err != nil {
		h.t.Fatal(err)
	}
	return m
}

func (h *house) setting(said ...string) Setting {
	return Setting{Folder: h.folder, Said: said, Clock: func() time.Time { return h.now }, Log: slog.New(slog.NewTextHandler(&h.log, nil)), Own: func(said ...string) Names {
		n := Names{slices.Clone(h.own.Hosts), slices.Clone(h.own.Addresses)}
		for _, s := range said {
			n.add(s)
		}
		return n
	}}
}

// serves is the certificate that a connection gets.
func serves(t *testing.T, c Certificates) *x509.Certificate {
	t.Helper()
	got, err := c.GetCertificate(nil)
	if err != nil {
		t.Fatal(err)
	}
	return got.Leaf
}

// believed asks a tablet that trusts the root.
func believed(m *SelfMade, leaf *x509.Certificate, host string, now time.Time) error {
	der, _ := m.Root()
	root, err := x509.ParseCertificate(der)
	if err != nil {
		return err
	}
	pool := x509.NewCertPool()
	pool.AddCert(root)
	_, err = leaf.Verify(x509.VerifyOptions{Roots: pool, DNSName: host, CurrentTime: now})
	return err
}

func TestATabletBelievesTheMill(t *testing.T) {
	h := newHouse(t)
	m := h.open("mill.example.org", "198.51.100.4")
	leaf := serves(t, m)
	for _, host := range []string{"localhost", "saw", "saw.local", "192.168.7.20", "127.0.0.1", "mill.example.org", "198.51.100.4"} {
		if err := believed(m, leaf, host, h.now); err != nil {
			t.Errorf("%s: %v", host, err)
		}
	}
	for _, host := range []string{"example.org", "203.0.113.9", "192.168.7.21", "other.local"} {
		if believed(m, leaf, host, h.now) == nil {
			t.Errorf("%s is believed", host)
		}
	}
	if life := leaf.NotAfter.Sub(leaf.NotBefore); life >= 397*24*time.Hour || life < 396*24*time.Hour {
		t.Errorf("it lives %v", life)
	}
	if out := m.LeftOut(); len(out) != 1 || out[0] != "203.0.113.9" {
		t.Errorf("left out: %v", out)
	}
	r := m.root.certificate
	if !r.IsCA || r.MaxPathLen != 0 || !r.MaxPathLenZero || !r.PermittedDNSDomainsCritical || r.NotAfter.Sub(noon) < 9*365*24*time.Hour {
		t.Errorf("the root: %+v", r)
	}
	if m.Remade() != "" {
		t.Errorf("remade: %s", m.Remade())
	}
}

// Whoever has stolen the root's key can make certificates for the mill's own kind of names, and no tablet believes others.
func TestAStolenRootVouchesForNothingElse(t *testing.T) {
	h := newHouse(t)
	m := h.open("mill.example.org")
	for name, n := range map[string]struct {
		names Names
		fine  bool
	}{
		"bank.example.com": {Names{Hosts: []string{"bank.example.com"}}, false}, "example.org": {Names{Hosts: []string{"example.org"}}, false},
		"8.8.8.8": {Names{Addresses: addresses("8.8.8.8")}, false}, "2001:db8::1": {Names{Addresses: addresses("2001:db8::1")}, false},
		"172.32.0.1": {Names{Addresses: addresses("172.32.0.1")}, false}, "100.128.0.1": {Names{Addresses: addresses("100.128.0.1")}, false},
		"notlocal": {Names{Hosts: []string{"notlocal"}}, false}, "saw.local": {Names{Hosts: []string{"saw.local", "bank.example.com"}}, false},
		"lathe.local": {Names{Hosts: []string{"lathe.local"}}, true}, "mill.lan": {Names{Hosts: []string{"mill.lan"}}, true}, "10.9.8.7": {Names{Addresses: addresses("10.9.8.7")}, true},
		"fd00::1": {Names{Addresses: addresses("fd00::1")}, true}, "a.home.arpa": {Names{Hosts: []string{"a.home.arpa"}}, true}, "mill.example.org": {Names{Hosts: []string{"mill.example.org"}}, true},
		"100.64.3.2": {Names{Addresses: addresses("100.64.3.2")}, true}, "169.254.1.1": {Names{Addresses: addresses("169.254.1.1")}, true}, "fe80::1": {Names{Addresses: addresses("fe80::1")}, true},
	} {
		p, err := m.root.newServer(n.names, h.now)
		if err != nil {
			t.Fatal(err)
		}
		if err := believed(m, p.certificate, name, h.now); (err == nil) != n.fine {
			t.Errorf("%s: %v", name, err)
		}
	}
	below, err := made(&x509.Certificate{IsCA: true, BasicConstraintsValid: true, NotBefore: h.now, NotAfter: h.now.Add(time.Hour), KeyUsage: x509.KeyUsageCertSign}, &m.root)
	if err != nil {
		t.Fatal(err)
	}
	p, err := below.newServer(Names{Hosts: []string{"saw.local"}}, h.now)
	if err != nil {
		t.Fatal(err)
	}
	roots, between := x509.NewCertPool(), x509.NewCertPool()
	roots.AddCert(m.root.certificate)
	between.AddCert(below.certificate)
	if _, err := p.certificate.Verify(x509.VerifyOptions{Roots: roots, Intermediates: between, DNSName: "saw.local", CurrentTime: h.now.Add(time.Minute)}); err == nil {
		t.Error("a root below the root is believed")
	}
}

// The certificate is made anew when 30 days are left, under the same root, and kept for the next start.
func TestItIsMadeAnewBeforeItEnds(t *testing.T) {
	h := newHouse(t)
	m := h.open()
	first, _ := serves(t, m), m.root
	for _, c := range []struct {
		left time.Duration
		anew bool
	}{{31 * 24 * time.Hour, false}, {29 * 24 * time.Hour, true}} {
		h.now = first.NotAfter.Add(-c.left)
		now := serves(t, m)
		if now.Equal(first) == c.anew {
			t.Errorf("%v before its end: made anew %v", c.left, !c.anew)
		}
		if err := believed(m, now, "saw.local", h.now); err != nil {
			t.Error(err)
		}
	}
	if again := h.open(); !serves(t, again).Equal(serves(t, m)) || !again.root.certificate.Equal(m.root.certificate) {
		t.Error("the next start does not find it")
	}
	h.now = noon.Add(-48 * time.Hour) // the clock is put back: nobody would believe it
	if again := h.open(); believed(again, serves(t, again), "saw.local", h.now) != nil {
		t.Error("nobody believes it after the clock was put back")
	}
}

func TestItFollowsTheMachinesAddresses(t *testing.T) {
	h := newHouse(t)
	m := h.open()
	h.own.Addresses = addresses("192.168.7.55")
	first := serves(t, m)
	if believed(m, first, "192.168.7.55", h.now) == nil {
		t.Error("the addresses were asked for at every connection")
	}
	h.now = h.now.Add(looking)
	if err := believed(m, serves(t, m), "192.168.7.55", h.now); err != nil {
		t.Error(err)
	}
	h.own.Hosts = append(h.own.Hosts, "lathe") // renamed: the root may not vouch for that, and stays
	again := h.open()
	if again.Remade() != "" || !slices.Contains(again.LeftOut(), "lathe") || believed(again, serves(t, again), "192.168.7.55", h.now) != nil {
		t.Errorf("remade %q, left out %v", again.Remade(), again.LeftOut())
	}
}

func TestTheRootIsMadeAnewOnlyWhenItMust(t *testing.T) {
	h := newHouse(t)
	root := h.open("mill.lan").root.certificate
	if m := h.open("10.1.2.3"); m.Remade() != "" || !m.root.certificate.Equal(root) {
		t.Errorf("for a private address: %s", m.Remade())
	}
	m := h.open("mill.example.org")
	if !strings.Contains(m.Remade(), "mill.example.org") || m.root.certificate.Equal(root) || !strings.Contains(h.log.String(), "trust the new one") {
		t.Errorf("%q; log %s", m.Remade(), &h.log)
	}
	if err := believed(m, serves(t, m), "mill.example.org", h.now); err != nil {
		t.Error(err)
	}
	root = m.root.certificate
	h.now = root.NotAfter.Add(-29 * 24 * time.Hour)
	if err := believed(m, serves(t, m), "mill.example.org", h.now); err != nil || m.root.certificate.Equal(root) || !strings.Contains(m.Remade(), "ended") {
		t.Errorf("after ten years: %v, %q", err, m.Remade())
	}
}

func TestTheKeysAreTheOwners(t *testing.T) {
	h := newHouse(t)
	h.open()
	info, err := os.Stat(h.folder)
	if err != nil || info.Mode().Perm() != 0o700 {
		t.Errorf("%v %v", info.Mode(), err)
	}
	list, err := os.ReadDir(h.folder)
	if err != nil || len(list) != 2 {
		t.Fatalf("%v %v", list, err)
	}
	for _, f := range list {
		if info, err := f.Info(); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: %v %v", f.Name(), info.Mode(), err)
		}
	}
}

// A server's certificate that is torn is made anew; a root that is torn is not: each tablet would have to be gone round.
func TestTornFiles(t *testing.T) {
	h := newHouse(t)
	m := h.open()
	path := filepath.Join(h.folder, serverFile)
	if err := os.Truncate(path, 100); err != nil {
		t.Fatal(err)
	}
	if again := h.open(); believed(again, serves(t, again), "saw.local", h.now) != nil || !again.root.certificate.Equal(m.root.certificate) {
		t.Error("not made anew")
	}
	if err := os.Truncate(filepath.Join(h.folder, rootFile), 100); err != nil {
		t.Fatal(err)
	}
	_, err := Open(h.setting())
	if tr := (*trouble.Trouble)(nil); !errors.As(err, &tr) || tr.Code != "bad-root" || tr.Next == "" {
		t.Error(err)
	}
}

// A disk that is full when it is due keeps nobody out.
func TestWhatCannotBeKeptServes(t *testing.T) {
	h := newHouse(t)
	m := h.open()
	first := serves(t, m)
	if err := os.RemoveAll(h.folder); err != nil {
		t.Fatal(err)
	}
	h.now = first.NotAfter.Add(-29 * 24 * time.Hour)
	if now := serves(t, m); believed(m, now, "saw.local", h.now) != nil || !strings.Contains(h.log.String(), "cannot be kept") {
		t.Errorf("log %s", &h.log)
	}
	if _, err := Open(Setting{Folder: filepath.Join(os.DevNull, "x")}); err == nil {
		t.Error("a folder within a device")
	}
}

func TestFingerprints(t *testing.T) {
	// SHA-256 of "abc": FIPS 180-2, appendix B.1.
	if got := Fingerprint([]byte("abc")); got != "BA:78:16:BF 8F:01:CF:EA 41:41:40:DE 5D:AE:22:23 B0:03:61:A3 96:17:7A:9C B4:10:FF:61 F2:00:15:AD" {
		t.Error(got)
	}
}

func TestOwnNames(t *testing.T) {
	n := Own("Mill.Example.org.", "10.1.2.3", "under_score", "fe80::1%eth0", "")
	for _, want := range []string{"localhost", "mill.example.org", "127.0.0.1", "::1", "10.1.2.3", "fe80::1"} {
		if !slices.Contains(n.words(), want) {
			t.Errorf("%s is not in %v", want, n.words())
		}
	}
	for _, h := range n.Hosts {
		if !regexp.MustCompile(`^[a-z0-9.-]+$`).MatchString(h) {
			t.Errorf("%q is no name", h)
		}
	}
}
