package opened

import (
	"cmp"
	"context"
	"path/filepath"

	"slatewright/internal/book"
	"slatewright/internal/cli/verb"
	"slatewright/internal/evidence"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/blobs"
	"slatewright/trouble"
)

// OpenBlobs opens the files that a book keeps: at a place, where SLATEWRIGHT_BLOBS says, or in the book's folder.
func OpenBlobs(s *verb.Session, l *ledger.Ledger, place string) (blobs.Store, error) {
	place = cmp.Or(place, s.Setting("BLOBS"))
	if place == "" && l.Folder() == "" {
		return nil, trouble.Usage("no-blobs", "slatewright", "nothing says where this mill keeps its scans and files", "add --blobs FOLDER or --blobs s3://host/bucket")
	}
	return blobs.Open(s.Context, cmp.Or(place, filepath.Join(l.Folder(), "blobs")), blobs.Access{Key: s.Setting("S3_KEY"),
		Secret: s.Setting("S3_SECRET"), Region: s.Setting("S3_REGION"), Plain: s.Setting("S3_PLAIN") == "yes", Temp: l.Folder()})
}

// WithBlobs opens them for one question.
func WithBlobs(s *verb.Session, l *ledger.Ledger, place string, do func(blobs.Store) (verb.Report, error)) (rep verb.Report, err error) {
	store, err := OpenBlobs(s, l, place)
	if err != nil {
		return nil, err
	}
	defer func() {
		if closing := store.Close(); err == nil {
			err = closing
		}
	}()
	return do(store)
}

// Watched is the ledger with every act held against the files that it names, before it is taken.
func Watched(ctx context.Context, l book.Ledger, files book.Blobs) (book.Ledger, error) {
	m, err := MillOf(ctx, l)
	if err != nil {
		return nil, err
	}
	return evidence.Watch(l, files, func() bool { return m.Demo }), nil
}
