// Package certificate seals a verdict: what was decided about a set of three pieces, and everything it was decided from, in one
// file that a stranger can check.
//
// [Compose] goes the way from readings and specification to the verdict and writes a [Body]: its numbers are decimals with a
// fixed number of digits, its bytes are canonical. [SealBody] puts a SHA-256 digest and an Ed25519 signature to it.
// [Check.Verify] reads a certificate strictly, checks both, and composes the body anew from the readings inside
// ([Recompute]): whoever trusts neither the mill nor its key still learns whether the verdict follows from the readings.
// The format, its promise and how to check it with common tools stand in docs/certificate.md.
//
// A demo key signs invented data only, and nothing that it signed can be passed off as a mill's.
//
// The package does not seat, simulate or judge, it asks the packages that do; it makes no paper, keeps no keys, writes no
// files, and has no randomness or clock of its own. It cannot know whether the readings were ever taken from stone.
//
// It lies on the sealing path: + − × ÷ √ and comparison only, products never fused.
package certificate

import (
	"cmp"
	"encoding/json"
	"strconv"

	"slatewright/trouble"
)

// Certificate is a sealed body.
type Certificate struct {
	Body Body `json:"body"`
	Seal Seal `json:"seal"`
}

// Canonical returns the bytes of the body that are sealed.
func (b Body) Canonical() ([]byte, error) { return canonical(b) }

// Digest returns the SHA-256 of the body's canonical bytes, hexadecimal.
func (b Body) Digest() (string, error) {
	text, err := b.Canonical()
	if err != nil {
		return "", err
	}
	return digestOf(text), nil
}

// Text returns the certificate as it is written to a file: the canonical JSON, broken into short lines.
func (c Certificate) Text() ([]byte, error) {
	text, err := canonical(c)
	if err != nil {
		return nil, err
	}
	return layOut(text), nil
}

// MaxSize is the largest certificate that is read, in bytes; about four million readings.
const MaxSize = 256 << 20

// Parse reads a certificate, strictly: what it accepts is written again with the same bytes but for line breaks. It
// checks the form only; see [Check.Verify]. name is used in messages.
func Parse(name string, text []byte) (Certificate, error) {
	if len(text) > MaxSize {
		return Certificate{}, trouble.Data("too-large", name, "the file is larger than "+strconv.Itoa(MaxSize>>20)+" MiB", "name a certificate")
	}
	var c Certificate
	if err := parse(name, text, &c); err != nil {
		return Certificate{}, cmp.Or(otherVersion(name, text), err)
	}
	if c.Body.Mark != "" && c.Body.Mark != Invented {
		return Certificate{}, trouble.Data("bad-mark", name, "the mark is neither empty nor \""+Invented+"\"",
			"ask the mill for the certificate again")
	}
	if c.Body.Format != Format || c.Body.Version != Version {
		return Certificate{}, otherVersion(name, text)
	}
	return c, nil
}

// otherVersion returns an error if the text is a certificate in another version of the format, or something else altogether.
func otherVersion(name string, text []byte) error {
	var c struct {
		Body struct {
			Format  string
			Version int
		}
	}
	switch err := json.Unmarshal(text, &c); {
	case err != nil:
		return nil // the strict reader says it better
	case c.Body.Format != Format:
		return trouble.Data("no-certificate", name, "this is not a certificate of a set of slates made by slatewright",
			"name the .json file of the certificate")
	case c.Body.Version != Version:
		return trouble.Data("other-version", name, "the certificate has version "+strconv.Itoa(c.Body.Version)+
			" of the format, and this program knows version "+strconv.Itoa(Version), "check it with a program of its time; the certificate names it")
	}
	return nil
}
