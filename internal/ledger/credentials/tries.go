package credentials

import (
	"context"
	"database/sql"
	"time"

	"slatewright/internal/gate"
)

// Know remembers until when a person's PIN serves on a tablet, and that no wrong one was tried.
func (s *Store) Know(ctx context.Context, tablet, person string, generation int64, until time.Time) error {
	_, err := s.change(ctx, "know a tablet", `insert into tablet (site, tablet, person, generation, until_ms, tries) values ($1, $2, $3, $4, $5, 0)
		on conflict (site, tablet, person) do update set generation = excluded.generation, until_ms = excluded.until_ms, tries = 0`,
		tablet, person, generation, until.UnixMilli())
	return err
}

// known chooses a person on a tablet, of the person's generation now.
const known = ` where site = $1 and tablet = $2 and person = $3 and until_ms > $4 and
	generation = (select a.generation from account a where a.site = $1 and a.person = $3)`

// Known tells whether a person is known on a tablet.
func (s *Store) Known(ctx context.Context, tablet, person string, at time.Time) (bool, error) {
	var one int
	return s.one(ctx, "look for a tablet", `select 1 from tablet`+known, []any{tablet, person, at.UnixMilli()}, &one)
}

// TryPIN counts a try, if the person is known there and fewer than most were counted.
func (s *Store) TryPIN(ctx context.Context, tablet, person string, at time.Time, most int) (bool, error) {
	return s.change(ctx, "count a PIN", `update tablet set tries = tries + 1`+known+` and tries < $5`, tablet, person, at.UnixMilli(), most)
}

// UntryPIN takes a try back.
func (s *Store) UntryPIN(ctx context.Context, tablet, person string) error {
	_, err := s.change(ctx, "take a PIN's try back", `update tablet set tries = tries - 1 where site = $1 and tablet = $2 and person = $3 and tries > 0`, tablet, person)
	return err
}

// RightPIN forgets the tries on a tablet.
func (s *Store) RightPIN(ctx context.Context, tablet, person string) error {
	_, err := s.change(ctx, "clear a PIN's tries", `update tablet set tries = 0 where site = $1 and tablet = $2 and person = $3`, tablet, person)
	return err
}

// Tally returns the tries at a lock.
func (s *Store) Tally(ctx context.Context, lock string) (t gate.Tally, err error) {
	var last int64
	found, err := s.one(ctx, "read a tally", `select tries, last_ms from tally where site = $1 and lock = $2`, []any{lock}, &t.Tries, &last)
	if !found {
		return gate.Tally{}, err
	}
	t.Last = moment(last)
	return t, nil
}

// Recount writes a tally if the one that is kept is still was.
func (s *Store) Recount(ctx context.Context, lock string, was, now gate.Tally) (bool, error) {
	const doing = "count a try"
	none := gate.Tally{}
	switch {
	case was == none && now == none:
		return true, nil
	case was == none:
		return s.change(ctx, doing, `insert into tally (site, lock, tries, last_ms) values ($1, $2, $3, $4) on conflict (site, lock) do nothing`,
			lock, now.Tries, now.Last.UnixMilli())
	case now == none:
		return s.change(ctx, doing, `delete from tally where site = $1 and lock = $2 and tries = $3 and last_ms = $4`,
			lock, was.Tries, was.Last.UnixMilli())
	}
	return s.change(ctx, doing, `update tally set tries = $3, last_ms = $4 where site = $1 and lock = $2 and tries = $5 and last_ms = $6`,
		lock, now.Tries, now.Last.UnixMilli(), was.Tries, was.Last.UnixMilli())
}

// Sweep takes away what has ended.
func (s *Store) Sweep(ctx context.Context, now, tallied time.Time) error {
	return s.together(ctx, "sweep", func(tx *sql.Tx) error {
		for _, q := range []struct {
			text string
			at   time.Time
		}{
			{`delete from session where site = $1 and until_ms <= $2`, now},
			{`delete from tablet where site = $1 and until_ms <= $2`, now},
			{`delete from tally where site = $1 and last_ms < $2`, tallied},
		} {
			if _, err := tx.ExecContext(ctx, q.text, s.site, q.at.UnixMilli()); err != nil {
				return err
			}
		}
		return nil
	})
}
