package ledger

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"regexp"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/ledger/migrations"
	"slatewright/trouble"
)

var siteForm = regexp.MustCompile(`^[a-z0-9](?:[a-z0-9-]{0,38}[a-z0-9])?$`)

// settle brings the tables to the newest form and finds the mill, or writes it down when the book is new.
func (l *Ledger) settle(ctx context.Context, o Options) error {
	if o.Site != "" && !siteForm.MatchString(o.Site) {
		return trouble.Usage("bad-site", "", fmt.Sprintf("%q cannot be a mill's word", o.Site), "use 1 to 40 small letters, digits and strokes")
	}
	if err := l.bringUp(ctx, o.ReadOnly); err != nil {
		return err
	}
	sites, err := l.sites(ctx)
	if err != nil {
		return err
	}
	word, err := choose(o, sites, l.engine)
	if err != nil {
		return err
	}
	l.handles.Site = word
	if l.number = sites[word]; l.number != 0 {
		return nil
	}
	return l.found(ctx, word)
}

func (l *Ledger) bringUp(ctx context.Context, readOnly bool) error {
	bring := migrations.Up
	if readOnly {
		bring = migrations.Look
	}
	s, err := bring(ctx, l.handles.Write, l.handles.Postgres)
	switch {
	case err != nil:
		return err
	case s.Has > s.Newest:
		return trouble.Data("newer-book", l.engine.Where(), fmt.Sprintf("the book was written by a newer program (its tables are number %d, ours %d)", s.Has, s.Newest),
			"use that program or a newer one")
	case s.Has < s.Newest:
		return trouble.Data("older-book", l.engine.Where(), "the book was written by an older program", "open it once to write; that brings it up to date")
	}
	return nil
}

func (l *Ledger) sites(ctx context.Context) (map[string]int64, error) {
	rows, err := l.handles.Write.QueryContext(ctx, "select word, site from chain")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	sites := map[string]int64{}
	for rows.Next() {
		var word string
		var number int64
		if err := rows.Scan(&word, &number); err != nil {
			return nil, err
		}
		sites[word] = number
	}
	return sites, rows.Err()
}

// choose settles on the mill: the one that was named, or the only one there is.
func choose(o Options, sites map[string]int64, e engine) (string, error) {
	_, there := sites[o.Site]
	var words []string
	for w := range sites {
		words = append(words, w)
	}
	has := strings.Join(words, ", ")
	switch {
	case there:
		return o.Site, nil
	case o.Site == "" && len(sites) == 1:
		return words[0], nil
	case o.Site == "" && len(sites) > 1:
		return "", trouble.Usage("which-site", e.Where(), "the database keeps the books of several mills: "+has, "name one of them")
	case o.Site == "":
		return "", trouble.Usage("which-site", e.Where(), "the book is new and has no mill's word yet", "give the mill's word: small letters, digits and strokes")
	case len(sites) > 0 && (!e.Postgres() || !o.Create):
		return "", trouble.Data("other-site", e.Where(), fmt.Sprintf("the book is that of %s, not of %s", has, o.Site), "name the right mill, or the right book")
	case !o.Create || o.ReadOnly:
		return "", trouble.IO("no-book", e.Where(), "there is no book of "+o.Site+" yet", "make it with `slatewright init`")
	}
	return o.Site, nil
}

// found writes a new mill down. Another program may be doing the same.
func (l *Ledger) found(ctx context.Context, word string) error {
	zero := book.Digest{}
	_, err := l.handles.Write.ExecContext(ctx, `insert into chain (site, word, seq, hash, rebuilds)
		select coalesce(max(site), 0) + 1, $1, 0, $2, 0 from chain where true on conflict do nothing`, word, zero[:])
	if err != nil {
		return err
	}
	err = l.handles.Write.QueryRowContext(ctx, "select site from chain where word = $1", word).Scan(&l.number)
	if errors.Is(err, sql.ErrNoRows) { // another mill took the number in the same moment
		return l.found(ctx, word)
	}
	return err
}

// explain turns a driver's error into trouble; trouble stays as it is.
func (l *Ledger) explain(err error) error {
	var known *trouble.Trouble
	if err == nil || errors.As(err, &known) {
		return err
	}
	return l.engine.Explain(err)
}
