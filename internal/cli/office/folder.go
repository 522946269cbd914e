package office

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/trouble"
)

// bookFile is the file in a book's folder that makes it one.
const bookFile = "book.db"

// nobodys are what may lie in a folder in which no book was begun: what a stopped beginning left, the
// root that tablets trust, and what a new disk has at its top.
var nobodys = []string{"book.lock", "blobs", trustFolder, "lost+found"}

// newFolder refuses to begin a book among files that are not a book's. What is in a folder with a book is the book's to judge.
func newFolder(where, by string, beside bool) error {
	if beside || opened.IsAddress(where) {
		return nil
	}
	there, err := os.ReadDir(where)
	if os.IsNotExist(err) {
		return nil
	}
	if err != nil {
		return trouble.IO("no-folder", where, "this is no folder that can be read: "+verb.Reason(err), "name a new folder for the book")
	}
	if _, err := os.Lstat(filepath.Join(where, bookFile)); err == nil {
		return nil
	}
	for _, f := range there {
		if slices.Contains(nobodys, f.Name()) {
			continue
		}
		next := "name a new folder for the book"
		if by == "init" {
			next += "; or add --beside-files, if it shall stand beside them"
		}
		return trouble.Data("foreign-files", where, fmt.Sprintf("the folder holds files that are not a book's, such as %s", f.Name()), next)
	}
	return nil
}
