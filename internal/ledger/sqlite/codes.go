package sqlite

import (
	"errors"
	"fmt"

	driver "modernc.org/sqlite"
	codes "modernc.org/sqlite/lib"

	"slatewright/trouble"
)

// Explain turns SQLite's result codes into trouble that says what to do. Other errors are given back as they are.
func (b *Book) Explain(err error) error {
	var said *driver.Error
	if !errors.As(err, &said) {
		return err
	}
	switch said.Code() & 0xff { // the upper bits only say more exactly where
	case codes.SQLITE_FULL:
		return trouble.IO("disk-full", b.folder, "the disk is full; nothing of this was written",
			"make room on the disk and do it again: the book itself is whole").Because(err)
	case codes.SQLITE_READONLY, codes.SQLITE_PERM:
		return readOnly(b.folder).Because(err)
	case codes.SQLITE_CANTOPEN:
		return trouble.IO("unreadable", b.file(), "the book cannot be opened", "look at the folder's permissions, and whether its disk is there").Because(err)
	case codes.SQLITE_CORRUPT:
		return broken(b.file(), "the file is damaged").Because(err)
	case codes.SQLITE_NOTADB:
		return trouble.Data("not-a-book", b.file(), "the file is no database, or its beginning is damaged",
			"name the mill's folder; if this is the mill's, restore it from a backup with `slatewright restore`").Because(err)
	case codes.SQLITE_IOERR:
		return trouble.IO("disk-error", b.file(), "the disk did not read or write as it should",
			"look at the disk before going on, then do it again; what was acknowledged is kept").Because(err)
	case codes.SQLITE_BUSY, codes.SQLITE_LOCKED:
		return trouble.IO("book-busy", b.folder, "the book was kept busy by another writer", "do it again").Because(err)
	}
	return trouble.Own("book-store", b.file(), fmt.Sprintf("the database refused with code %d", said.Code()), "report it").Because(err)
}

// Again reports that a transaction failed for a cause that may be gone when it is tried at once again. SQLite has waited already.
func (b *Book) Again(error) bool { return false }

func readOnly(folder string) *trouble.Trouble {
	return trouble.IO("read-only", folder, "the folder cannot be written to",
		"give the program the right to write there, or ask only what needs no writing")
}

func broken(file, what string) *trouble.Trouble {
	return trouble.IO("broken-book", file, what,
		"stop the program, keep a copy of the folder, and restore the newest backup with `slatewright restore`")
}
