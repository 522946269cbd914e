package trust

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"math/big"
	"net"
	"net/netip"
	"slices"
	"time"
)

const (
	rootLife   = 10 * 365 * 24 * time.Hour
	serverLife = 397 * 24 * time.Hour // what browsers take at most of any certificate (CA/Browser Forum, ballot SC31)
	renewal    = 30 * 24 * time.Hour  // before the end
	backdated  = time.Hour            // for tablets whose clock is behind
)

// pair is a certificate with its key.
type pair struct {
	certificate *x509.Certificate
	key         *ecdsa.PrivateKey
}

// newRoot makes a root that can vouch for what is local and for what is named, and for nothing else.
func newRoot(named Names, now time.Time) (pair, error) {
	ranges := slices.Clone(private)
	for _, a := range named.Addresses {
		if !contains(ranges, a) {
			ranges = append(ranges, netip.PrefixFrom(a, a.BitLen()))
		}
	}
	hosts := slices.Clone(local)
	for _, h := range named.Hosts {
		if !slices.ContainsFunc(hosts, func(above string) bool { return within(h, above) }) {
			hosts = append(hosts, h)
		}
	}
	machine := "a mill"
	if i := slices.IndexFunc(named.Hosts, func(h string) bool { return h != "localhost" }); i >= 0 {
		machine = named.Hosts[i]
	}
	form := &x509.Certificate{
		Subject:   pkix.Name{Organization: []string{"slatewright"}, CommonName: shortened("Mill pages of " + machine + ", " + now.Format("2006-01-02"))},
		NotBefore: now.Add(-backdated), NotAfter: now.Add(rootLife),
		IsCA: true, BasicConstraintsValid: true, MaxPathLen: 0, MaxPathLenZero: true,
		KeyUsage: x509.KeyUsageCertSign, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		PermittedDNSDomainsCritical: true, PermittedDNSDomains: hosts, PermittedIPRanges: networks(ranges),
		PermittedEmailAddresses: nowhere, PermittedURIDomains: nowhere,
	}
	return made(form, nil)
}

// nowhere is a domain that nobody has (RFC 6761): a kind of names for which none is permitted would be free.
var nowhere = []string{"invalid"}

// shortened cuts a common name to the 64 characters that it may have (RFC 5280, appendix A.1).
func shortened(name string) string { return name[:min(64, len(name))] }

func networks(list []netip.Prefix) (out []*net.IPNet) {
	for _, p := range list {
		out = append(out, &net.IPNet{IP: p.Addr().AsSlice(), Mask: net.CIDRMask(p.Bits(), p.Addr().BitLen())})
	}
	return out
}

func contains(list []netip.Prefix, a netip.Addr) bool {
	return slices.ContainsFunc(list, func(p netip.Prefix) bool { return p.Contains(a) })
}

// newServer makes a server's certificate for names that the root may vouch for.
func (root pair) newServer(n Names, now time.Time) (pair, error) {
	end := now.Add(-backdated).Add(serverLife - time.Second) // both ends are within the time
	if root.certificate.NotAfter.Before(end) {
		end = root.certificate.NotAfter
	}
	form := &x509.Certificate{
		Subject:   pkix.Name{Organization: []string{"slatewright"}, CommonName: "Mill pages"},
		NotBefore: now.Add(-backdated), NotAfter: end, BasicConstraintsValid: true,
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}, DNSNames: n.Hosts,
	}
	for _, a := range n.Addresses {
		form.IPAddresses = append(form.IPAddresses, a.AsSlice())
	}
	return made(form, &root)
}

// made signs a form with a new key, by a root or by itself.
func made(form *x509.Certificate, by *pair) (pair, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return pair{}, err
	}
	if form.SerialNumber, err = rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 127)); err != nil {
		return pair{}, err
	}
	if by == nil {
		by = &pair{form, key}
	}
	der, err := x509.CreateCertificate(rand.Reader, form, by.certificate, key.Public(), by.key)
	if err != nil {
		return pair{}, err
	}
	c, err := x509.ParseCertificate(der)
	return pair{c, key}, err
}

// vouchable divides names into those that the root may vouch for and those that it may not.
func (root pair) vouchable(n Names) (may, not Names) {
	for _, h := range n.Hosts {
		into := &not
		if slices.ContainsFunc(root.certificate.PermittedDNSDomains, func(above string) bool { return within(h, above) }) {
			into = &may
		}
		into.Hosts = append(into.Hosts, h)
	}
	for _, a := range n.Addresses {
		into := &not
		if slices.ContainsFunc(root.certificate.PermittedIPRanges, func(r *net.IPNet) bool { return r.Contains(a.AsSlice()) }) {
			into = &may
		}
		into.Addresses = append(into.Addresses, a)
	}
	return may, not
}

// namesOf are the names that a certificate answers to.
func namesOf(c *x509.Certificate) (n Names) {
	n.Hosts = c.DNSNames
	for _, ip := range c.IPAddresses {
		if a, ok := netip.AddrFromSlice(ip); ok {
			n.Addresses = append(n.Addresses, a.Unmap())
		}
	}
	return n
}

// runsOut tells whether a certificate is to be made anew: it ends soon, or has not begun, because a clock was put right.
func runsOut(c *x509.Certificate, now time.Time) bool {
	return now.After(c.NotAfter.Add(-renewal)) || now.Before(c.NotBefore)
}

// text writes a pair as one file: the certificate and its key, as PEM.
func (p pair) text() ([]byte, error) {
	key, err := x509.MarshalPKCS8PrivateKey(p.key)
	if err != nil {
		return nil, err
	}
	return append(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: p.certificate.Raw}), pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: key})...), nil
}

// parsed reads what text wrote.
func parsed(text []byte) (pair, error) {
	read, err := tls.X509KeyPair(text, text)
	if err != nil {
		return pair{}, err
	}
	key, ok := read.PrivateKey.(*ecdsa.PrivateKey)
	if !ok {
		return pair{}, fmt.Errorf("the key is a %T", read.PrivateKey)
	}
	if read.Leaf == nil {
		return pair{}, errors.New("there is no certificate in it")
	}
	return pair{read.Leaf, key}, nil
}
