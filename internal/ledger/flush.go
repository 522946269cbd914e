package ledger

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"slatewright/internal/book"
)

// Rows that go into one statement. A single act writes few rows of a table, and those go in one; of many, few texts are prepared.
var strides = [...]int{64, 8, 7, 6, 5, 4, 3, 2, 1}

// A table is written many rows at a time. The texts for SQLite have ? for $1, $2 and so on: its driver searches each numbered
// parameter among all those of the statement, and with 64 rows half of the time went there.
type table struct {
	width    int // number of columns
	postgres [len(strides)]string
	sqlite   [len(strides)]string
}

var (
	journalTable = newTable("journal", "site, seq, id, at_ms, person, station, act, body, prev, hash", "")
	touchTable   = newTable("touch", "site, thing, at_ms, id, seq, part", "")
	thingTable   = newTable("thing", thingRowColumns,
		` on conflict (site, kind, id) do update set station = excluded.station, since_ms = excluded.since_ms, parent = excluded.parent,
		seq = excluded.seq, at_ms = excluded.at_ms, state = excluded.state`)
	// Of a thing that stays where it is nothing is written that an index holds: SQLite writes an index again even with the same values.
	stayingTable = newTable("thing", thingRowColumns,
		" on conflict (site, kind, id) do update set since_ms = excluded.since_ms, seq = excluded.seq, at_ms = excluded.at_ms, state = excluded.state")
	standingTable = newTable("standing", "site, seq, state, by_seq, why",
		" on conflict (site, seq) do update set state = excluded.state, by_seq = excluded.by_seq, why = excluded.why")
	reachTable = newTable("reach", "site, origin, rank, target", "")
)

const thingRowColumns = "site, kind, id, station, since_ms, parent, seq, at_ms, state"

func newTable(name, columns, onTwice string) table {
	t := table{width: strings.Count(columns, ",") + 1}
	for s, rows := range strides {
		numbered, plain := make([]string, rows), make([]string, rows)
		for i := range rows {
			marks := make([]string, t.width)
			for j := range marks {
				marks[j] = fmt.Sprintf("$%d", i*t.width+j+1)
			}
			numbered[i] = "(" + strings.Join(marks, ", ") + ")"
			plain[i] = "(?" + strings.Repeat(", ?", t.width-1) + ")"
		}
		into := fmt.Sprintf("into %s (%s) values ", name, columns)
		t.postgres[s] = "insert " + into + strings.Join(numbered, ", ") + onTwice
		t.sqlite[s] = "insert " + into + strings.Join(plain, ", ") + onTwice
	}
	return t
}

// write writes rows, each given by its values.
func (d *draft) write(t table, rows int, values func(i int) []any) error {
	inserts := &t.sqlite
	if d.postgres {
		inserts = &t.postgres
	}
	for at := 0; at < rows; {
		s := slices.IndexFunc(strides[:], func(n int) bool { return n <= rows-at })
		args := make([]any, 0, strides[s]*t.width)
		for i := at; i < at+strides[s]; i++ {
			args = append(args, values(i)...)
		}
		if err := d.failed(d.tx.exec(d.ctx, inserts[s], args...)); err != nil {
			return err
		}
		at += strides[s]
	}
	return nil
}

// flush writes what is noted. The rows of a table are written in the order of its key.
func (d *draft) flush() error {
	if len(d.entries)+len(d.touches)+len(d.things)+len(d.standings)+len(d.reach) == 0 {
		return nil
	}
	for _, write := range []func() error{d.writeEntries, d.writeTouches, d.writeThings, d.writeStandings, d.writeReach} {
		if err := write(); err != nil {
			return err
		}
	}
	d.empty()
	return nil
}

func (d *draft) writeEntries() error {
	return d.write(journalTable, len(d.entries), func(i int) []any {
		e := &d.entries[i]
		return []any{d.number, e.Seq, e.ID, e.At.UnixMilli(), e.Person, string(e.Station), e.Act, string(e.Body), e.Prev[:], e.Hash[:]}
	})
}

