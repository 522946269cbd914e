package freight

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"time"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// A backup is a tar file in gzip, members in this order:
//
//	manifest.json           what follows: format, version, site, how many entries, the last one's hash, how many blobs
//	journal/000000001.jsonl the journal in pieces, each named by its first entry
//	credentials.jsonl       when there are any
//	blobs/DIGEST            each named by the SHA-256 of its content
//	SHA256SUMS              of every member before, as sha256sum writes and checks them
//	seal.json               the SHA-256 of SHA256SUMS, and what could not be read when the backup was made
//
// Behind the gzip member with the tar file stands a second, empty one whose comment is the SHA-256 of every byte before it, so
// that no byte of the file can change unseen. Anybody can take a backup apart with tar and check it with sha256sum.

// The formats, and the version of both that this program writes and reads.
const (
	BackupFormat = "slatewright backup"
	ExportFormat = "slatewright export"
	Version      = 1
)

const (
	manifestName    = "manifest.json"
	journalFolder   = "journal/"
	credentialsName = "credentials.jsonl"
	blobFolder      = "blobs/"
	sumsName        = "SHA256SUMS"
	sealName        = "seal.json"
)

// journalPiece is the size from which a piece of the journal is closed.
const journalPiece = 1 << 20

// seal is the last member of a backup.
type seal struct {
	Sums    string       `json:"sha256sums"` // SHA-256 of the member SHA256SUMS
	Missing []book.Fault `json:"missing,omitempty"`
}

// BackupReport says what a backup wrote.
type BackupReport struct {
	Manifest
	Credentials bool         `json:"credentials"`
	Bytes       int64        `json:"bytes"`
	Digest      string       `json:"digest"` // SHA-256 of the whole file, to be written down elsewhere
	Missing     []book.Fault `json:"missing,omitempty"`
}

// Backup writes the whole book as it stands now into one file, while others go on writing. cred may be nil. A blob that does not
// verify is left out and named in the report and in the backup.
func Backup(ctx context.Context, l book.Ledger, b book.Blobs, cred Credentials, w io.Writer, now time.Time, p Progress) (BackupReport, error) {
	whole := sha256.New()
	size := counter(0)
	out := io.MultiWriter(w, whole, &size)
	zip, _ := gzip.NewWriterLevel(out, gzip.BestSpeed) // the level is lawful
	k := &packing{tar: tar.NewWriter(zip), at: now.UTC().Truncate(time.Second), progress: p}
	if err := k.pack(ctx, l, b, cred); err != nil {
		return k.report, err
	}
	for _, c := range []io.Closer{k.tar, zip} {
		if err := c.Close(); err != nil {
			return k.report, unwritable(err)
		}
	}
	if _, err := out.Write(trailer(whole.Sum(nil))); err != nil {
		return k.report, unwritable(err)
	}
	k.report.Bytes, k.report.Digest = int64(size), hex.EncodeToString(whole.Sum(nil))
	return k.report, nil
}

// trailer is the empty gzip member behind a backup (RFC 1952: flag 0x10 says that a comment follows, then an empty block of
// fixed codes, and the checksum and size of nothing).
func trailer(sum []byte) []byte {
	text := append([]byte{0x1f, 0x8b, 8, 0x10, 0, 0, 0, 0, 0, 255}, "sha256:"+hex.EncodeToString(sum)...)
	return append(text, 0, 3, 0, 0, 0, 0, 0, 0, 0, 0, 0)
}

// unwritable is trouble with the file that is written; what the book or its blobs are in trouble with stays as it is.
func unwritable(err error) error {
	var t *trouble.Trouble
	if errors.As(err, &t) || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return trouble.IO("unwritable", "", "the file cannot be written to its end", "check that there is room on the disk").Because(err)
}

// packing is a backup under way.
type packing struct {
	tar         *tar.Writer
	at          time.Time
	progress    Progress
	sums        bytes.Buffer
	report      BackupReport
	done, total int64
}

func (k *packing) pack(ctx context.Context, l book.Ledger, b book.Blobs, cred Credentials) error {
	entries, head, err := headOf(ctx, l)
	if err != nil {
		return err
	}
	blobs, bytes, err := listBlobs(ctx, b)
	if err != nil {
		return err
	}
	k.total = entries + int64(len(blobs))
	k.report.Manifest = Manifest{Format: BackupFormat, Version: Version, Site: l.Site(), Entries: entries, Head: head.String(),
		Blobs: int64(len(blobs)), BlobBytes: bytes, MadeAt: k.at.Format(time.RFC3339)}
	if err := k.putJSON(manifestName, k.report.Manifest); err != nil {
		return err
	}
	if err := k.journal(ctx, l, entries); err != nil {
		return err
	}
	if err := k.credentials(ctx, cred); err != nil {
		return err
	}
	for _, digest := range blobs {
		if err := k.blob(ctx, b, digest); err != nil {
			return err
		}
	}
	return k.seal()
}

