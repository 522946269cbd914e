// Package kept keeps what was computed once, up to so many bytes, and sees to it that the same thing is never computed twice at
// a time: whoever asks while it is being computed waits for the same answer, or is told that it is being computed.
//
// What was asked last is kept longest, and of what waits for its turn the last asked comes first: it is what somebody looks at. The
// package does not know what it keeps. Nothing of it outlives the program.
package kept

import (
	"container/list"
	"context"
	"errors"
	"sync"

	"slatewright/trouble"
)

// Shelf holds answers by their keys. All its functions may be called at the same time.
type Shelf struct {
	life context.Context // until Close
	stop context.CancelFunc

	mu      sync.Mutex
	most    int64
	used    int64
	order   *list.List // of *item, asked last in front
	items   map[string]*list.Element
	flights map[string]*flight
	asked   uint64
	turns   turns
}

// item is a kept answer: a value, or why there is none.
type item struct {
	key   string
	value any
	err   error
	bytes int64
	once  bool // to be told once and then forgotten
}

// flight is a question that is being answered.
type flight struct {
	key    string
	done   chan struct{} // closed when value and err stand
	value  any
	err    error
	cancel context.CancelFunc
	asked  uint64 // when it was asked for last; 0: by nobody who looks
	waits  int    // who waits for it
	held   bool   // to be finished also when nobody waits
}

// New returns an empty shelf for so many bytes. width is how much may be computed at a time, in the weights that [Shelf.Turn] is asked
// with.
func New(most int64, width int) *Shelf {
	s := &Shelf{most: most, order: list.New(), items: map[string]*list.Element{}, flights: map[string]*flight{}}
	s.turns.free, s.turns.width = width, width
	s.life, s.stop = context.WithCancel(context.Background())
	return s
}

// Close ends what is being computed. Who waits gets an error, and so does who asks later for what is not kept.
func (s *Shelf) Close() { s.stop() }

// Work is how an answer is found, and how many bytes it takes to keep it; less than none for one that holds for the moment only. What
// is larger than the shelf, or holds for the moment, is kept only until whoever asked for it by [Ask] has been told.
type Work[T any] struct {
	Do    func(ctx context.Context) (T, error)
	Bytes func(T) int64
}

// Get answers with what is kept, or computes it and waits. When all who waited have gone, and nobody asked for it by [Ask], the
// computing is ended. A key always stands for the same question.
func Get[T any](ctx context.Context, s *Shelf, key string, w Work[T]) (T, error) {
	var none T
	if err := ctx.Err(); err != nil {
		return none, err
	}
	f, kept, err := start(s, key, w, s.look)
	if f == nil {
		return as[T](kept, err)
	}
	select {
	case <-f.done:
		s.leave(f)
		return as[T](f.value, f.err)
	case <-ctx.Done():
		s.leave(f)
		return none, ctx.Err()
	}
}

// look joins a flight as one who waits: it is now the one that was asked for last. The lock is held.
func (s *Shelf) look(f *flight) {
	s.asked++
	f.asked = s.asked
	f.waits++
}

// start answers from the shelf (the flight is then nil), or joins the flight to the answer, or begins it.
func start[T any](s *Shelf, key string, w Work[T], join func(*flight)) (*flight, any, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if at, ok := s.items[key]; ok {
		i := at.Value.(*item)
		s.order.MoveToFront(at)
		if i.once {
			s.drop(at)
		}
		return nil, i.value, i.err
	}
	f, ok := s.flights[key]
	if !ok {
		ctx, cancel := context.WithCancel(s.life)
		f = &flight{key: key, done: make(chan struct{}), cancel: cancel}
		s.flights[key] = f
		go fly(s, context.WithValue(ctx, inFlight{}, f), f, w)
	}
	join(f)
	return f, nil, nil
}

// inFlight is the key under which a computation's context holds its flight.
type inFlight struct{}

// fly computes an answer and puts it on the shelf.
func fly[T any](s *Shelf, ctx context.Context, f *flight, w Work[T]) {
	value, err := safely(ctx, w.Do)
	if err == nil {
		f.value = value
	} else if ctx.Err() != nil && s.life.Err() != nil {
		err = trouble.IO("closing", "", "the program is closing", "ask again when it runs again")
	}
	f.err = err
	var bytes int64 = failureBytes
	if err == nil {
		bytes = w.Bytes(value)
	}
	s.land(f, bytes)
	f.cancel()
}

// failureBytes is what an error is reckoned to take.
const failureBytes = 1024

// land puts what a flight found on the shelf and tells all who wait.
func (s *Shelf) land(f *flight, bytes int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.flights[f.key] == f { // else all have gone, and somebody may have asked anew
		delete(s.flights, f.key)
		i := &item{key: f.key, value: f.value, err: f.err}
		i.once = bytes < 0 || bytes > s.most || f.err != nil && !Lasting(f.err)
		i.bytes = min(max(bytes, 0), s.most)
		if !i.once || f.held && f.waits == 0 {
			s.put(i)
		}
	}
	close(f.done)
}

// put keeps an item and lets go what was asked longest ago.
func (s *Shelf) put(i *item) {
	s.items[i.key] = s.order.PushFront(i)
	for s.used += i.bytes; s.used > s.most; {
		s.drop(s.order.Back())
	}
}

func (s *Shelf) drop(at *list.Element) {
	i := s.order.Remove(at).(*item)
	delete(s.items, i.key)
	s.used -= i.bytes
}

// leave is called by who does not wait any longer.
func (s *Shelf) leave(f *flight) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if f.waits--; f.waits == 0 && !f.held && s.flights[f.key] == f {
		delete(s.flights, f.key)
		f.cancel()
	}
}

// Used is how many bytes are kept.
func (s *Shelf) Used() int64 {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.used
}

// as gives an answer its type back.
func as[T any](value any, err error) (T, error) {
	v, _ := value.(T)
	return v, err
}

// passing is an error that may be another one, or none, when the same is asked again.
type passing struct{ error }

func (p passing) Unwrap() error { return p.error }

// Lasting reports whether asking again would give the same error.
func Lasting(err error) bool {
	var p passing
	var t *trouble.Trouble
	return !errors.As(err, &p) && errors.As(err, &t) && (t.Kind == trouble.KindData || t.Kind == trouble.KindUsage)
}

// Passing marks an error of the moment, such as a file that is not there yet: it is told and not kept. Without the mark, trouble with
// what was given (trouble.KindData and KindUsage) is kept as an answer is; any other error is not.
func Passing(err error) error {
	if err == nil {
		return nil
	}
	return passing{err}
}
