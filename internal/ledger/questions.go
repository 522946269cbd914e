package ledger

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"slatewright/internal/book"
	"slatewright/trouble"
)

func ask[T any](ctx context.Context, l *Ledger, scan func(*sql.Rows) (T, error), text string, args ...any) ([]T, error) {
	all, err := collect(ctx, l.read, scan, text, args...)
	return all, l.explain(err)
}

// Thing returns the state of a thing.
func (l *Ledger) Thing(ctx context.Context, r book.Ref) (book.Thing, error) {
	if err := l.health.thing(r); err != nil {
		return book.Thing{}, err
	}
	found, err := ask(ctx, l, scanThing, "select "+thingColumns+" from thing where site = $1 and kind = $2 and id = $3", l.number, string(r.Kind), r.ID)
	if err != nil {
		return book.Thing{}, err
	}
	if len(found) == 0 {
		return book.Thing{}, noSuchThing(r)
	}
	return found[0], nil
}

func noSuchThing(r book.Ref) *trouble.Trouble {
	return trouble.Data("no-such-thing", r.String(), fmt.Sprintf("the book has no %s %s", r.Kind, r.ID), "look at the number; `slatewright book find` searches for it")
}

// Things lists things in the order of kind and number. One that is blocked is left out; Faults names it.
func (l *Ledger) Things(ctx context.Context, f book.Filter, cursor string, limit int) (book.Page[book.Thing], error) {
	limit = pageSize(limit)
	_, after, err := readCursor(cursor)
	if err != nil {
		return book.Page[book.Thing]{}, err
	}
	kind, id, _ := strings.Cut(after, ":")
	text, args := "select "+thingColumns+" from thing where site = $1 and (kind, id) > ($2, $3)", []any{l.number, kind, id}
	for _, c := range []struct{ column, value string }{
		{"kind", string(f.Kind)}, {"station", string(f.Station)}, {"parent", fromRef(f.Parent)}, {"id", f.ID},
	} {
		if c.value != "" {
			args = append(args, c.value)
			text += fmt.Sprintf(" and %s = $%d", c.column, len(args))
		}
	}
	if f.Begins != "" { // a range, so that the index of numbers serves; no text sorts behind one that goes on with the last character
		args = append(args, f.Begins, f.Begins+string(utf8.MaxRune))
		text += fmt.Sprintf(" and id >= $%d and id < $%d", len(args)-1, len(args))
	}
	if f.Parent != (book.Ref{}) {
		text += " and parent <> ''" // so that the index of parents serves
	}
	args = append(args, limit+1)
	all, err := ask(ctx, l, scanThing, text+fmt.Sprintf(" order by kind, id limit $%d", len(args)), args...)
	p := page(all, limit, func(t book.Thing) string { return cursorOf(0, t.String()) })
	p.Items = slices.DeleteFunc(p.Items, func(t book.Thing) bool { return l.health.thing(t.Ref) != nil })
	return p, err
}

// Stations counts how many things of each kind stand at each station.
func (l *Ledger) Stations(ctx context.Context) (map[book.Station]map[book.Kind]int, error) {
	counts := map[book.Station]map[book.Kind]int{}
	_, err := ask(ctx, l, func(rows *sql.Rows) (none struct{}, err error) {
		var station book.Station
		var kind book.Kind
		var n int
		if err := rows.Scan(&station, &kind, &n); err != nil {
			return none, err
		}
		if counts[station] == nil {
			counts[station] = map[book.Kind]int{}
		}
		counts[station][kind] = n
		return none, nil
	}, "select station, kind, count(*) from thing where site = $1 group by station, kind", l.number)
	return counts, err
}

// History lists the entries that touch a thing, in the order in which they fold.
func (l *Ledger) History(ctx context.Context, r book.Ref, cursor string, limit int) (book.Page[book.Placed], error) {
	limit = pageSize(limit)
	at, id, err := readCursor(cursor)
	if err != nil {
		return book.Page[book.Placed]{}, err
	}
	all, err := ask(ctx, l, placedScanner(l.Site()), historyQuery+" and (t.at_ms, t.id) > ($3, $4) order by t.at_ms, t.id limit $5",
		l.number, fromRef(r), at, id, limit+1)
	if err != nil {
		return book.Page[book.Placed]{}, err
	}
	if len(all) == 0 && cursor == "" {
		_, err = l.Thing(ctx, r) // a thing without entries is no thing
	}
	return page(all, limit, func(p book.Placed) string { return cursorOf(p.At.UnixMilli(), p.ID) }), err
}

// Entries lists the journal in its own order, after an entry's number.
func (l *Ledger) Entries(ctx context.Context, after int64, limit int) ([]book.Placed, error) {
	return ask(ctx, l, placedScanner(l.Site()), entryQuery+" and j.seq > $2 order by j.seq limit $3", l.number, after, pageSize(limit))
}

// Entry returns one entry by its id.
func (l *Ledger) Entry(ctx context.Context, id string) (book.Placed, error) {
	found, err := ask(ctx, l, placedScanner(l.Site()), entryQuery+" and j.id = $2", l.number, id)
	if err != nil {
		return book.Placed{}, err
	}
	if len(found) == 0 {
		return book.Placed{}, trouble.Data("no-such-entry", id, fmt.Sprintf("the journal has no entry with the id %s", id), "look at the id; `slatewright book tail` shows the newest")
	}
	return found[0], nil
}

// Conflicts lists the entries that are kept but not applied, in the order of the journal.
func (l *Ledger) Conflicts(ctx context.Context, cursor string, limit int) (book.Page[book.Placed], error) {
	limit = pageSize(limit)
	after, _, err := readCursor(cursor)
	if err != nil {
		return book.Page[book.Placed]{}, err
	}
	all, err := ask(ctx, l, placedScanner(l.Site()), entryQuery+" and s.state = 'conflict' and s.seq > $2 order by j.seq limit $3", l.number, after, limit+1)
	return page(all, limit, func(p book.Placed) string { return cursorOf(p.Seq, "") }), err
}
