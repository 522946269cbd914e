// Package trust gives the mill's pages their TLS: certificates that were given as files, or a root and a server's certificate made
// here and kept in a folder of the mill; and one port that speaks TLS and plain HTTP alike.
//
// What is made here vouches for little: the root is constrained to private addresses and to the mill's own names, so that whoever
// steals its key can pretend to be the mill and no other house. Some systems do not look at the constraints of a root that a person has
// trusted by hand, so the key is to be kept all the same.
//
// The package serves no page, installs no root on any device, asks no authority on the internet for a certificate, and does not know
// what is served.
package trust

import (
	"crypto/sha256"
	"crypto/tls"
	"encoding/hex"
	"strings"
)

// protocols are what is spoken within TLS, the best first.
var protocols = []string{"h2", "http/1.1"}

// Certificates gives the certificate of each connection as it is wanted now.
type Certificates interface {
	GetCertificate(*tls.ClientHelloInfo) (*tls.Certificate, error)
}

// Config is how TLS is spoken: version 1.2 at least.
func Config(c Certificates) *tls.Config {
	return &tls.Config{MinVersion: tls.VersionTLS12, NextProtos: protocols, GetCertificate: c.GetCertificate}
}

// Fingerprint is the SHA-256 of a certificate (DER) as people compare it: eight groups of four pairs, such as 3F:2A:9C:01.
func Fingerprint(der []byte) string {
	sum := sha256.Sum256(der)
	var groups []string
	for i := 0; i < len(sum); i += 4 {
		var pairs []string
		for _, b := range sum[i : i+4] {
			pairs = append(pairs, strings.ToUpper(hex.EncodeToString([]byte{b})))
		}
		groups = append(groups, strings.Join(pairs, ":"))
	}
	return strings.Join(groups, " ")
}
