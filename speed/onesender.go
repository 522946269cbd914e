package main

import (
	"database/sql"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	_ "modernc.org/sqlite"
)

// copied is where the bare library's copy of the book lies: the same million acts, tables and indexes.
func (tr *trial) copied() string { return filepath.Join(tr.folder, "..", "copy.db") }

// commit is what one act of ours wrote: its line of the journal, what it touches, and the states it led to.
type commit struct {
	line            []any
	touches, states [][]any
}

// The columns of what an act writes; the first of chain's is the key.
const (
	lineColumns  = "site, seq, id, at_ms, person, station, act, body, prev, hash"
	touchColumns = "site, thing, at_ms, id, seq, part"
	stateColumns = "site, kind, id, station, since_ms, parent, seq, at_ms, state"
)

// one compares one sender, a commit an act, with the bare library making the same commits: the same rows into the same tables of
// a copy of the same book, with prepared statements and no question asked. The rate of the smallest commit there is, one row into a
// table without an index, is printed beside it, and what the disk does.
func (tr *trial) one() error {
	mine, err := openBare("file:" + filepath.Join(tr.folder, "book.db") + "?mode=ro")
	if err != nil {
		return err
	}
	defer mine.Close()
	bare, err := newBareBook(tr.copied())
	if err != nil {
		return err
	}
	defer bare.db.Close()
	var ours, theirs, least, sync time.Duration
	const rounds = 5
	for r := range rounds { // in turn, so that a disturbance meets all
		var from int64
		if err := mine.QueryRow("select max(seq) from journal").Scan(&from); err != nil {
			return err
		}
		start := time.Now()
		for i := range actsOfOne / rounds {
			if _, err := tr.ledger.Append(tr.ctx, tr.weigh(r*actsOfOne/rounds+i)); err != nil {
				return err
			}
		}
		ours += time.Since(start)
		same, err := commitsAfter(mine, from)
		if err != nil {
			return err
		}
		if len(same) != actsOfOne/rounds {
			return fmt.Errorf("%d commits found, %d made", len(same), actsOfOne/rounds)
		}
		start = time.Now()
		for _, c := range same {
			if err := bare.make(c); err != nil {
				return err
			}
		}
		theirs += time.Since(start)
		start = time.Now()
		for range same {
			if err := bare.makeLeast(); err != nil {
				return err
			}
		}
		least += time.Since(start)
		took, err := fsyncs(filepath.Join(tr.folder, "..", "fsync"), actsOfOne/rounds)
		if err != nil {
			return err
		}
		sync += took
	}
	rate := func(d time.Duration) float64 { return actsOfOne / d.Seconds() }
	promise("append, one sender, a commit an act", fmt.Sprintf("%.0f/s", rate(ours)), fmt.Sprintf("bare library, the same commits, %.0f/s; %.2f of it, at least %.2f (one short row a commit %.0f/s, bare fsync %.0f/s)",
		rate(theirs), rate(ours)/rate(theirs), leastOfBare, rate(least), rate(sync)), rate(ours) >= leastOfBare*rate(theirs))
	return nil
}

func openBare(dsn string) (*sql.DB, error) {
	db, err := sql.Open("sqlite", dsn)
	if err == nil {
		db.SetMaxOpenConns(1)
	}
	return db, err
}

// commitsAfter reads back what our acts after a place in the journal wrote.
func commitsAfter(db *sql.DB, seq int64) (list []commit, err error) {
	lines, err := rowsOf(db, "select "+lineColumns+" from journal where site = (select min(site) from journal) and seq > $1 order by seq", seq)
	for _, line := range lines {
		c := commit{line: line}
		if c.touches, err = rowsOf(db, "select "+touchColumns+" from touch where site = $1 and seq = $2", line[0], line[1]); err != nil {
			return nil, err
		}
		for _, touch := range c.touches {
			if touch[5] != "changes" {
				continue
			}
			kind, id, _ := strings.Cut(touch[1].(string), ":")
			states, err := rowsOf(db, "select "+stateColumns+" from thing where site = $1 and kind = $2 and id = $3", touch[0], kind, id)
			if err != nil {
				return nil, err
			}
			c.states = append(c.states, states...)
		}
		list = append(list, c)
	}
	return list, err
}

func rowsOf(db *sql.DB, question string, args ...any) (list [][]any, err error) {
	rows, err := db.Query(question, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		return nil, err
	}
	for rows.Next() {
		values, places := make([]any, len(columns)), make([]any, len(columns))
		for i := range values {
			places[i] = &values[i]
		}
		if err := rows.Scan(places...); err != nil {
			return nil, err
		}
		list = append(list, values)
	}
	return list, rows.Err()
}

// bareBook is the copy of the book under the bare library.
type bareBook struct {
	db                              *sql.DB
	line, touch, state, head, short *sql.Stmt
}

// shortRow is as long as a line of the journal.
var shortRow = strings.Repeat("x", 250)

func newBareBook(path string) (*bareBook, error) {
	db, err := openBare("file:" + path + "?_pragma=journal_mode(wal)&_pragma=synchronous(full)&_txlock=immediate")
	if err != nil {
		return nil, err
	}
	if _, err := db.Exec("create table short (seq integer primary key, line text not null)"); err != nil {
		return nil, err
	}
	b := &bareBook{db: db}
	for stmt, text := range map[**sql.Stmt]string{
		&b.line:  insertOf("journal", lineColumns),
		&b.touch: insertOf("touch", touchColumns),
		&b.state: insertOf("thing", stateColumns) + " on conflict (site, kind, id) do update set station = excluded.station, since_ms = excluded.since_ms, " +
			"parent = excluded.parent, seq = excluded.seq, at_ms = excluded.at_ms, state = excluded.state",
		&b.head:  "update chain set seq = ?, hash = ? where site = ?",
		&b.short: "insert into short (line) values (?)",
	} {
		if *stmt, err = db.Prepare(text); err != nil {
			return nil, err
		}
	}
	return b, nil
}

func insertOf(table, columns string) string {
	return "insert into " + table + " (" + columns + ") values (?" + strings.Repeat(", ?", strings.Count(columns, ",")) + ")"
}

// make makes one commit.
func (b *bareBook) make(c commit) error {
	tx, err := b.db.Begin()
	if err != nil {
		return err
	}
	defer tx.Rollback()
	put := func(stmt *sql.Stmt, values []any) {
		if err == nil {
			_, err = tx.Stmt(stmt).Exec(values...)
		}
	}
	put(b.line, c.line)
	for _, values := range c.touches {
		put(b.touch, values)
	}
	for _, values := range c.states {
		put(b.state, values)
	}
	put(b.head, []any{c.line[1], c.line[9], c.line[0]})
	if err != nil {
		return err
	}
	return tx.Commit()
}

func (b *bareBook) makeLeast() error {
	_, err := b.short.Exec(shortRow)
	return err
}

func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.Create(to)
	if err != nil {
		return err
	}
	defer out.Close()
	_, err = io.Copy(out, in)
	return err
}
