package ledger

import (
	"context"
	"database/sql"
	"encoding/json"
	"math"
	"slices"

	"slatewright/internal/book"
)

// Affected lists what a thing reached: shipped sets first, then other sets, pieces without a set, and what is gone.
func (l *Ledger) Affected(ctx context.Context, origin book.Ref, cursor string, limit int) (book.Page[book.Reach], error) {
	limit = pageSize(limit)
	rank, target, err := readCursor(cursor)
	if err == nil {
		_, err = l.traced(ctx, origin)
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
	if _, err := l.traced(ctx, origin); err != nil {
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

// Origins lists all that reached a target, in the order of their names. What is not a target itself is answered for by one: a
// certificate and a piece by their set, a shipment by its sets. Of other stone, what it met and what it was cut from is followed
// upward.
func (l *Ledger) Origins(ctx context.Context, target book.Ref) ([]book.Ref, error) {
	t, err := l.traced(ctx, target)
	if err != nil {
		return nil, err
	}
	rows, err := ask(ctx, l, scanRef, "select origin from reach where site = $1 and target = $2 order by origin", l.number, fromRef(target))
	if err != nil || len(rows) > 0 {
		return rows, err
	}
	sets, err := setsOf(t)
	if err != nil || len(sets) == 0 {
		return l.upward(ctx, t)
	}
	var all []book.Ref
	for _, set := range sets {
		of, err := l.Origins(ctx, book.Ref{Kind: book.KindSet, ID: set})
		if err != nil {
			return nil, err
		}
		all = append(all, of...)
	}
	return eachOnce(all), nil
}

// setsOf names the sets that answer for a thing.
func setsOf(t book.Thing) ([]string, error) {
	state, err := book.StateOf(t)
	switch s := state.(type) {
	case *book.CertificateState:
		return []string{s.Set}, err
	case *book.ShipmentState:
		return s.Sets, err
	case *book.PieceState:
		if s.Set != "" {
			return []string{s.Set}, err
		}
	}
	return nil, err
}

// upward goes from a stone to its layer. What met the stone it was taken from counts when it did so before that.
func (l *Ledger) upward(ctx context.Context, t book.Thing) (all []book.Ref, err error) {
	for until := int64(math.MaxInt64); ; {
		var state book.Common
		if err := json.Unmarshal(t.State, &state); err != nil {
			return nil, err
		}
		for _, m := range state.Met {
			if m.AtMS <= until {
				all = append(all, m.Ref)
			}
		}
		if t.Parent == (book.Ref{}) {
			return eachOnce(all), nil
		}
		all, until = append(all, t.Parent), state.BornMS
		if t, err = l.Thing(ctx, t.Parent); err != nil {
			return nil, err
		}
	}
}

func eachOnce(all []book.Ref) []book.Ref {
	slices.SortFunc(all, compareRefs)
	return slices.Compact(all)
}

// traced is a thing whose ways may be shown: it is there, and the check found nothing wrong with them.
func (l *Ledger) traced(ctx context.Context, r book.Ref) (book.Thing, error) {
	if err := l.health.ofReach(r); err != nil {
		return book.Thing{}, err
	}
	return l.Thing(ctx, r)
}
