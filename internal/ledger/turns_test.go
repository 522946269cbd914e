package ledger

import (
	"context"
	"errors"
	"testing"
)

// One replay runs at a time; the check in the background gives way to a rebuild, and does not begin while one waits or runs.
func TestARebuildGoesFirst(t *testing.T) {
	r := replays{turn: make(chan struct{}, 1)}
	checking, pushed := make(chan struct{}), make(chan bool)
	go func() {
		pushed <- r.inBackground(t.Context(), func(ctx context.Context) {
			close(checking)
			<-ctx.Done()
		})
	}()
	<-checking
	done, err := r.rebuild(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if <-pushed {
		t.Error("a check that was pushed aside came to its end")
	}
	tired, give := context.WithCancel(t.Context())
	give()
	if _, err := r.rebuild(tired); !errors.Is(err, context.Canceled) {
		t.Errorf("a second one, whose caller does not wait: %v", err)
	}
	if r.inBackground(tired, func(context.Context) { t.Error("a check runs beside a rebuild") }) {
		t.Error("it came to its end")
	}
	done()
	if !r.inBackground(t.Context(), func(context.Context) {}) {
		t.Error("the check does not run when the rebuild is done")
	}
	if done, err = r.rebuild(t.Context()); err != nil {
		t.Fatal(err)
	}
	done()
}