func (d *draft) writeTouches() error { return d.touchesOf(d.touches) }

func (d *draft) touchesOf(all []book.Touch) error {
	return d.write(touchTable, len(all), func(i int) []any {
		t := &all[i]
		return []any{d.number, fromRef(t.Ref), t.At.UnixMilli(), t.ID, t.Seq, string(t.Part)}
	})
}

func (d *draft) writeThings() error {
	var kept, staying []book.Thing
	for _, r := range slices.SortedFunc(maps.Keys(d.things), compareRefs) {
		t := d.things[r]
		switch {
		case t != nil && d.moved[r]:
			kept = append(kept, *t)
			continue
		case t != nil:
			staying = append(staying, *t)
			continue
		}
		if err := d.failed(d.tx.exec(d.ctx, "delete from thing where site = $1 and kind = $2 and id = $3", d.number, string(r.Kind), r.ID)); err != nil {
			return err
		}
	}
	if err := d.thingsInto(stayingTable, staying); err != nil {
		return err
	}
	return d.thingsOf(kept)
}

func (d *draft) thingsOf(all []book.Thing) error { return d.thingsInto(thingTable, all) }

func (d *draft) thingsInto(into table, all []book.Thing) error {
	return d.write(into, len(all), func(i int) []any {
		t := &all[i]
		return []any{d.number, string(t.Kind), t.ID, string(t.Station), t.Since.UnixMilli(), fromRef(t.Parent), t.Seq, t.At.UnixMilli(), string(t.State)}
	})
}

func (d *draft) writeStandings() error {
	var kept []book.Standing
	for _, seq := range slices.Sorted(maps.Keys(d.standings)) {
		if s := d.standings[seq]; s.State != "" {
			kept = append(kept, s)
			continue
		}
		if err := d.failed(d.tx.exec(d.ctx, "delete from standing where site = $1 and seq = $2", d.number, seq)); err != nil {
			return err
		}
	}
	return d.standingsOf(kept)
}

func (d *draft) standingsOf(all []book.Standing) error {
	return d.write(standingTable, len(all), func(i int) []any {
		s := &all[i]
		return []any{d.number, s.Seq, s.State, s.By, s.Why}
	})
}

// writeReach writes only what differs: most acts add one origin to a target that has twenty.
func (d *draft) writeReach() error {
	var added []book.Reach
	for _, target := range slices.SortedFunc(maps.Keys(d.reach), compareRefs) {
		r := d.reach[target]
		anew := r.losesRows()
		if anew {
			if err := d.failed(d.tx.exec(d.ctx, "delete from reach where site = $1 and target = $2", d.number, fromRef(target))); err != nil {
				return err
			}
		}
		for _, o := range r.now.Origins {
			if anew || !has(r.before, o) {
				added = append(added, book.Reach{Origin: o, Target: target, Rank: r.now.Rank})
			}
		}
	}
	return d.reachesOf(added)
}

func (d *draft) reachesOf(all []book.Reach) error {
	return d.write(reachTable, len(all), func(i int) []any {
		r := &all[i]
		return []any{d.number, fromRef(r.Origin), r.Rank, fromRef(r.Target)}
	})
}

// losesRows reports whether a row that is there must go.
func (r reached) losesRows() bool {
	if len(r.before.Origins) > 0 && r.now.Rank != r.before.Rank {
		return true
	}
	return slices.ContainsFunc(r.before.Origins, func(o book.Ref) bool { return !has(r.now, o) })
}

func has(t book.TargetReach, origin book.Ref) bool {
	_, there := slices.BinarySearchFunc(t.Origins, origin, compareRefs)
	return there
}

// compareRefs orders things as their names are ordered in a column.
func compareRefs(a, b book.Ref) int {
	return cmp.Or(strings.Compare(string(a.Kind), string(b.Kind)), strings.Compare(a.ID, b.ID))
}
