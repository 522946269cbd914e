// Package work keeps long computations in the book's database and shares them out: within the one program that holds a SQLite
// book, or between any number of programs on PostgreSQL.
//
// One table, job, is the truth on both. On PostgreSQL River brings each turn to one of the programs; it may forget or repeat a
// turn, because the table decides who has it. The programs that open the same mill's book share its jobs; mills that share a
// database do not touch each other's: each has a River queue of its own.
//
// The package computes nothing and does not decide how slices follow each other: package jobs does.
package work

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/oklog/ulid/v2"

	"slatewright/internal/book"
	"slatewright/internal/jobs"
	"slatewright/internal/ledger"
	"slatewright/trouble"
)

// store is the table job of one mill.
type store struct {
	write, read *sql.DB
	site        string
	now         string // the database's clock in milliseconds, as SQL
}

// NewStore returns the jobs of the book that is open.
func NewStore(h ledger.Handles) jobs.Store {
	s := &store{write: h.Write, read: h.Read, site: h.Site, now: "cast(unixepoch('subsec') * 1000 as integer)"}
	if h.Postgres {
		s.now = "cast(extract(epoch from clock_timestamp()) * 1000 as bigint)"
	}
	return s
}

// held begins every writing under a turn.
const held = ` where site = $1 and id = $2 and turn = $3 and state = 'running' and holder <> ''`

// unended chooses jobs that have not ended.
const unended = ` state in ('queued', 'running') `

// change runs one update and tells whether it met a row. now() in the text stands for the database's clock.
func (s *store) change(ctx context.Context, query string, args ...any) (bool, error) {
	r, err := s.write.ExecContext(ctx, strings.ReplaceAll(query, "now()", s.now), args...)
	if err != nil {
		return false, fmt.Errorf("work: %w", err)
	}
	n, err := r.RowsAffected()
	return n > 0, err
}

// Add queues a job.
func (s *store) Add(ctx context.Context, kind, person string, input json.RawMessage) (jobs.Job, jobs.Turn, error) {
	id := ulid.Make().String()
	_, err := s.change(ctx, `insert into job (site, id, kind, person, state, input, asked, beat) values ($1, $2, $3, $4, 'queued', $5, now(), now())`,
		s.site, id, storable(kind), storable(person), string(input))
	if err != nil {
		return jobs.Job{}, jobs.Turn{}, err
	}
	j, err := s.Job(ctx, id)
	return j, jobs.Turn{Job: id, Number: 1}, err
}

// Cancel ends a job that has not ended. Its holder finds the turn gone.
func (s *store) Cancel(ctx context.Context, id string) error {
	met, err := s.change(ctx, `update job set state = 'cancelled', ended = now(), holder = '', turn = turn + 1 where site = $1 and id = $2 and`+unended, s.site, storable(id))
	if err == nil && !met {
		_, err = s.Job(ctx, id)
	}
	return err
}

// Take begins the slice of a turn, if nobody has.
func (s *store) Take(ctx context.Context, t jobs.Turn, worker string) (jobs.Job, bool, error) {
	met, err := s.change(ctx, `update job set state = 'running', holder = $4, beat = now(), began = case began when 0 then now() else began end
		where site = $1 and id = $2 and turn = $3 and holder = '' and`+unended, s.site, t.Job, t.Number, worker)
	if err != nil || !met {
		return jobs.Job{}, false, err
	}
	// Until this turn ends nobody writes what is read here but a cancel, and that is seen by the watch.
	j, err := s.Job(ctx, t.Job)
	return j, err == nil, err
}

// Holds tells whether the turn is still held.
func (s *store) Holds(ctx context.Context, t jobs.Turn) (bool, error) {
	var one int
	err := s.read.QueryRowContext(ctx, `select 1 from job`+held, s.site, t.Job, t.Number).Scan(&one)
	if errors.Is(err, sql.ErrNoRows) {
		return false, nil
	}
	return err == nil, err
}

// Beat gives a sign of life.
func (s *store) Beat(ctx context.Context, t jobs.Turn) (bool, error) {
	return s.change(ctx, `update job set beat = now()`+held, s.site, t.Job, t.Number)
}

// Keep ends a turn whose slice is finished.
func (s *store) Keep(ctx context.Context, t jobs.Turn, slice jobs.Slice) (bool, error) {
	const kept = `update job set turn = turn + 1, holder = '', lost = 0, slices = slices + 1, beat = now(), progress = $4, said = $5, checkpoint = $6`
	if slice.Done {
		return s.change(ctx, kept+`, state = 'done', ended = now(), result = $7`+held,
			s.site, t.Job, t.Number, 1.0, storable(slice.Said), "", string(slice.Result))
	}
	return s.change(ctx, kept+held, s.site, t.Job, t.Number, min(max(0, slice.Progress), 1), storable(slice.Said), string(slice.Checkpoint))
}

// Fail ends a job that cannot be computed.
func (s *store) Fail(ctx context.Context, t jobs.Turn, why string) (bool, error) {
	return s.change(ctx, `update job set turn = turn + 1, holder = '', state = 'failed', ended = now(), trouble = $4`+held, s.site, t.Job, t.Number, storable(why))
}

