package book

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"time"
)

// Entry is one line of the journal: an act, who did it, when and where, chained to the entry before it.
type Entry struct {
	Seq     int64           // 1, 2, 3 … within the site, given by the ledger
	ID      string          // ULID given by the sender; the same id again is the same entry
	Site    string          // the mill
	At      time.Time       // when it was done, by the sender's clock; UTC, whole milliseconds
	Person  string          // id of a thing of kind person
	Station Station         // where it was done
	Act     string          // the act's word, as in "surface"
	Body    json.RawMessage // the act as JSON, kept byte for byte
	Prev    Digest          // hash of the entry before; zero for the first
	Hash    Digest          // SHA-256 of Line
}

// Digest is a SHA-256 hash.
type Digest [sha256.Size]byte

// String returns the digest in hexadecimal.
func (d Digest) String() string { return hex.EncodeToString(d[:]) }

// MarshalText writes hexadecimal.
func (d Digest) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// line is the first part of what is hashed: JSON with the fields in this order, no spaces, a line feed after it. The body's
// bytes follow it as they are.
type line struct {
	Seq     int64   `json:"seq"`
	ID      string  `json:"id"`
	Site    string  `json:"site"`
	At      int64   `json:"at_ms"`
	Person  string  `json:"person"`
	Station Station `json:"station"`
	Act     string  `json:"act"`
	Prev    Digest  `json:"prev"`
}
