package certificate

import (
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"

	"slatewright/trouble"
)

// Seal is what holds a body together: its digest and who signed it.
type Seal struct {
	Scheme    string `json:"scheme"`        // how the seal is made: Scheme1
	Digest    string `json:"digest_sha256"` // of the body's canonical bytes, hexadecimal
	KeyKind   string `json:"key_kind"`      // mill or demo
	KeyID     string `json:"key_id"`
	PublicKey string `json:"public_key"` // SubjectPublicKeyInfo (RFC 8410), base64
	Signature string `json:"signature"`  // Ed25519 (RFC 8032), base64
}

// Scheme1 is the one scheme of seals so far: Ed25519 over three lines of text, the second with the SHA-256 of the body.
const Scheme1 = "slatewright seal 1"

// message is what is signed: it names the scheme, so that a signature of ours can be taken for nothing else, and the key with
// its kind, so that the mark of a demo key cannot be taken off.
func message(digest string, p PublicKey) []byte {
	return []byte(Scheme1 + "\nbody sha256 " + digest + "\nkey " + p.kind() + " " + p.ID() + "\n")
}

// SealBody signs the body. A demo key signs only bodies that say that their data are invented, and a mill's key only others: of
// readings that say so it signs no body, with the mark or without it.
func SealBody(b Body, k Key) (Certificate, error) {
	invented := b.Demo() || b.Given.invented()
	switch {
	case invented && !k.demo:
		return Certificate{}, trouble.Usage("wrong-key", k.String(), "the readings or the body say \""+Invented+"\", and a mill's key signs only real stone",
			"sign them with a demo key (keygen --demo); if the stone is real, that line does not belong in the files: read it anew")
	case k.demo && !b.Demo():
		return Certificate{}, trouble.Usage("wrong-key", k.String(), "a demo key signs only what says \""+Invented+"\", and the body does not",
			"sign a mill's own readings with the mill's key, or say that they are invented")
	}
	if b.Found.Verdict == "" {
		return Certificate{}, trouble.Own("no-verdict", b.Set, "there is nothing to sign: the set was not judged", "compose the body first")
	}
	digest, err := b.Digest()
	if err != nil {
		return Certificate{}, err
	}
	c := Certificate{Body: b, Seal: Seal{Scheme: Scheme1, Digest: digest}}
	c.Seal.sign(k)
	return c, nil
}

// sign puts the key and its signature of the digest into the seal.
func (s *Seal) sign(k Key) {
	p := k.Public()
	s.KeyKind, s.KeyID, s.PublicKey = p.kind(), p.ID(), p.standard()
	s.Signature = base64.StdEncoding.EncodeToString(ed25519.Sign(k.secret, message(s.Digest, p)))
}

// signedBy reads the key out of the seal and tells whether its signature holds for the digest.
func (s Seal) signedBy(digest string) (p PublicKey, ok bool) {
	p, ok = publicKeyOf(s.KeyKind, s.PublicKey)
	if !ok {
		return p, false
	}
	signature, err := base64.StdEncoding.Strict().DecodeString(s.Signature)
	return p, err == nil && s.Scheme == Scheme1 && s.KeyID == p.ID() && ed25519.Verify(p.point[:], message(digest, p), signature)
}

// digestOf is the SHA-256 of a text, hexadecimal.
func digestOf(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}
