package freight

import (
	"context"
	"io"
	"time"

	"slatewright/internal/book"
)

// BackupReport says what a backup wrote.
type BackupReport struct {
	Manifest
	Credentials bool         `json:"credentials"`
	Bytes       int64        `json:"bytes"`
	Digest      string       `json:"digest"` // SHA-256 of the whole file, to be written down elsewhere
	Missing     []book.Fault `json:"missing,omitempty"`
}

// Backup writes the whole book as it stands now into one file, while others go on writing. cred may be nil.
func Backup(ctx context.Context, l book.Ledger, b book.Blobs, cred Credentials, w io.Writer, now time.Time, p Progress) (BackupReport, error) {
	panic("freight: not built yet")
}

// CheckBackup reads a backup to its end and verifies everything in it.
func CheckBackup(ctx context.Context, r io.Reader, p Progress) (RestoreReport, error) {
	panic("freight: not built yet")
}

// Restore carries a backup into an empty place. A reader that can seek is verified as a whole before the place is opened; any
// other is verified as it goes by, and the place is marked as half restored until all of it held.
func Restore(ctx context.Context, r io.Reader, open OpenPlace, p Progress) (RestoreReport, error) {
	panic("freight: not built yet")
}
