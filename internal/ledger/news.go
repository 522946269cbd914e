package ledger

import (
	"context"
	"sync"
	"time"
)

// news tells those who wait that the book has grown.
type news struct {
	mu   sync.Mutex
	next chan struct{}
}

func (n *news) channel() <-chan struct{} {
	n.mu.Lock()
	defer n.mu.Unlock()
	if n.next == nil {
		n.next = make(chan struct{})
	}
	return n.next
}

func (n *news) announce() {
	n.mu.Lock()
	defer n.mu.Unlock()
	if n.next != nil {
		close(n.next)
		n.next = nil
	}
}

// Changed returns a channel that is closed at the next commit: at once for one of this program, within a second for one of
// another program on the same book.
func (l *Ledger) Changed() <-chan struct{} { return l.news.channel() }

// watch looks for what other programs write.
func (l *Ledger) watch(ctx context.Context) {
	var last *head
	for {
		h, err := l.head(ctx)
		if err == nil && last != nil && h != *last {
			l.news.announce()
		}
		if err == nil {
			l.health.madeAnew(h.rebuilds)
			last = &h
		}
		select {
		case <-ctx.Done():
			return
		case <-time.After(time.Second):
		}
	}
}
