package kept

import "context"

// turns shares out how much is computed at a time.
type turns struct {
	width, free int
	waiting     []*waiter
}

type waiter struct {
	flight *flight
	weight int
	begin  chan struct{}
}

// Turn waits until there is room for work of this weight, and returns what gives the room back. Of those who wait, whose answer was
// asked for last comes first. ctx is the one that Work.Do was given. Nothing else may be waited for while a turn is held.
func (s *Shelf) Turn(ctx context.Context, weight int) (done func(), err error) {
	f, _ := ctx.Value(inFlight{}).(*flight)
	w := &waiter{flight: f, weight: min(weight, s.turns.width), begin: make(chan struct{})}
	s.mu.Lock()
	s.turns.waiting = append(s.turns.waiting, w)
	s.turns.call()
	s.mu.Unlock()
	select {
	case <-w.begin:
	case <-ctx.Done():
		if s.withdraw(w) {
			return nil, ctx.Err()
		}
	}
	return func() { s.giveBack(w) }, nil
}

// withdraw takes a waiter out; it is too late when it was called already.
func (s *Shelf) withdraw(w *waiter) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	for i, o := range s.turns.waiting {
		if o == w {
			s.turns.remove(i)
			return true
		}
	}
	return false
}

func (s *Shelf) giveBack(w *waiter) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.turns.free += w.weight
	s.turns.call()
}

// call lets those begin for whom there is room, asked last first.
func (t *turns) call() {
	for {
		best := -1
		for i, w := range t.waiting {
			if w.weight <= t.free && (best < 0 || w.asked() > t.waiting[best].asked()) {
				best = i
			}
		}
		if best < 0 {
			return
		}
		w := t.waiting[best]
		t.free -= w.weight
		t.remove(best)
		close(w.begin)
	}
}

func (t *turns) remove(i int) { t.waiting = append(t.waiting[:i], t.waiting[i+1:]...) }

// asked is when the answer was asked for last.
func (w *waiter) asked() uint64 {
	if w.flight == nil {
		return 0
	}
	return w.flight.asked
}
