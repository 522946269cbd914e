package freight

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"io"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// CheckBackup reads a backup to its end and verifies everything in it.
func CheckBackup(ctx context.Context, r io.Reader, p Progress) (RestoreReport, error) {
	return unpack(ctx, r, checking{}, p)
}

// checking receives a backup and keeps nothing.
type checking struct{}

func (checking) manifest(context.Context, Manifest) error    { return nil }
func (checking) entries(context.Context, []book.Entry) error { return nil }
func (checking) credentials(context.Context, []byte) error   { return nil }
func (checking) blob(_ context.Context, r io.Reader, _ int64) (string, error) {
	hash := sha256.New()
	_, err := io.Copy(hash, r)
	return hex.EncodeToString(hash.Sum(nil)), err
}

// Restore carries a backup into an empty place. A reader that can seek is verified as a whole before the place is opened; any
// other is verified as it goes by, and the place is marked as half restored until all of it held.
func Restore(ctx context.Context, r io.Reader, open OpenPlace, p Progress) (RestoreReport, error) {
	if again, ok := r.(io.Seeker); ok {
		if start, err := again.Seek(0, io.SeekCurrent); err == nil {
			if report, err := CheckBackup(ctx, r, p); err != nil {
				return report, err
			}
			if _, err := again.Seek(start, io.SeekStart); err != nil {
				return RestoreReport{}, trouble.IO("unreadable", "", "the backup cannot be read a second time", "check the file and the disk it is on").Because(err)
			}
		}
	}
	to := &restoring{open: open}
	report, err := unpack(ctx, r, to, p)
	return to.end(ctx, report, err)
}

// restoring carries what it receives into a place.
type restoring struct {
	open  OpenPlace
	place Place
	after int64 // entries that an earlier restore left there
	head  book.Digest
	signs []byte // credentials: last of all, so that nobody signs in to half a book
}

// manifest opens the place and makes it ready.
func (t *restoring) manifest(ctx context.Context, m Manifest) (err error) {
	if t.place, err = t.open(ctx, m); err != nil {
		return err
	}
	if site := t.place.Ledger.Site(); site != m.Site {
		return trouble.Data("other-site", site, "the book to restore is of the site "+m.Site, "restore it under its own name")
	}
	t.head, _ = digestOf(m.Head) // readManifest has read it
	t.after, err = t.place.Ledger.BeginRestore(ctx, m.Entries, t.head)
	return err
}

// entries appends what is not there from an earlier restore.
func (t *restoring) entries(ctx context.Context, list []book.Entry) error {
	for len(list) > 0 && list[0].Seq <= t.after {
		list = list[1:]
	}
	if len(list) == 0 {
		return nil
	}
	return t.place.Ledger.Restore(ctx, list)
}

func (t *restoring) credentials(_ context.Context, text []byte) error {
	t.signs = text
	return nil
}

func (t *restoring) blob(ctx context.Context, r io.Reader, size int64) (string, error) {
	digest, _, err := t.place.Blobs.Put(ctx, r, size)
	return digest, err
}

// end takes the mark away when everything held.
func (t *restoring) end(ctx context.Context, report RestoreReport, err error) (RestoreReport, error) {
	report.Already = t.after
	if err == nil && t.signs != nil && t.place.Credentials != nil {
		err = t.place.Credentials.Load(ctx, bytes.NewReader(t.signs))
	}
	if err != nil {
		return report, err
	}
	return report, t.place.Ledger.EndRestore(ctx, report.Entries, t.head)
}
