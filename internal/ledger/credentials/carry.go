package credentials

import (
	"bufio"
	"bytes"
	"context"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/gate"
	"slatewright/trouble"
)

// line is one line of a dump: an account or a token. Sessions, tablets and tallies are not carried: after a restore everybody
// signs in again.
type line struct {
	Account *account `json:"account,omitempty"`
	Token   *token   `json:"token,omitempty"`
}

type account struct {
	Person     string `json:"person"`
	Passphrase string `json:"passphrase_hash,omitempty"`
	PIN        string `json:"pin_hash,omitempty"`
}

type token struct {
	Name   string    `json:"name"`
	Digest string    `json:"digest_sha256"`
	Prefix string    `json:"prefix"`
	Role   book.Role `json:"role"`
	Made   time.Time `json:"made"`
	Until  time.Time `json:"until"`
}

// Dump writes accounts and machines' tokens as JSON Lines, in one order. The hashes of PINs are short work for whoever steals them:
// a backup is kept as safely as the book.
func (s *Store) Dump(ctx context.Context, w io.Writer) error {
	people, err := all(ctx, s, "dump", `select person, passphrase, pin from account where site = $1 order by person`, nil,
		func(scan func(...any) error) (a account, err error) { return a, scan(&a.Person, &a.Passphrase, &a.PIN) })
	if err != nil {
		return err
	}
	tokens, err := s.Tokens(ctx)
	if err != nil {
		return err
	}
	out := json.NewEncoder(w)
	for _, a := range people {
		if err := out.Encode(line{Account: &a}); err != nil {
			return err
		}
	}
	for _, t := range tokens {
		if err := out.Encode(line{Token: &token{t.Name, t.Digest, t.Prefix, t.Role, t.Made, t.Until}}); err != nil {
			return err
		}
	}
	return nil
}

// Load reads what Dump writes, all of it or nothing. Who is there already gets the secrets of the dump.
func (s *Store) Load(ctx context.Context, r io.Reader) error {
	list, err := parse(r)
	if err != nil {
		return err
	}
	return s.together(ctx, "load", func(tx *sql.Tx) error {
		for _, l := range list {
			if err := s.loadLine(ctx, tx, l); err != nil {
				return err
			}
		}
		return nil
	})
}

func (s *Store) loadLine(ctx context.Context, tx *sql.Tx, l line) error {
	if l.Account != nil {
		_, err := tx.ExecContext(ctx, `insert into account (site, person, passphrase, pin, generation) values ($1, $2, $3, $4, 1) on conflict (site, person)
			do update set passphrase = excluded.passphrase, pin = excluded.pin, generation = account.generation + 1`,
			s.site, l.Account.Person, l.Account.Passphrase, l.Account.PIN)
		return err
	}
	t := gate.Token{Name: l.Token.Name, Digest: l.Token.Digest, Prefix: l.Token.Prefix, Role: l.Token.Role, Made: l.Token.Made, Until: l.Token.Until}
	_, err := tx.ExecContext(ctx, addToken+`on conflict (site, name) do update set digest = excluded.digest, prefix = excluded.prefix,
		role = excluded.role, made_ms = excluded.made_ms, until_ms = excluded.until_ms`, append([]any{s.site}, tokenValues(t)...)...)
	return err
}

// What a dump holds at most: common practice, no source.
const (
	mostLines = 100_000
	mostLine  = 4 << 10
)

// parse reads a dump strictly. Messages name the line and never what stands in it.
func parse(r io.Reader) (list []line, err error) {
	in := bufio.NewScanner(r)
	in.Buffer(make([]byte, 0, mostLine), mostLine)
	for n := 1; in.Scan(); n++ {
		var l line
		dec := json.NewDecoder(bytes.NewReader(in.Bytes()))
		dec.DisallowUnknownFields()
		if dec.Decode(&l) != nil || !errors.Is(dec.Decode(new(any)), io.EOF) || !l.sound() || n > mostLines {
			return nil, unreadable(fmt.Sprintf("line %d", n))
		}
		list = append(list, l)
	}
	if errors.Is(in.Err(), bufio.ErrTooLong) {
		return nil, unreadable(fmt.Sprintf("line %d", len(list)+1))
	}
	return list, in.Err()
}

func unreadable(where string) error {
	return trouble.Data("broken-credentials", where, "this is no line of credentials as a backup has them",
		"take another backup; the book itself can be restored without, and people set with `slatewright person reset`")
}

// sound reports whether the gate could have made the line.
func (l line) sound() bool {
	if a := l.Account; a != nil {
		return l.Token == nil && named(a.Person) && hashed(a.Passphrase) && hashed(a.PIN)
	}
	t := l.Token
	if t == nil {
		return false
	}
	raw, err := hex.DecodeString(t.Digest)
	return named(t.Name) && err == nil && len(raw) == 32 && len(t.Prefix) <= 16 && named(t.Prefix) && t.Role.Covers(book.Visitor) && !t.Role.Covers(book.Lead) &&
		datable(t.Made) && datable(t.Until)
}

func named(person string) bool {
	_, err := book.ParseRef(string(book.KindPerson) + ":" + person)
	return err == nil
}

func hashed(s string) bool { return s == "" || gate.ParseHash(s) == nil }

// datable reports whether a time can be kept in milliseconds.
func datable(t time.Time) bool { return t.Year() >= 2000 && t.Year() < 2200 }
