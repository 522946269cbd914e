package gate

import (
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"

	"golang.org/x/crypto/argon2"
)

// Cost is what one hash of a passphrase costs: Argon2id's memory, passes over it, and lanes.
type Cost struct {
	MemoryKiB uint32
	Passes    uint32
	Lanes     uint8
}

// DefaultCost is the second recommended choice of RFC 9106 §4, for where 2 GiB for each hash are too much.
var DefaultCost = Cost{MemoryKiB: 64 << 10, Passes: 3, Lanes: 4}

// Sizes of salt and hash by the same section of RFC 9106.
const (
	saltSize = 16
	hashSize = 32
)

// What a stored hash may ask for at most: a hash from a strange backup must not take all memory. Common practice, no source.
const (
	mostMemoryKiB = 256 << 10
	mostPasses    = 64
)

// hash is an Argon2id hash with all that made it.
type hash struct {
	Cost
	salt, sum []byte
}

var b64 = base64.RawStdEncoding.Strict()

// String writes the hash in the PHC string format, as the reference implementation of Argon2 does.
func (h hash) String() string {
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, h.MemoryKiB, h.Passes, h.Lanes, b64.EncodeToString(h.salt), b64.EncodeToString(h.sum))
}

var errHash = errors.New("gate: a stored hash cannot be read")

// ParseHash reports whether a text is a hash as the gate writes them.
func ParseHash(s string) error {
	_, err := parseHash(s)
	return err
}

// parseHash reads what String writes and nothing else.
func parseHash(s string) (h hash, err error) {
	parts := strings.Split(s, "$")
	if len(parts) != 6 {
		return hash{}, errHash
	}
	if _, err := fmt.Sscanf(parts[3], "m=%d,t=%d,p=%d", &h.MemoryKiB, &h.Passes, &h.Lanes); err != nil {
		return hash{}, errHash
	}
	h.salt, _ = b64.DecodeString(parts[4])
	h.sum, _ = b64.DecodeString(parts[5])
	if !h.fits() || h.String() != s {
		return hash{}, errHash
	}
	return h, nil
}

// fits reports whether the hash can be computed at all, and within bounds.
func (h hash) fits() bool {
	return len(h.salt) >= 8 && len(h.salt) <= 64 && len(h.sum) >= 16 && len(h.sum) <= 64 && h.Lanes >= 1 && h.Passes >= 1 && h.Passes <= mostPasses &&
		h.MemoryKiB >= 8*uint32(h.Lanes) && h.MemoryKiB <= mostMemoryKiB // RFC 9106 §3.1: at least 8 KiB a lane
}

// of computes the hash of a secret with the same salt and cost.
func (h hash) of(secret string) []byte {
	return argon2.IDKey([]byte(secret), h.salt, h.Passes, h.MemoryKiB, h.Lanes, uint32(len(h.sum)))
}

// matches compares in a time that does not tell where they differ.
func (h hash) matches(secret string) bool {
	return subtle.ConstantTimeCompare(h.of(secret), h.sum) == 1
}

// less reports whether less was spent than c asks for, in anything.
func (h hash) less(c Cost) bool {
	return h.MemoryKiB < c.MemoryKiB || h.Passes < c.Passes || h.Lanes < c.Lanes || len(h.salt) < saltSize || len(h.sum) < hashSize
}

// digest is how a token or a tablet's secret is kept: 256 random bits need no slow hash.
func digest(secret string) string {
	sum := sha256.Sum256([]byte(secret))
	return hex.EncodeToString(sum[:])
}
