package ledger

import (
	"strconv"
	"strings"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// Rows of a page when nothing is asked for, and at most.
const (
	usualPage   = 100
	largestPage = 5000
)

func pageSize(limit int) int {
	if limit <= 0 {
		return usualPage
	}
	return min(limit, largestPage)
}

// page cuts what was read, one row more than asked for, into a page and its cursor.
func page[T any](items []T, limit int, cursor func(T) string) book.Page[T] {
	if len(items) <= limit {
		return book.Page[T]{Items: items}
	}
	items = items[:limit]
	return book.Page[T]{Items: items, Next: cursor(items[limit-1])}
}

// A cursor is a number and a word: the key of the last row of a page. Ids and kinds hold no tilde.
func cursorOf(n int64, word string) string { return strconv.FormatInt(n, 10) + "~" + word }

// readCursor reads a cursor; none stands before the first row.
func readCursor(cursor string) (n int64, word string, err error) {
	if cursor == "" {
		return -1 << 62, "", nil
	}
	number, word, ok := strings.Cut(cursor, "~")
	n, err = strconv.ParseInt(number, 10, 64)
	if !ok || err != nil {
		return 0, "", trouble.Usage("bad-cursor", "cursor", "this is no cursor of this list", "take the one that the page before gave, or none to begin")
	}
	return n, word, nil
}
