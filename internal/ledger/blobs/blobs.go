// Package blobs keeps scans and files by the SHA-256 of their content: in a folder, or in an object store that speaks S3. What is
// kept is never changed; what is given out was verified first. It does not know what stands in a blob and removes none.
package blobs

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"math"
	"strings"
	"syscall"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// Store keeps blobs.
type Store interface {
	book.Blobs
	// Check verifies every blob and names those that fail. progress is told how many are done, of how many; it may be nil.
	Check(ctx context.Context, progress func(done, total int64)) ([]book.Fault, error)
	Close() error
}

// Access is what an object store asks for. Nothing of it appears in messages.
type Access struct {
	Key, Secret string // empty: what the store gives to anybody
	Region      string // empty: the store is asked
	Plain       bool   // HTTP instead of HTTPS, for a store on this machine
	Temp        string // folder for files on their way; empty: the system's
}

// bucketScheme begins the address of an object store.
const bucketScheme = "s3://"

// Open opens the blobs at a place: a folder, which is made when it is not there, or s3://host/bucket, or s3://host:port/bucket/prefix.
func Open(ctx context.Context, place string, a Access) (Store, error) {
	if strings.HasPrefix(place, bucketScheme) {
		return openBucket(ctx, place, a)
	}
	return openFolder(place)
}

// isDigest reports whether a text is a digest as blobs are named by: so no name leads anywhere else.
func isDigest(s string) bool {
	raw, err := hex.DecodeString(s)
	return err == nil && len(raw) == sha256.Size && strings.ToLower(s) == s
}

// nameOf is where a blob lies, below the folder or the prefix: in one of 256 folders by the first two digits.
func nameOf(digest string) string { return digest[:2] + "/" + digest }

func noSuchBlob(digest string) error {
	return trouble.Data("no-such-blob", "", fmt.Sprintf("there is no blob %.80q", digest), "store the file first, or look at the digest again")
}

func broken(where, what string) *trouble.Trouble {
	return trouble.IO("broken-blob", where, what, "store the same file once more, which mends it, or take it from a backup; look at the disk too")
}

// fault is the same for a list.
func fault(t *trouble.Trouble) book.Fault {
	return book.Fault{What: t.What, Where: t.Where, Next: t.Next}
}

const (
	altered = "the content of this blob is not what it was when it was stored"
	strayed = "this is no blob, and the program did not put it here"
)

func tooLarge(limit int64) error {
	return trouble.Data("too-large", "", fmt.Sprintf("the file is larger than %d bytes", limit), "send a smaller file, or let the lead raise the limit")
}

// digesting copies r to w, at most limit bytes, and hashes it on the way. An error of the sender is given back as it is; what w says is
// explained.
func digesting(ctx context.Context, w io.Writer, r io.Reader, limit int64, where string) (digest string, size int64, err error) {
	sum, out := sha256.New(), &sink{Writer: w}
	limit = min(limit, math.MaxInt64-1)
	size, err = io.Copy(io.MultiWriter(out, sum), io.LimitReader(&patient{ctx, r}, limit+1))
	switch {
	case out.err != nil:
		return "", 0, explain(where, out.err)
	case err != nil:
		return "", 0, err
	case size > limit:
		return "", 0, tooLarge(limit)
	}
	return hexOf(sum), size, nil
}

func hexOf(h hash.Hash) string { return hex.EncodeToString(h.Sum(nil)) }

// sink remembers its own error, so that it is not taken for the sender's.
type sink struct {
	io.Writer
	err error
}

func (s *sink) Write(p []byte) (n int, err error) {
	n, s.err = s.Writer.Write(p)
	return n, s.err
}

// patient reads until its context ends.
type patient struct {
	ctx context.Context
	io.Reader
}

func (p *patient) Read(b []byte) (int, error) {
	if err := p.ctx.Err(); err != nil {
		return 0, err
	}
	return p.Reader.Read(b)
}

// explain says what to do when a disk does not take or give what it should.
func explain(where string, err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		return trouble.IO("disk-full", where, "the disk is full; nothing of this file was kept", "make room on the disk and do it again: what was stored before is whole").Because(err)
	case errors.Is(err, syscall.EROFS), errors.Is(err, fs.ErrPermission):
		return trouble.IO("read-only", where, "the folder of blobs cannot be written to or read", "give the program the right to read and write there").Because(err)
	}
	return trouble.IO("disk-error", where, "the disk did not read or write as it should", "look at the disk before going on, then do it again").Because(err)
}
