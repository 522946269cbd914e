package credentials

import (
	"context"
	"database/sql"
	"time"

	"slatewright/internal/gate"
)

// Account returns what is kept of a person.
func (s *Store) Account(ctx context.Context, person string) (a gate.Account, found bool, err error) {
	a.Person = person
	found, err = s.one(ctx, "read an account", `select passphrase, pin, generation from account where site = $1 and person = $2`,
		[]any{person}, &a.Passphrase, &a.PIN, &a.Generation)
	if !found {
		return gate.Account{}, false, err
	}
	return a, true, nil
}

// SetPassphrase keeps the hash of a person's passphrase, and begins their next generation.
func (s *Store) SetPassphrase(ctx context.Context, person, hash string) error {
	_, err := s.change(ctx, "set a passphrase", `insert into account (site, person, passphrase, pin, generation) values ($1, $2, $3, '', 1)
		on conflict (site, person) do update set passphrase = excluded.passphrase, generation = account.generation + 1`, person, hash)
	return err
}

// SetPIN keeps the hash of a person's PIN.
func (s *Store) SetPIN(ctx context.Context, person, hash string) error {
	_, err := s.change(ctx, "set a PIN", `insert into account (site, person, passphrase, pin, generation) values ($1, $2, '', $3, 1)
		on conflict (site, person) do update set pin = excluded.pin`, person, hash)
	return err
}

// Rehash writes new hashes where the old ones still stand.
func (s *Store) Rehash(ctx context.Context, was, now gate.Account) error {
	_, err := s.change(ctx, "rehash", `update account set passphrase = $3, pin = $4 where site = $1 and person = $2 and passphrase = $5 and pin = $6`,
		was.Person, now.Passphrase, now.PIN, was.Passphrase, was.PIN)
	return err
}

// NextGeneration ends a person's sessions and tablets.
func (s *Store) NextGeneration(ctx context.Context, person string) error {
	_, err := s.change(ctx, "end all sessions", `update account set generation = generation + 1 where site = $1 and person = $2`, person)
	return err
}

// Begin adds a session and ends what else is open on its tablet.
func (s *Store) Begin(ctx context.Context, o gate.Open) error {
	return s.together(ctx, "begin a session", func(tx *sql.Tx) error {
		if o.Tablet != "" {
			if _, err := tx.ExecContext(ctx, `delete from session where site = $1 and tablet = $2`, s.site, o.Tablet); err != nil {
				return err
			}
		}
		full := 0
		if o.Full {
			full = 1
		}
		_, err := tx.ExecContext(ctx, `insert into session (site, digest, person, tablet, passphrase, generation, began_ms, seen_ms, until_ms)
			values ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
			s.site, o.Digest, o.Person, o.Tablet, full, o.Generation, o.Began.UnixMilli(), o.Seen.UnixMilli(), o.Until.UnixMilli())
		return err
	})
}

// standing are the sessions of their person's generation now.
const standing = `select s.digest, s.person, s.tablet, s.passphrase, s.generation, s.began_ms, s.seen_ms, s.until_ms
	from session s join account a on a.site = s.site and a.person = s.person and a.generation = s.generation where s.site = $1 and `

func scanOpen(scan func(...any) error) (o gate.Open, err error) {
	var full int
	var began, seen, until int64
	err = scan(&o.Digest, &o.Person, &o.Tablet, &full, &o.Generation, &began, &seen, &until)
	o.Full, o.Began, o.Seen, o.Until = full == 1, moment(began), moment(seen), moment(until)
	return o, err
}

// Session finds a session by the digest of its token.
func (s *Store) Session(ctx context.Context, digest string) (o gate.Open, found bool, err error) {
	list, err := all(ctx, s, "find a session", standing+`s.digest = $2`, []any{digest}, scanOpen)
	if len(list) == 0 {
		return gate.Open{}, false, err
	}
	return list[0], true, err
}

// Sessions lists a person's sessions, the oldest first.
func (s *Store) Sessions(ctx context.Context, person string) ([]gate.Open, error) {
	return all(ctx, s, "list sessions", standing+`s.person = $2 order by s.began_ms, s.digest`, []any{person}, scanOpen)
}

// Seen says that a session was used.
func (s *Store) Seen(ctx context.Context, digest string, at time.Time) error {
	_, err := s.change(ctx, "renew a session", `update session set seen_ms = $3 where site = $1 and digest = $2`, digest, at.UnixMilli())
	return err
}

// End ends a session.
func (s *Store) End(ctx context.Context, digest string) error {
	_, err := s.change(ctx, "end a session", `delete from session where site = $1 and digest = $2`, digest)
	return err
}
