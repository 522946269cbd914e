// Package ledger keeps a mill's book.
package ledger

import (
	"context"

	"slatewright/internal/book"
)

func (l *Ledger) Append(ctx context.Context, s book.Submission) (book.Receipt, error) { panic("ledger") }
func (l *Ledger) AppendAll(ctx context.Context, s []book.Submission, dryRun bool) ([]book.Receipt, []error, error) {
	panic("ledger")
}
func (l *Ledger) Thing(ctx context.Context, r book.Ref) (book.Thing, error) { panic("ledger") }
func (l *Ledger) Things(ctx context.Context, f book.Filter, cursor string, limit int) (book.Page[book.Thing], error) {
	panic("ledger")
}
func (l *Ledger) Stations(ctx context.Context) (map[book.Station]map[book.Kind]int, error) {
	panic("ledger")
}
func (l *Ledger) History(ctx context.Context, r book.Ref, cursor string, limit int) (book.Page[book.Placed], error) {
	panic("ledger")
}
func (l *Ledger) Entries(ctx context.Context, after int64, limit int) ([]book.Placed, error) {
	panic("ledger")
}
func (l *Ledger) Entry(ctx context.Context, id string) (book.Placed, error) { panic("ledger") }
func (l *Ledger) Conflicts(ctx context.Context, cursor string, limit int) (book.Page[book.Placed], error) {
	panic("ledger")
}
func (l *Ledger) Affected(ctx context.Context, origin book.Ref, cursor string, limit int) (book.Page[book.Reach], error) {
	panic("ledger")
}
func (l *Ledger) AffectedCount(ctx context.Context, origin book.Ref) (book.Count, error) {
	panic("ledger")
}
func (l *Ledger) Origins(ctx context.Context, target book.Ref) ([]book.Ref, error) { panic("ledger") }
func (l *Ledger) Changed() <-chan struct{}                                         { panic("ledger") }
func (l *Ledger) Faults() []book.Fault                                             { panic("ledger") }
func (l *Ledger) Rebuild(ctx context.Context, check bool, progress func(done, total int64)) (book.RebuildReport, error) {
	panic("ledger")
}
func (l *Ledger) VerifyJournal(ctx context.Context, progress func(done, total int64)) (book.JournalReport, error) {
	panic("ledger")
}
func (l *Ledger) Close() error { panic("ledger") }
