package packing

import (
	"slatewright/internal/tongue"
	"slatewright/sets/marks"
)

// Sentence says a fault and what to do.
func Sentence(w tongue.Words, f marks.Fault) (what, do string) {
	t := sentence(w, f)
	return t.Says, t.Next
}
