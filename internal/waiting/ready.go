package waiting

import (
	"strings"

	"slatewright/internal/book"
)

// Ready lists the numbers of the pieces that wait to be matched, of one size of bed or, when that is "", of every size.
func Ready(asked []Question, size string) (pieces []string) {
	for _, q := range asked {
		if q.Kind == Match && (size == "" || MatchSize(q) == size) {
			for _, r := range q.Also {
				pieces = append(pieces, r.ID)
			}
		}
	}
	return pieces
}

// MatchSize is the size of bed that a question about matching is of; "" for any other.
func MatchSize(q Question) string {
	if q.Kind != Match {
		return ""
	}
	_, size, _ := strings.Cut(q.Key, ":")
	return size
}

// Proposed lists the matches that were proposed and wait to be laid up, from head to foot.
func Proposed(asked []Question) (list [][]string) {
	for _, q := range asked {
		if q.Kind != LayUp || q.Thing.Kind != book.KindPiece { // a set that is to be laid up again
			continue
		}
		var pieces []string
		for _, r := range q.Also {
			pieces = append(pieces, r.ID)
		}
		list = append(list, pieces)
	}
	return list
}
