package postgres

import (
	"context"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"net"

	"github.com/jackc/pgx/v5/pgconn"

	"slatewright/trouble"
)

// Explain turns the server's error codes (PostgreSQL manual, appendix A) and the network's errors into trouble that says what to
// do. Other errors are given back as they are.
func (b *Book) Explain(err error) error {
	var said *pgconn.PgError
	switch {
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case errors.As(err, &said):
		return b.answer(said, err)
	case lost(err):
		return b.unreachable().Because(err)
	}
	return err
}

func (b *Book) answer(said *pgconn.PgError, err error) error {
	switch said.Code {
	case "53100": // disk_full
		return trouble.IO("disk-full", b.where, "the database's disk is full; nothing of this was written",
			"make room on the database's disk and do it again: the book itself is whole").Because(err)
	case "25006": // read_only_sql_transaction
		return trouble.IO("read-only", b.where, "the database takes no writing", "name the server that takes writing, not its copy").Because(err)
	case "42501": // insufficient_privilege
		return trouble.IO("read-only", b.where, "the database user may not do that", "give the user the right to make and change tables").Because(err)
	case "58030": // io_error
		return trouble.IO("disk-error", b.where, "the database's disk did not read or write as it should", "look at that disk before going on").Because(err)
	case "XX001", "XX002": // data_corrupted, index_corrupted
		return trouble.IO("broken-book", b.where, "the database is damaged",
			"stop the programs, keep a copy of the database, and restore the newest backup with `slatewright restore`").Because(err)
	case "3D000": // invalid_catalog_name
		return trouble.IO("no-book", b.where, "there is no database of this name", "make the database, or name another").Because(err)
	case "53300": // too_many_connections
		return trouble.IO("book-busy", b.where, "the server has no connection left", "let it have more connections, or start fewer programs").Because(err)
	}
	switch said.Code[:min(2, len(said.Code))] {
	case "08", "57": // connection_exception, operator_intervention
		return b.unreachable().Because(err)
	case "28": // invalid_authorization
		return trouble.IO("book-refused", b.where, "the server did not let us in", "look at the user and the password in the address").Because(err)
	case "40": // transaction_rollback
		return trouble.IO("book-busy", b.where, "the book was kept busy by other writers", "do it again").Because(err)
	}
	return trouble.Own("book-store", b.where, fmt.Sprintf("the database refused with code %s", said.Code), "report it").Because(err)
}

func (b *Book) unreachable() *trouble.Trouble {
	return trouble.IO("book-unreachable", b.where, "the database cannot be reached",
		"see that its server runs and can be reached, then send the same again: its id makes that harmless")
}

// Again reports that a transaction that was not yet committed may be tried at once again: the connection was lost, or other
// writers were in its way.
func (b *Book) Again(err error) bool {
	var said *pgconn.PgError
	if errors.As(err, &said) {
		class := said.Code[:min(2, len(said.Code))]
		return class == "08" || class == "57" || class == "40"
	}
	return lost(err)
}

func lost(err error) bool {
	var network net.Error
	var connect *pgconn.ConnectError
	return errors.Is(err, driver.ErrBadConn) || errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, net.ErrClosed) ||
		pgconn.SafeToRetry(err) ||
		errors.As(err, &network) || errors.As(err, &connect)
}