// GiveBack ends a turn whose slice is not finished.
func (s *store) GiveBack(ctx context.Context, t jobs.Turn, lost bool) (bool, error) {
	more := 0
	if lost {
		more = 1
	}
	return s.change(ctx, `update job set turn = turn + 1, holder = '', beat = now(), lost = lost + $4`+held, s.site, t.Job, t.Number, more)
}

// Renew ends a turn that nobody has taken.
func (s *store) Renew(ctx context.Context, t jobs.Turn) (bool, error) {
	return s.change(ctx, `update job set turn = turn + 1, beat = now() where site = $1 and id = $2 and turn = $3 and holder = '' and`+unended, s.site, t.Job, t.Number)
}

// Recover finds the turns that were lost or forgotten.
func (s *store) Recover(ctx context.Context, silent time.Duration, most int) (taken, waiting []jobs.Turn, err error) {
	const quiet = ` where site = $1 and beat <= now() - $2 and`
	why := trouble.Own("worker-lost", "", fmt.Sprintf("one slice ended %d times with the program that worked on it", most),
		"look whether the machine runs out of memory, then report it with the job's input")
	_, err = s.change(ctx, `update job set turn = turn + 1, holder = '', state = 'failed', ended = now(), lost = lost + 1, trouble = $4`+quiet+
		` state = 'running' and holder <> '' and lost + 1 >= $3`, s.site, silent.Milliseconds(), most, why.Error())
	if err != nil {
		return nil, nil, err
	}
	taken, err = s.turns(ctx, `update job set turn = turn + 1, holder = '', beat = now(), lost = lost + 1`+quiet+
		` state = 'running' and holder <> '' returning id, turn`, silent)
	if err != nil {
		return nil, nil, err
	}
	waiting, err = s.turns(ctx, `update job set beat = now()`+quiet+unended+`and holder = '' returning id, turn`, silent)
	// With no silence asked for, those that were just taken are met again.
	waiting = slices.DeleteFunc(waiting, func(t jobs.Turn) bool { return slices.Contains(taken, t) })
	return taken, waiting, err
}

// Forget removes jobs that ended long ago, or before the most newest of those that ended. A digit of an id sorts as its byte, so
// ids are in the order in which the jobs were asked for.
func (s *store) Forget(ctx context.Context, since time.Duration, most int) (int64, error) {
	const query = `delete from job where site = $1 and not (` + unended + `) and (ended <= now() - $2 or id <=
		(select id from job where site = $1 and not (` + unended + `) order by id desc limit 1 offset $3))`
	r, err := s.write.ExecContext(ctx, strings.ReplaceAll(query, "now()", s.now), s.site, since.Milliseconds(), most)
	if err != nil {
		return 0, fmt.Errorf("work: %w", err)
	}
	return r.RowsAffected()
}

// turns runs an update and returns the turns of the rows it met, oldest job first.
func (s *store) turns(ctx context.Context, query string, silent time.Duration) ([]jobs.Turn, error) {
	rows, err := s.write.QueryContext(ctx, strings.ReplaceAll(query, "now()", s.now), s.site, silent.Milliseconds())
	if err != nil {
		return nil, fmt.Errorf("work: %w", err)
	}
	defer rows.Close()
	var list []jobs.Turn
	for rows.Next() {
		var t jobs.Turn
		if err := rows.Scan(&t.Job, &t.Number); err != nil {
			return nil, fmt.Errorf("work: %w", err)
		}
		list = append(list, t)
	}
	slices.SortFunc(list, func(a, b jobs.Turn) int { return strings.Compare(a.Job, b.Job) })
	return list, rows.Err()
}

// storable leaves out what PostgreSQL does not take as text.
func storable(s string) string {
	return strings.ToValidUTF8(strings.ReplaceAll(s, "\x00", ""), "\uFFFD")
}

var _ jobs.Store = (*store)(nil)

// badCursor answers a cursor that no list gave.
func badCursor(cursor string) error {
	return trouble.Data("bad-cursor", "cursor", fmt.Sprintf("%q is not from a list of jobs", cursor), "begin the list again without a cursor")
}

func parseCursor(cursor string) (string, error) {
	if cursor == "" {
		return strings.Repeat("Z", ulid.EncodedSize), nil // after every id
	}
	if _, err := ulid.ParseStrict(cursor); err != nil {
		return "", badCursor(cursor)
	}
	return cursor, nil
}

// Jobs lists the newest first, without what is large.
func (s *store) Jobs(ctx context.Context, cursor string, limit int) (book.Page[jobs.Job], error) {
	before, err := parseCursor(cursor)
	if err != nil {
		return book.Page[jobs.Job]{}, err
	}
	limit = min(max(1, limit), mostListed)
	rows, err := s.read.QueryContext(ctx, `select `+columns+`, '', '', '' from job where site = $1 and id < $2 order by id desc limit $3`, s.site, before, limit+1)
	if err != nil {
		return book.Page[jobs.Job]{}, fmt.Errorf("work: %w", err)
	}
	defer rows.Close()
	var page book.Page[jobs.Job]
	for rows.Next() {
		j, err := scan(rows)
		if err != nil {
			return book.Page[jobs.Job]{}, err
		}
		page.Items = append(page.Items, j)
	}
	if len(page.Items) > limit {
		page.Items = page.Items[:limit]
		page.Next = page.Items[limit-1].ID
	}
	return page, rows.Err()
}
