package ledger

import (
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// The columns of the journal, in the order in which scanEntry reads them.
const entryColumns = "j.seq, j.id, j.at_ms, j.person, j.station, j.act, j.body, j.prev, j.hash"

// entryRow receives a row of the journal; its entry is made and verified by entry.
type entryRow struct {
	seq, atMS                      int64
	id, person, station, act, body string
	prev, hash                     []byte
	placedMS, by                   sql.NullInt64
	part, standing                 sql.NullString
	why                            sql.NullString
}

func (r *entryRow) fields() []any {
	return []any{&r.seq, &r.id, &r.atMS, &r.person, &r.station, &r.act, &r.body, &r.prev, &r.hash}
}

func scanEntryRow(rows *sql.Rows) (*entryRow, error) {
	r := new(entryRow)
	return r, rows.Scan(r.fields()...)
}

// entry makes the entry and holds it to its hash.
func (r *entryRow) entry(site string) (book.Entry, error) {
	e := book.Entry{Seq: r.seq, ID: r.id, Site: site, At: fromMS(r.atMS), Person: r.person, Station: book.Station(r.station), Act: r.act,
		Body: json.RawMessage(r.body)}
	if copy(e.Prev[:], r.prev) != len(e.Prev) || copy(e.Hash[:], r.hash) != len(e.Hash) || book.HashOf(e) != e.Hash {
		return book.Entry{}, brokenEntry(r.seq)
	}
	return e, nil
}

func brokenEntry(seq int64) *trouble.Trouble {
	return trouble.IO("broken-entry", fmt.Sprintf("entry %d", seq), fmt.Sprintf("entry %d of the journal does not fit its hash: it was changed or damaged after it was written", seq),
		"restore the newest sound backup with `slatewright restore`; until then this entry is not shown")
}

// The columns that place an entry in the history of a thing, after those of the entry itself. The tables are journal j, touch t
// and standing s.
const placedColumns = entryColumns + ", t.at_ms, t.part, s.state, s.by_seq, s.why"

func (r *entryRow) placedFields() []any {
	return append(r.fields(), &r.placedMS, &r.part, &r.standing, &r.by, &r.why)
}

func (r *entryRow) placed(site string) (book.Placed, error) {
	e, err := r.entry(site)
	p := book.Placed{Entry: e, At: e.At, Part: book.Part(r.part.String)}
	if r.placedMS.Valid {
		p.At = fromMS(r.placedMS.Int64)
	}
	if r.standing.Valid {
		p.Standing = book.Standing{Seq: r.seq, State: r.standing.String, By: r.by.Int64, Why: r.why.String}
	}
	return p, err
}

func placedScanner(site string) func(*sql.Rows) (book.Placed, error) {
	return func(rows *sql.Rows) (book.Placed, error) {
		var r entryRow
		if err := rows.Scan(r.placedFields()...); err != nil {
			return book.Placed{}, err
		}
		return r.placed(site)
	}
}

const thingColumns = "kind, id, station, since_ms, parent, seq, at_ms, state"

func scanThing(rows *sql.Rows) (t book.Thing, err error) {
	var kind, station, parent string
	var since, at int64
	if err := rows.Scan(&kind, &t.ID, &station, &since, &parent, &t.Seq, &at, &t.State); err != nil {
		return t, err
	}
	t.Kind, t.Station, t.Since, t.At = book.Kind(kind), book.Station(station), fromMS(since), fromMS(at)
	t.Parent, err = toRef(parent)
	return t, err
}

// toRef reads a thing's name as a column holds it; no thing is empty. What stands there was checked when it was written.
func toRef(text string) (book.Ref, error) {
	if text == "" {
		return book.Ref{}, nil
	}
	kind, id, ok := strings.Cut(text, ":")
	if !ok {
		return book.Ref{}, errors.New("ledger: a column holds " + text + " where a thing should be")
	}
	return book.Ref{Kind: book.Kind(kind), ID: id}, nil
}

func fromRef(r book.Ref) string {
	if r == (book.Ref{}) {
		return ""
	}
	return r.String()
}

func scanRef(rows *sql.Rows) (book.Ref, error) {
	var text string
	if err := rows.Scan(&text); err != nil {
		return book.Ref{}, err
	}
	return toRef(text)
}

func fromMS(ms int64) time.Time { return time.UnixMilli(ms).UTC() }
