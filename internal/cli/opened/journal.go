package opened

import (
	"context"

	"slatewright/internal/book"
)

// LastNumber is the number of the latest entry, found by halving, since the journal has no gaps.
func LastNumber(ctx context.Context, l book.Ledger) (int64, error) {
	there := func(seq int64) (bool, error) {
		some, err := l.Entries(ctx, seq-1, 1)
		return len(some) > 0, err
	}
	high := int64(1)
	for {
		ok, err := there(high)
		if err != nil {
			return 0, err
		}
		if !ok {
			break
		}
		high *= 2
	}
	low := high / 2 // there, or 0
	for low+1 < high {
		middle := (low + high) / 2
		ok, err := there(middle)
		if err != nil {
			return 0, err
		}
		if ok {
			low = middle
		} else {
			high = middle
		}
	}
	return low, nil
}
