package ledger

import (
	"context"
	"database/sql"
	"fmt"
	"iter"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/ledger/replica"
)

// row is a row of a derived table as two texts: its key, in the order of the table, and all the rest.
type row struct{ key, rest string }

// The parts of a key are parted by a byte that no name holds.
const parted = "\x00"

// derived is a derived table: how its rows are read in the order of their key, and how the replica has them.
type derived struct {
	name  string
	query string
	scan  func(*sql.Rows) (row, error)
	want  func(*replica.Replica) iter.Seq2[row, error]
	fill  func(*draft, *replica.Replica) (int64, error)
}

var derivedTables = []derived{
	{"thing", "select " + thingColumns + " from thing where site = $1 order by kind, id", func(rows *sql.Rows) (row, error) {
		t, err := scanThing(rows)
		return thingRow(t), err
	}, func(r *replica.Replica) iter.Seq2[row, error] {
		return func(yield func(row, error) bool) {
			r.Things()(func(t book.Thing, err error) bool { return yield(thingRow(t), err) })
		}
	}, func(d *draft, r *replica.Replica) (int64, error) { return fill(d, r.Things(), d.thingsOf) }},
	{"touch", "select thing, at_ms, id, seq, part from touch where site = $1 order by thing, at_ms, id", func(rows *sql.Rows) (row, error) {
		var thing, id, part string
		var at, seq int64
		err := rows.Scan(&thing, &at, &id, &seq, &part)
		return touchRow(thing, at, id, seq, part), err
	}, func(r *replica.Replica) iter.Seq2[row, error] {
		return rowsOf(r.Touches(), func(t book.Touch) row { return touchRow(fromRef(t.Ref), t.At.UnixMilli(), t.ID, t.Seq, string(t.Part)) })
	}, func(d *draft, r *replica.Replica) (int64, error) { return fill(d, sound(r.Touches()), d.touchesOf) }},
	{"standing", "select seq, state, by_seq, why from standing where site = $1 order by seq", func(rows *sql.Rows) (row, error) {
		var s book.Standing
		err := rows.Scan(&s.Seq, &s.State, &s.By, &s.Why)
		return standingRow(s), err
	}, func(r *replica.Replica) iter.Seq2[row, error] { return rowsOf(r.Standings(), standingRow) },
		func(d *draft, r *replica.Replica) (int64, error) { return fill(d, sound(r.Standings()), d.standingsOf) }},
	{"reach", "select origin, rank, target from reach where site = $1 order by origin, rank, target", func(rows *sql.Rows) (row, error) {
		var origin, target string
		var rank int
		err := rows.Scan(&origin, &rank, &target)
		return reachRow(origin, rank, target), err
	}, func(r *replica.Replica) iter.Seq2[row, error] {
		return rowsOf(r.Reach(), func(x book.Reach) row { return reachRow(fromRef(x.Origin), x.Rank, fromRef(x.Target)) })
	}, func(d *draft, r *replica.Replica) (int64, error) { return fill(d, sound(r.Reach()), d.reachesOf) }},
}

func rowsOf[T any](all iter.Seq[T], toRow func(T) row) iter.Seq2[row, error] {
	return func(yield func(row, error) bool) {
		all(func(t T) bool { return yield(toRow(t), nil) })
	}
}

func thingRow(t book.Thing) row {
	return row{fromRef(t.Ref), fmt.Sprint(t.Station, t.Since.UnixMilli(), fromRef(t.Parent), t.Seq, t.At.UnixMilli(), string(t.State))}
}

func touchRow(thing string, at int64, id string, seq int64, part string) row {
	return row{thing + parted + inOrder(at) + parted + id, inOrder(seq) + part}
}

func standingRow(s book.Standing) row { return row{inOrder(s.Seq), fmt.Sprint(s.State, s.By, s.Why)} }

func reachRow(origin string, rank int, target string) row {
	return row{origin + parted + string(rune('0'+rank)) + parted + target, ""}
}

// inOrder writes a number so that texts stand in the order of the numbers: those of the journal and of times since 1970.
func inOrder(n int64) string {
	var digits [16]byte
	for i := len(digits) - 1; i >= 0; i-- {
		digits[i] = byte('0' + n%10)
		n /= 10
	}
	return string(digits[:])
}

// firstDifferences is how many rows a report names.
const firstDifferences = 10

// compare holds one table to the replica. Each difference is told with the parts of its row's key.
func (t derived) compare(ctx context.Context, l *Ledger, from asker, r *replica.Replica, differs func(table string, key []string)) (book.TableReport, error) {
	report := book.TableReport{Table: t.name}
	rows, err := from.query(ctx, t.query, l.number)
	if err != nil {
		return report, err
	}
	defer rows.Close()
	want, stop := iter.Pull2(t.want(r))
	defer stop()
	tell := func(key, what string) {
		names := strings.Split(key, parted)
		if report.Differences++; report.Differences <= firstDifferences {
			report.First = append(report.First, strings.Join(names, " ")+" "+what)
		}
		differs(t.name, names)
	}
	ought, err, more := want()
	for rows.Next() && err == nil {
		report.Rows++
		var is row
		if is, err = t.scan(rows); err != nil {
			break
		}
		for ; err == nil && more && ought.key < is.key; ought, err, more = want() {
			tell(ought.key, "is missing")
		}
		switch {
		case !more || is.key < ought.key:
			tell(is.key, "should not be there")
			continue
		case is.rest != ought.rest:
			tell(is.key, "is not as the journal says")
		}
		ought, err, more = want()
	}
	for ; err == nil && more; ought, err, more = want() {
		tell(ought.key, "is missing")
	}
	if err == nil {
		err = rows.Err()
	}
	return report, err
}
