package halfyear

import (
	"crypto/sha256"
	"fmt"
	"testing"
	"time"

	"slatewright/internal/book"
)

// Entries of the large mill are in the order of their time, and the same seed gives the same ones.
func TestMillionIsInOrder(t *testing.T) {
	const n = 30_000
	sum := func(seed uint64) (all [32]byte) {
		h := sha256.New()
		for x := range Million(seed, n) {
			fmt.Fprintf(h, "%+v\n", x)
		}
		return [32]byte(h.Sum(nil))
	}
	first, again := sum(1), sum(1)
	if first != again || first == sum(2) {
		t.Error("a seed must give its own entries, and the same ones again")
	}
	last, count := time.Time{}, 0
	for x := range Million(1, n) {
		if at := x.Entry.At; at.Before(last) || x.Late || at.Weekday() == time.Saturday || at.Weekday() == time.Sunday {
			t.Fatalf("entry %d is of %v, after one of %v", count, at, last)
		}
		last = x.Entry.At
		count++
	}
	if count != n {
		t.Errorf("%d entries, not %d", count, n)
	}
}

// However many entries are asked for, the large mill needs less than a year and a half for them, so that none of them is in the future of
// a clock that is right.
func TestMillionEndsInTime(t *testing.T) {
	for _, n := range []int{1, 48_099, 48_101, 96_199, 250_000} {
		var last book.Submission
		for x := range Million(1, n) {
			last = x
		}
		if at := last.Entry.At; at.After(opening.AddDate(1, 7, 0)) || at.Before(opening) {
			t.Errorf("%d entries end at %v", n, at)
		}
	}
}