// listBlobs lists the blobs that there are, before the first is read.
func listBlobs(ctx context.Context, b book.Blobs) (digests []string, bytes int64, err error) {
	err = b.List(ctx, func(digest string, size int64, _ time.Time) error {
		digests, bytes = append(digests, digest), bytes+size
		return nil
	})
	return digests, bytes, err
}

func (k *packing) journal(ctx context.Context, l book.Ledger, entries int64) error {
	var piece []byte
	first := int64(1)
	flush := func(next int64) error {
		name := fmt.Sprintf("%s%09d.jsonl", journalFolder, first)
		if err := k.put(name, piece); err != nil {
			return err
		}
		piece, first = piece[:0], next
		return nil
	}
	c := chain{site: l.Site()}
	err := eachEntry(ctx, l, entries, func(list []book.Placed) error {
		for _, e := range list {
			if err := c.next(e.Entry); err != nil {
				return err
			}
			if piece = lineOf(piece, e.Entry); len(piece) >= journalPiece {
				if err := flush(e.Seq + 1); err != nil {
					return err
				}
			}
		}
		k.step(int64(len(list)))
		return nil
	})
	if err == nil && len(piece) > 0 {
		err = flush(0)
	}
	return err
}

func (k *packing) step(n int64) {
	k.done += n
	k.progress.tell(k.done, k.total)
}

func (k *packing) credentials(ctx context.Context, cred Credentials) error {
	if cred == nil {
		return nil
	}
	var b bytes.Buffer
	if err := cred.Dump(ctx, &b); err != nil {
		return err
	}
	k.report.Credentials = true
	return k.put(credentialsName, b.Bytes())
}

// blob copies one blob. The blobs verify it before they give its first byte.
func (k *packing) blob(ctx context.Context, b book.Blobs, digest string) error {
	k.step(1)
	r, size, err := b.Open(ctx, digest)
	if fault, named := faultOf(err, digest); named {
		k.report.Missing = append(k.report.Missing, fault)
		return nil
	}
	if err != nil {
		return err
	}
	defer r.Close()
	sum, err := k.copy(blobFolder+digest, io.LimitReader(r, size), size)
	if err == nil && sum != digest {
		err = changedBlob(digest)
	}
	return err
}

func changedBlob(digest string) error {
	return trouble.IO("broken-blob", "blob "+digest, "a blob was changed while it was read", "do it again; when it fails again, check the disk")
}

// faultOf tells a blob that is broken or gone from a failing disk or a cancelled backup.
func faultOf(err error, digest string) (book.Fault, bool) {
	var t *trouble.Trouble
	if !errors.As(err, &t) || t.Code != "broken-blob" && t.Code != "no-such-blob" {
		return book.Fault{}, false
	}
	return book.Fault{What: t.What, Where: "blob " + digest, Next: t.Next}, true
}

// seal writes the two last members.
func (k *packing) seal() error {
	sums := bytes.Clone(k.sums.Bytes())
	digest := sha256.Sum256(sums)
	if err := k.put(sumsName, sums); err != nil {
		return err
	}
	return k.putJSON(sealName, seal{hex.EncodeToString(digest[:]), k.report.Missing})
}

func (k *packing) putJSON(name string, v any) error {
	text, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		panic("freight: " + err.Error())
	}
	return k.put(name, append(text, '\n'))
}

func (k *packing) put(name string, text []byte) error {
	_, err := k.copy(name, bytes.NewReader(text), int64(len(text)))
	return err
}

// copy writes one member, and its digest into the list of digests.
func (k *packing) copy(name string, r io.Reader, size int64) (sum string, err error) {
	head := &tar.Header{Name: name, Size: size, Mode: 0o600, ModTime: k.at, Typeflag: tar.TypeReg, Format: tar.FormatPAX}
	if err := k.tar.WriteHeader(head); err != nil {
		return "", unwritable(err)
	}
	var h hash.Hash = sha256.New()
	n, err := io.Copy(io.MultiWriter(k.tar, h), r)
	if err != nil {
		return "", unwritable(err)
	}
	if n != size {
		return "", trouble.IO("unreadable", name, "a file ended before its end", "run the backup again; when it fails again, check the disk")
	}
	sum = hex.EncodeToString(h.Sum(nil))
	fmt.Fprintf(&k.sums, "%s  %s\n", sum, name)
	return sum, nil
}

// counter counts the bytes written to it.
type counter int64

func (c *counter) Write(b []byte) (int, error) {
	*c += counter(len(b))
	return len(b), nil
}
