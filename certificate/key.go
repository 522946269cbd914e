package certificate

import (
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"io"
	"strings"

	"slatewright/trouble"
)

// PublicKey tells who signed. The kind (a mill's key or a demo key) is part of the key: the same 32 bytes as the other kind
// have another id and sign other messages.
type PublicKey struct {
	demo  bool
	point [ed25519.PublicKeySize]byte
}

// Key signs certificates. It prints as its id, never as its secret.
type Key struct {
	demo   bool
	secret ed25519.PrivateKey
}

// NewKey makes a key from 32 random bytes. A demo key is for invented data: whatever it signs says so.
func NewKey(random io.Reader, demo bool) (Key, error) {
	seed := make([]byte, ed25519.SeedSize)
	if _, err := io.ReadFull(random, seed); err != nil {
		return Key{}, trouble.IO("no-randomness", "", "the source of random bytes gave too few", "try again").Because(err)
	}
	return Key{demo: demo, secret: ed25519.NewKeyFromSeed(seed)}, nil
}

// Public returns what others need to check signatures of k.
func (k Key) Public() PublicKey {
	p := PublicKey{demo: k.demo}
	copy(p.point[:], k.secret[ed25519.SeedSize:])
	return p
}

// String returns the key's id.
func (k Key) String() string { return k.Public().ID() }

// GoString returns the key's id, so that no way of printing shows the secret.
func (k Key) GoString() string { return k.String() }

// Demo tells whether the key is only for invented data.
func (p PublicKey) Demo() bool { return p.demo }

// RefuseDemo returns an error if the key is a demo key: a mill's book takes none.
func (p PublicKey) RefuseDemo() error {
	if p.demo {
		return trouble.Data("demo-key", "", "the key "+p.ID()+" is a demo key: it signs invented data only", "make a key of your own with keygen, without --demo")
	}
	return nil
}

// ID returns the key's fingerprint: the first ten bytes of the SHA-256 of the kind and the key. That of a demo key says demo.
func (p PublicKey) ID() string {
	sum := sha256.Sum256(append([]byte("slatewright key 1\n"+p.kind()+"\n"), p.point[:]...))
	var groups []string
	if p.demo {
		groups = append(groups, kindDemo)
	}
	for i := 0; i < 10; i += 2 {
		groups = append(groups, hex.EncodeToString(sum[i:i+2]))
	}
	return strings.Join(groups, "-")
}

// The kinds of keys as files and seals write them.
const (
	kindMill = "mill"
	kindDemo = "demo"
)

func (p PublicKey) kind() string {
	if p.demo {
		return kindDemo
	}
	return kindMill
}

// What stands in front of the 32 bytes in the standard forms of RFC 8410: PKCS#8 (section 7) and SubjectPublicKeyInfo
// (section 4), both in DER.
const (
	privatePrefix = "\x30\x2e\x02\x01\x00\x30\x05\x06\x03\x2b\x65\x70\x04\x22\x04\x20"
	publicPrefix  = "\x30\x2a\x30\x05\x06\x03\x2b\x65\x70\x03\x21\x00"
)

// standard returns the key as SubjectPublicKeyInfo in base64.
func (p PublicKey) standard() string {
	return base64.StdEncoding.EncodeToString(append([]byte(publicPrefix), p.point[:]...))
}

// publicKeyOf reads what standard wrote, and nothing else.
func publicKeyOf(kind, standard string) (PublicKey, bool) {
	der, err := base64.StdEncoding.Strict().DecodeString(standard)
	point, found := strings.CutPrefix(string(der), publicPrefix)
	if err != nil || !found || len(point) != ed25519.PublicKeySize || (kind != kindMill && kind != kindDemo) {
		return PublicKey{}, false
	}
	p := PublicKey{demo: kind == kindDemo}
	copy(p.point[:], point)
	return p, p.standard() == standard
}

// Text returns the key file. Whoever has it can sign in the mill's name: it belongs in a new file that only its owner may
// read (mode 0600, never written over another file).
func (k Key) Text() []byte {
	der := append([]byte(privatePrefix), k.secret.Seed()...)
	return keyText("private", "PRIVATE KEY", k.Public(), base64.StdEncoding.EncodeToString(der))
}

// Text returns the public key file.
func (p PublicKey) Text() []byte { return keyText("public", "PUBLIC KEY", p, p.standard()) }

// keyText writes a key in the armour of RFC 7468, with explanatory text above it.
func keyText(secrecy, label string, p PublicKey, body string) []byte {
	return []byte("slatewright " + secrecy + " key 1\nkind: " + p.kind() + "\nid: " + p.ID() +
		"\n-----BEGIN " + label + "-----\n" + body + "\n-----END " + label + "-----\n")
}

// ParseKey reads a key file; name is used in messages.
func ParseKey(name string, text []byte) (Key, error) {
	kind, body := keyLines(text)
	der, err := base64.StdEncoding.Strict().DecodeString(body)
	seed, found := strings.CutPrefix(string(der), privatePrefix)
	if err != nil || !found || len(seed) != ed25519.SeedSize {
		return Key{}, badKey(name, "private")
	}
	k := Key{demo: kind == kindDemo, secret: ed25519.NewKeyFromSeed([]byte(seed))}
	return k, k.Public().check(name, text, k.Text())
}

// ParsePublicKey reads a public key file; name is used in messages.
func ParsePublicKey(name string, text []byte) (PublicKey, error) {
	kind, body := keyLines(text)
	p, ok := publicKeyOf(kind, body)
	if !ok {
		return PublicKey{}, badKey(name, "public")
	}
	return p, p.check(name, text, p.Text())
}

// check refuses a key file that is not written as the key itself is.
func (p PublicKey) check(name string, text, again []byte) error {
	if string(again) == plainLines(text) {
		return nil
	}
	if lines := strings.Split(plainLines(text), "\n"); len(lines) > 2 && lines[2] != "id: "+p.ID() {
		return trouble.Data("bad-key", name+":3", "the id does not belong to a "+p.kind()+" key with these bytes: the file was changed",
			"use the file as keygen wrote it; a demo key cannot be made a mill's key, make a new one")
	}
	return trouble.Data("bad-key", name, "the key file is not as keygen wrote it", "use the file as keygen wrote it, with nothing added")
}

func badKey(name, secrecy string) error {
	return trouble.Data("bad-key", name, "this is no "+secrecy+" key file", "make one with keygen, and name its "+secrecy+" part here")
}

// keyLines picks the kind and the armoured line out of a key file.
func keyLines(text []byte) (kind, body string) {
	lines := strings.Split(plainLines(text), "\n")
	if len(lines) < 6 || (lines[1] != "kind: "+kindMill && lines[1] != "kind: "+kindDemo) {
		return "", ""
	}
	return strings.TrimPrefix(lines[1], "kind: "), lines[4]
}

// plainLines undoes what mail and editors do to line ends.
func plainLines(text []byte) string {
	return strings.TrimRight(strings.ReplaceAll(string(text), "\r\n", "\n"), "\n") + "\n"
}
