package opened

import (
	"cmp"
	"context"
	"net/url"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/cli/verb"
	"slatewright/internal/ledger"
	"slatewright/trouble"
)

// Place says which book is meant.
type Place struct {
	Book string `placeholder:"PLACE" help:"The mill's book: its folder, or a postgres:// address. Without it what SLATEWRIGHT_BOOK says, or the folder mill."`
	Site string `placeholder:"WORD" help:"Which mill, where a database holds several. Without it what SLATEWRIGHT_SITE says."`
}

// defaultFolder is where a mill's book is when nothing says so.
const defaultFolder = "mill"

// Where is the folder or the address of the book.
func (p Place) Where(s *verb.Session) string {
	return cmp.Or(p.Book, s.Setting("BOOK"), defaultFolder)
}

// IsAddress tells a database's address from a folder.
func IsAddress(where string) bool {
	return strings.HasPrefix(where, "postgres://") || strings.HasPrefix(where, "postgresql://")
}

// Reading opens the book for a question, beside whoever writes it.
func (p Place) Reading(s *verb.Session, ask func(context.Context, book.Keeper) (verb.Report, error)) (verb.Report, error) {
	return p.Open(s, ledger.Options{ReadOnly: true, Clock: s.Clock}, func(ctx context.Context, l *ledger.Ledger) (verb.Report, error) {
		return ask(ctx, l)
	})
}

// Writing opens the book to write in it; holder tells others who has it.
func (p Place) Writing(s *verb.Session, holder string, do func(context.Context, *ledger.Ledger) (verb.Report, error)) (verb.Report, error) {
	return p.Open(s, ledger.Options{Holder: "slatewright " + holder, Clock: s.Clock}, do)
}

func (p Place) Open(s *verb.Session, o ledger.Options, do func(context.Context, *ledger.Ledger) (verb.Report, error)) (rep verb.Report, err error) {
	o.Site = cmp.Or(o.Site, p.Site, s.Setting("SITE"))
	l, err := ledger.Open(s.Context, p.Where(s), o)
	if err != nil {
		return nil, err
	}
	defer func() {
		if closing := l.Close(); err == nil {
			err = closing
		}
	}()
	return do(s.Context, l)
}

// ServerPlace is the book of a verb that takes a folder or a database's address.
func ServerPlace(s *verb.Session, folder, database string) (string, error) {
	switch {
	case folder != "" && database != "":
		return "", trouble.Usage("two-books", "slatewright", "a folder and a database are given", "give one of them")
	case database != "" && !IsAddress(database):
		return "", trouble.Usage("bad-address", "slatewright", "--database is no address of a PostgreSQL database", "write postgres://user@host/database")
	case database != "":
		return database, nil
	}
	return Place{Book: folder}.Where(s), nil
}

// Shown is the place of a book as it may be shown: an address without its password.
func Shown(where string) string {
	if u, err := url.Parse(where); err == nil && IsAddress(where) {
		return u.Redacted()
	}
	return where
}
