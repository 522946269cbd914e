package blobs

import (
	"context"
	"errors"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// check opens, and so verifies, each blob. What cannot be known (a store that does not answer) ends it; a blob that is broken does not.
func check(ctx context.Context, s book.Blobs, digests []string, faults []book.Fault, progress func(done, total int64)) ([]book.Fault, error) {
	total := int64(len(digests))
	for i, digest := range digests {
		r, _, err := s.Open(ctx, digest)
		var t *trouble.Trouble
		switch {
		case err == nil:
			r.Close()
		case errors.As(err, &t) && t.Code == "broken-blob":
			faults = append(faults, fault(t))
		case errors.As(err, &t) && t.Code == "no-such-blob":
			// it was listed and is gone: somebody removed it meanwhile
			faults = append(faults, book.Fault{What: "this blob is gone", Where: digest, Next: t.Next})
		default:
			return faults, err
		}
		if progress != nil {
			progress(int64(i)+1, total)
		}
	}
	return faults, nil
}
