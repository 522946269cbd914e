package trust

import (
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"io/fs"
	"log/slog"
	"os"
	"strings"
	"sync"
	"time"

	"slatewright/trouble"
)

// Files says where a certificate lies that somebody else made.
type Files struct {
	Certificate string           // PEM, the server's own first, then those between it and a root
	Key         string           // PEM, without a passphrase
	Host        string           // a name or address that it must hold; empty: any will do
	Clock       func() time.Time // time.Now when nil
	Log         *slog.Logger     // nowhere when nil
}

// Given is a certificate from files. It is read again when the files change.
type Given struct {
	Files
	mu     sync.Mutex
	now    *tls.Certificate
	seen   [2]stamp
	looked time.Time
}

// stamp tells a changed file.
type stamp struct {
	size     int64
	modified time.Time
}

// rereading is how often the files are looked at while connections come in.
const rereading = 10 * time.Second

// mostText is the largest file that is read: a chain has some 10 kB.
const mostText = 1 << 20

// Load reads the files. A pair that does not fit, has ended or holds no name is trouble.
func Load(f Files) (*Given, error) {
	if f.Clock == nil {
		f.Clock = time.Now
	}
	if f.Log == nil {
		f.Log = slog.New(slog.DiscardHandler)
	}
	g := &Given{Files: f, looked: f.Clock()}
	var err error
	if g.seen, err = g.stamps(); err != nil {
		return nil, err
	}
	g.now, err = g.read()
	return g, err
}

// GetCertificate gives the certificate for a connection. When changed files cannot be used the old one serves on, and the log says why.
func (g *Given) GetCertificate(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	now := g.Clock()
	if now.Sub(g.looked) < rereading && !now.Before(g.looked) {
		return g.now, nil
	}
	g.looked = now
	seen, err := g.stamps()
	if err != nil || seen == g.seen {
		return g.now, nil // between two names, as when a file is replaced; it is looked at again
	}
	read, err := g.read()
	if g.seen = seen; err != nil {
		g.Log.Warn("the new certificate of the pages cannot be used; the old one serves on", "cause", err)
		return g.now, nil
	}
	g.now = read
	g.Log.Info("the certificate of the pages was read again", "ends", read.Leaf.NotAfter)
	return g.now, nil
}

// Ends is when the certificate ends.
func (g *Given) Ends() time.Time {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.now.Leaf.NotAfter
}

func (g *Given) stamps() (s [2]stamp, err error) {
	for i, path := range []string{g.Certificate, g.Key} {
		info, err := os.Stat(path)
		if err != nil {
			return s, missing(path, err)
		}
		s[i] = stamp{info.Size(), info.ModTime()}
	}
	return s, nil
}

func missing(path string, err error) error {
	next := "check the file's permissions"
	if errors.Is(err, fs.ErrNotExist) {
		next = "check the name, and the folder you are in"
	}
	return trouble.IO("unreadable", path, "the file cannot be read: "+reason(err), next).Because(err)
}

// read reads the pair and holds it to what a server needs.
func (g *Given) read() (*tls.Certificate, error) {
	var texts [2][]byte
	for i, path := range []string{g.Certificate, g.Key} {
		info, err := os.Stat(path)
		if err == nil && (info.IsDir() || info.Size() > mostText) {
			return nil, trouble.Data("bad-certificate", path, "this is no file with a certificate or key", "name a PEM file")
		}
		if texts[i], err = os.ReadFile(path); err != nil {
			return nil, missing(path, err)
		}
	}
	c, err := tls.X509KeyPair(texts[0], texts[1])
	if err != nil {
		return nil, g.unfit(texts[0], err)
	}
	now := g.Clock()
	switch leaf := c.Leaf; {
	case now.After(leaf.NotAfter):
		return nil, trouble.Data("certificate-ended", g.Certificate, "the certificate ended on "+leaf.NotAfter.Format("2006-01-02"), "have it renewed where it came from")
	case now.Before(leaf.NotBefore):
		return nil, trouble.Data("certificate-not-begun", g.Certificate, "the certificate begins on "+leaf.NotBefore.Format("2006-01-02 15:04"), "set this machine's clock, or wait until then")
	case len(leaf.DNSNames)+len(leaf.IPAddresses) == 0:
		return nil, trouble.Data("certificate-without-name", g.Certificate, "the certificate holds no name that browsers look at (subject alternative name)", "have one made for the name by which tablets reach the mill")
	case g.Host != "" && leaf.VerifyHostname(g.Host) != nil:
		return nil, trouble.Data("other-name", g.Certificate, "the certificate is for "+strings.Join(namesOf(leaf).words(), ", ")+", and not for "+g.Host,
			"have one made for that name, or give its own by --address")
	}
	return &c, nil
}

// unfit says why two files are no pair.
func (g *Given) unfit(text []byte, err error) error {
	block, _ := pem.Decode(text)
	for rest := text; block != nil && block.Type != "CERTIFICATE"; {
		block, rest = pem.Decode(rest)
	}
	switch {
	case block == nil:
	case strings.Contains(err.Error(), "private key does not match"):
		return trouble.Data("other-key", g.Key, "the key is not that of the certificate in "+g.Certificate, "name the key that the certificate was asked for with").Because(err)
	default:
		if _, torn := x509.ParseCertificate(block.Bytes); torn == nil {
			return trouble.Data("bad-key", g.Key, "there is no key in it that can be used", "name a file with the key as PEM, without a passphrase").Because(err)
		}
	}
	return trouble.Data("bad-certificate", g.Certificate, "there is no certificate in it that can be used", "name a file with the certificate as PEM, the server's own first").Because(err)
}
