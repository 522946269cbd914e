package ledger

import (
	"context"
	"database/sql"

	"slatewright/internal/book"
)

// Affected lists what a thing reached: shipped sets first, then other sets, pieces without a set, and what is gone.
func (l *Ledger) Affected(ctx context.Context, origin book.Ref, cursor string, limit int) (book.Page[book.Reach], error) {
	limit = pageSize(limit)
	rank, target, err := readCursor(cursor)
	if err == nil {
		err = l.mayTrace(ctx, origin)
	}
	if err != nil {
		return book.Page[book.Reach]{}, err
	}
	all, err := ask(ctx, l, func(rows *sql.Rows) (book.Reach, error) {
		r := book.Reach{Origin: origin}
		var target string
		if err := rows.Scan(&r.Rank, &target); err != nil {
			return r, err
		}
		var err error
		r.Target, err = toRef(target)
		return r, err
	}, "select rank, target from reach where site = $1 and origin = $2 and (rank, target) > ($3, $4) order by rank, target limit $5",
		l.number, fromRef(origin), max(rank, -1), target, limit+1)
	return page(all, limit, func(r book.Reach) string { return cursorOf(int64(r.Rank), r.Target.String()) }), err
}

// AffectedCount counts what a thing reached.
func (l *Ledger) AffectedCount(ctx context.Context, origin book.Ref) (c book.Count, err error) {
	if err := l.mayTrace(ctx, origin); err != nil {
		return c, err
	}
	_, err = ask(ctx, l, func(rows *sql.Rows) (none struct{}, err error) {
		var rank, n int
		if err := rows.Scan(&rank, &n); err != nil {
			return none, err
		}
		switch rank {
		case 0:
			c.Shipped += n
		case 1:
			c.Sets += n
		case 2:
			c.Pieces += n
		default:
			c.Gone += n
		}
		return none, nil
	}, "select rank, count(*) from reach where site = $1 and origin = $2 group by rank", l.number, fromRef(origin))
	return c, err
}

// Origins lists all that reached a target, in the order of their names.
func (l *Ledger) Origins(ctx context.Context, target book.Ref) ([]book.Ref, error) {
	if err := l.mayTrace(ctx, target); err != nil {
		return nil, err
	}
	return ask(ctx, l, scanRef, "select origin from reach where site = $1 and target = $2 order by origin", l.number, fromRef(target))
}

// mayTrace refuses to trace what is not there, and what the check found wrong.
func (l *Ledger) mayTrace(ctx context.Context, r book.Ref) error {
	if err := l.health.ofReach(r); err != nil {
		return err
	}
	_, err := l.Thing(ctx, r)
	return err
}
