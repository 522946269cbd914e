package shell

import (
	"context"
	"errors"
	"testing"

	"slatewright/internal/book"
)

// counting counts how often it is asked.
type counting struct {
	book.Ledger
	next  chan struct{}
	asked int
	fails bool
}

func (c *counting) Changed() <-chan struct{} { return c.next }

func (c *counting) Stations(context.Context) (map[book.Station]map[book.Kind]int, error) {
	c.asked++
	if c.fails {
		return nil, errors.New("no disk")
	}
	return map[book.Station]map[book.Kind]int{book.Saw: {book.KindBlock: c.asked}}, nil
}

func TestWhatStandsWhereIsCountedOnceAChange(t *testing.T) {
	l := &counting{next: make(chan struct{})}
	var all tally
	count := func(want int) {
		t.Helper()
		got, err := all.count(t.Context(), l)
		if err != nil || got[book.Saw][book.KindBlock] != want {
			t.Errorf("%v, %v; want the count of question %d", got, err, want)
		}
	}
	count(1)
	count(1)
	before := l.next
	l.next = make(chan struct{})
	close(before)
	count(2)
	count(2)
	before, l.fails = l.next, true
	l.next = make(chan struct{})
	close(before)
	if _, err := all.count(t.Context(), l); err == nil {
		t.Error("a count of a book that does not answer")
	}
	l.fails = false
	count(4)
}
