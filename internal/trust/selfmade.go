package trust

import (
	"crypto/tls"
	"errors"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"slatewright/trouble"
)

// The files of a folder, each a certificate with its key.
const (
	rootFile   = "root.pem"
	serverFile = "server.pem"
)

// Setting is what a self-made certificate is made from.
type Setting struct {
	Folder string                // where root and certificate are kept
	Said   []string              // hosts and addresses that a person said others reach the mill by; the root vouches for them in any case
	Own    func(...string) Names // names of the machine; Own when nil
	Clock  func() time.Time      // time.Now when nil
	Log    *slog.Logger          // nowhere when nil
}

// SelfMade is a root and a server's certificate under it, made here. The certificate is made anew when it ends soon and when the machine
// has got another address; the root only when it ends or a person says a name that it may not vouch for.
type SelfMade struct {
	Setting
	mu      sync.Mutex
	root    pair
	server  *tls.Certificate
	names   Names // of the server's certificate
	looked  time.Time
	remade  string
	leftOut Names
}

// looking is how often the machine's addresses are asked for while connections come in.
const looking = 30 * time.Second

// Open takes up what a folder keeps, and makes what is not there.
func Open(s Setting) (*SelfMade, error) {
	if s.Own == nil {
		s.Own = Own
	}
	if s.Clock == nil {
		s.Clock = time.Now
	}
	if s.Log == nil {
		s.Log = slog.New(slog.DiscardHandler)
	}
	if err := os.MkdirAll(s.Folder, 0o700); err != nil {
		return nil, unwritable(s.Folder, err)
	}
	m := &SelfMade{Setting: s}
	m.mu.Lock()
	defer m.mu.Unlock()
	return m, m.renew()
}

// GetCertificate gives the certificate for a connection, made anew where that is due. One that cannot be made anew serves on.
func (m *SelfMade) GetCertificate(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if now := m.Clock(); now.Sub(m.looked) >= looking || now.Before(m.looked) {
		if err := m.renew(); err != nil {
			m.Log.Warn("the certificate of the pages cannot be made anew; the old one serves on", "cause", err)
		}
	}
	return m.server, nil
}

// Root is the root's certificate as DER, which every system installs and whose digest is the fingerprint.
func (m *SelfMade) Root() (der []byte, fingerprint string) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.root.certificate.Raw, Fingerprint(m.root.certificate.Raw)
}

// Remade says why the root was made anew when the folder was opened; empty when it was not. Tablets must then trust the new one.
func (m *SelfMade) Remade() string {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.remade
}

// LeftOut are names of the machine that the certificate does not hold, because its root may not vouch for them.
func (m *SelfMade) LeftOut() []string {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.leftOut.words()
}

// renew takes up or makes what is due now.
func (m *SelfMade) renew() error {
	now := m.Clock()
	m.looked = now
	if err := m.renewRoot(now); err != nil {
		return err
	}
	wanted, not := m.root.vouchable(m.Own(m.Said...))
	m.leftOut = not
	if m.server == nil {
		m.takeUp(now)
	}
	if m.server != nil && !runsOut(m.server.Leaf, now) && m.names.holds(wanted) && m.server.Leaf.CheckSignatureFrom(m.root.certificate) == nil {
		return nil
	}
	p, err := m.root.newServer(wanted, now)
	if err == nil {
		m.take(p)
		err = m.keep(serverFile, p)
	}
	return err
}

// take serves a certificate from now on.
func (m *SelfMade) take(p pair) {
	m.server = &tls.Certificate{Certificate: [][]byte{p.certificate.Raw}, PrivateKey: p.key, Leaf: p.certificate}
	m.names = namesOf(p.certificate)
}

// takeUp takes the server's certificate from its file. One that cannot be read is made anew without a word: no tablet trusts it by itself.
func (m *SelfMade) takeUp(now time.Time) {
	text, err := os.ReadFile(filepath.Join(m.Folder, serverFile))
	if err != nil {
		return
	}
	if p, err := parsed(text); err == nil && !runsOut(p.certificate, now) {
		m.take(p)
	}
}

// renewRoot takes up the root, or makes one where there is none, it ends, or it may not vouch for what a person said.
func (m *SelfMade) renewRoot(now time.Time) (err error) {
	path := filepath.Join(m.Folder, rootFile)
	if m.root.certificate == nil {
		text, err := os.ReadFile(path)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return m.newRoot("", now)
		case err != nil:
			return trouble.IO("unreadable", path, "the root of the pages' certificate cannot be read: "+reason(err), "look at the file and its folder").Because(err)
		}
		if m.root, err = parsed(text); err != nil {
			return trouble.Data("bad-root", path, "this is not the root that was made here: "+err.Error(),
				"put back the file from a copy; or delete it to have another made, which every tablet must then be told to trust").Because(err)
		}
	}
	if runsOut(m.root.certificate, now) {
		return m.newRoot("the old one ended on "+m.root.certificate.NotAfter.Format("2006-01-02"), now)
	}
	var said Names
	for _, s := range m.Said {
		said.add(s)
	}
	if _, not := m.root.vouchable(said); len(not.Hosts)+len(not.Addresses) > 0 {
		return m.newRoot("the old one may not vouch for "+strings.Join(not.words(), ", "), now)
	}
	return nil
}

// newRoot makes the root. Names of the machine count as local, its addresses only where they are private: a root does not vouch for
// the internet because a machine has an address there.
func (m *SelfMade) newRoot(because string, now time.Time) error {
	own := m.Own()
	named := Names{Hosts: own.Hosts}
	for _, s := range m.Said {
		named.add(s)
	}
	p, err := newRoot(named, now)
	if err == nil {
		err = m.keep(rootFile, p)
	}
	if err != nil {
		return err
	}
	if m.root, m.remade = p, because; because != "" {
		m.Log.Warn("the root of the pages' certificate was made anew: every tablet must be told to trust the new one", "why", because,
			"fingerprint", Fingerprint(p.certificate.Raw))
	}
	return nil
}

// keep writes a pair into the folder, whole or not at all.
func (m *SelfMade) keep(name string, p pair) (err error) {
	path := filepath.Join(m.Folder, name)
	text, err := p.text()
	if err != nil {
		return err
	}
	part, err := os.CreateTemp(m.Folder, name+".*") // mode 0600
	if err != nil {
		return unwritable(path, err)
	}
	defer os.Remove(part.Name()) // gone already when all went well
	_, err = part.Write(text)
	if err == nil {
		err = part.Sync()
	}
	if closing := part.Close(); err == nil {
		err = closing
	}
	if err == nil {
		err = os.Rename(part.Name(), path)
	}
	if err != nil {
		return unwritable(path, err)
	}
	return nil
}

func unwritable(path string, err error) error {
	return trouble.IO("unwritable", path, "the certificate of the pages cannot be kept: "+reason(err), "check the folder, its permissions, and whether the disk is full").Because(err)
}

// reason is what a system says of a file, without its path.
func reason(err error) string {
	if p := (*fs.PathError)(nil); errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}
