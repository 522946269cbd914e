package freight

import (
	"context"
	"time"

	"slatewright/internal/book"
)

// ExportReport says what an export wrote.
type ExportReport struct {
	Manifest
	Folder   string       `json:"folder"`
	Files    int          `json:"files"`
	Things   int64        `json:"things"`
	Missing  []book.Fault `json:"missing,omitempty"` // blobs that could not be read
	Warnings []string     `json:"warnings"`
}

// Export writes everything in the book into a new folder: a CSV file for each kind of thing and of act, the journal as JSON
// lines, the blobs, and what says how to read them. The book may be written to meanwhile.
func Export(ctx context.Context, l book.Ledger, b book.Blobs, folder string, now time.Time, p Progress) (ExportReport, error) {
	panic("freight: not built yet")
}

// ImportExport carries an export into an empty place. Every file is verified before the place is opened.
func ImportExport(ctx context.Context, folder string, open OpenPlace, p Progress) (RestoreReport, error) {
	panic("freight: not built yet")
}
