package kept

import (
	"context"
	"fmt"
	"runtime/debug"
	"time"

	"slatewright/trouble"
)

// State says how far an answer is.
type State int

// The states.
const (
	Computing State = iota // ask again, or wait for Done
	Ready
	Failed
)

// String returns computing, ready or failed.
func (s State) String() string { return [...]string{"computing", "ready", "failed"}[s] }

// Asked is what there is of an answer now.
type Asked[T any] struct {
	State State
	Value T               // when Ready
	Err   error           // when Failed
	Done  <-chan struct{} // closed when it is ready or has failed
}

// finished is the Done of what is finished.
var finished = func() <-chan struct{} {
	c := make(chan struct{})
	close(c)
	return c
}()

// Ask answers within the patience with what is kept or can be found so soon; else it is computed to its end behind, whoever goes away.
func Ask[T any](s *Shelf, key string, patience time.Duration, w Work[T]) Asked[T] {
	f, kept, err := start(s, key, w, func(f *flight) { s.look(f); f.held = true })
	if f == nil {
		return asked[T](kept, err)
	}
	defer s.leave(f)
	wait := time.NewTimer(patience)
	defer wait.Stop()
	select {
	case <-f.done:
		return asked[T](f.value, f.err)
	case <-wait.C:
		return Asked[T]{Done: f.done}
	}
}

// Want has an answer computed behind, after all that was asked for by those who look, and never waits.
func Want[T any](s *Shelf, key string, w Work[T]) Asked[T] {
	f, kept, err := start(s, key, w, func(f *flight) { f.held = true })
	if f == nil {
		return asked[T](kept, err)
	}
	return Asked[T]{Done: f.done}
}

// Known is what is kept, Computing when nothing is: nothing is begun.
func Known[T any](s *Shelf, key string) Asked[T] {
	s.mu.Lock()
	defer s.mu.Unlock()
	if at, ok := s.items[key]; ok {
		s.order.MoveToFront(at)
		return asked[T](at.Value.(*item).value, at.Value.(*item).err)
	}
	if f, ok := s.flights[key]; ok {
		return Asked[T]{Done: f.done}
	}
	return Asked[T]{}
}

func asked[T any](value any, err error) Asked[T] {
	if err != nil {
		return Asked[T]{State: Failed, Err: err, Done: finished}
	}
	v, _ := value.(T)
	return Asked[T]{State: Ready, Value: v, Done: finished}
}

// safely does the work; a panic becomes our own fault, with its place as the cause.
func safely[T any](ctx context.Context, do func(context.Context) (T, error)) (value T, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = trouble.Own("panic", "", "the program made a mistake while computing this", "report it; nothing in the book is touched").
				Because(fmt.Errorf("%v\n%s", p, debug.Stack()))
		}
	}()
	return do(ctx)
}
