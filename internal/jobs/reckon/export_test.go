package reckon

import (
	"time"

	"slatewright/internal/book"
	"slatewright/internal/jobs"
)

// MatchFor is Match with slices of another length.
func MatchFor(b book.Blobs, slice time.Duration) jobs.Worker { return match{source{b}, slice} }
