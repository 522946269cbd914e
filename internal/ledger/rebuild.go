package ledger

import (
	"context"

	"slatewright/internal/book"
)

func (l *Ledger) Rebuild(ctx context.Context, check bool, progress func(done, total int64)) (book.RebuildReport, error) {
	panic("ledger")
}
func (l *Ledger) checkInBackground(ctx context.Context) {}
