package kept_test

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"slatewright/internal/measured/kept"
	"slatewright/trouble"
)

// long is a patience that no test waits for in vain.
const long = time.Minute

// saying is work that says a word of so many bytes and counts how often it was done.
func saying(word string, bytes int64, count *atomic.Int64) kept.Work[string] {
	return kept.Work[string]{
		Do:    func(context.Context) (string, error) { count.Add(1); return word, nil },
		Bytes: func(string) int64 { return bytes },
	}
}

func failing(err error, count *atomic.Int64) kept.Work[string] {
	return kept.Work[string]{
		Do:    func(context.Context) (string, error) { count.Add(1); return "", err },
		Bytes: func(string) int64 { return 1 },
	}
}

func TestTheSameIsComputedOnce(t *testing.T) {
	s := kept.New(1000, 1)
	defer s.Close()
	var count atomic.Int64
	gate := make(chan struct{})
	work := kept.Work[string]{Bytes: func(string) int64 { return 1 }, Do: func(context.Context) (string, error) {
		count.Add(1)
		<-gate
		return "flat", nil
	}}
	var all sync.WaitGroup
	for range 50 {
		all.Go(func() {
			if v, err := kept.Get(context.Background(), s, "k", work); v != "flat" || err != nil {
				t.Errorf("%q, %v", v, err)
			}
		})
	}
	close(gate)
	all.Wait()
	if n := count.Load(); n != 1 {
		t.Errorf("computed %d times", n)
	}
	if a := kept.Known[string](s, "k"); a.State != kept.Ready || a.Value != "flat" {
		t.Errorf("%+v", a)
	}
	if a := kept.Known[string](s, "other"); a.State != kept.Computing || count.Load() != 1 {
		t.Errorf("%+v", a)
	}
}

func TestWhatWasAskedLongestAgoIsLetGo(t *testing.T) {
	s := kept.New(100, 1)
	defer s.Close()
	var count atomic.Int64
	ask := func(k string) { kept.Get(context.Background(), s, k, saying(k, 40, &count)) }
	ask("a")
	ask("b")
	ask("a") // b is now the oldest
	ask("c")
	if n := s.Used(); n != 80 || count.Load() != 3 {
		t.Fatalf("%d bytes, computed %d times", n, count.Load())
	}
	ask("a")
	ask("c")
	if count.Load() != 3 {
		t.Error("what was asked last was let go")
	}
	ask("b")
	if count.Load() != 4 {
		t.Error("the bound was not kept")
	}
}

func TestWhatIsLargerThanTheShelfIsTold(t *testing.T) {
	s := kept.New(100, 1)
	defer s.Close()
	var count atomic.Int64
	gate := make(chan struct{})
	work := saying("scan", 1000, &count)
	say := work.Do
	work.Do = func(ctx context.Context) (string, error) { <-gate; return say(ctx) }
	a := kept.Ask(s, "k", 0, work)
	if a.State != kept.Computing {
		t.Fatalf("%+v", a)
	}
	close(gate)
	<-a.Done
	if s.Used() > 100 {
		t.Errorf("%d bytes are kept", s.Used())
	}
	if a = kept.Ask(s, "k", long, work); a.State != kept.Ready || a.Value != "scan" || count.Load() != 1 || s.Used() != 0 {
		t.Errorf("%+v, computed %d times, %d bytes", a, count.Load(), s.Used())
	}
}

func TestNobodyWaits(t *testing.T) {
	s := kept.New(100, 1)
	defer s.Close()
	ended := make(chan error, 1)
	work := kept.Work[string]{Bytes: func(string) int64 { return 1 }, Do: func(ctx context.Context) (string, error) {
		<-ctx.Done()
		ended <- ctx.Err()
		return "", ctx.Err()
	}}
	ctx, cancel := context.WithCancel(context.Background())
	var all sync.WaitGroup
	for range 3 {
		all.Go(func() {
			if _, err := kept.Get(ctx, s, "k", work); !errors.Is(err, context.Canceled) {
				t.Errorf("%v", err)
			}
		})
	}
	cancel()
	all.Wait()
	select {
	case <-ended: // or it was never begun, when all came with an ended context
	default:
	}
	var count atomic.Int64
	if v, err := kept.Get(context.Background(), s, "k", saying("anew", 1, &count)); v != "anew" || err != nil {
		t.Errorf("%q, %v", v, err)
	}
}

// One who goes away does not end it for another, nor for a page that has asked.
func TestOneGoesAway(t *testing.T) {
	for name, other := range map[string]func(s *kept.Shelf, work kept.Work[string]) func() (string, error){
		"another waits": func(s *kept.Shelf, work kept.Work[string]) func() (string, error) {
			type answer struct {
				v   string
				err error
			}
			c := make(chan answer)
			go func() {
				v, err := kept.Get(context.Background(), s, "k", work)
				c <- answer{v, err}
			}()
			for s.Waits("k") < 1 {
				runtime.Gosched()
			}
			return func() (string, error) { a := <-c; return a.v, a.err }
		},
		"a page has asked": func(s *kept.Shelf, work kept.Work[string]) func() (string, error) {
			a := kept.Ask(s, "k", 0, work)
			return func() (string, error) {
				<-a.Done
				b := kept.Known[string](s, "k")
				return b.Value, b.Err
			}
		},
	} {
		t.Run(name, func(t *testing.T) {
			s := kept.New(100, 1)
			defer s.Close()
			gate := make(chan struct{})
			work := kept.Work[string]{Bytes: func(string) int64 { return 1 }, Do: func(ctx context.Context) (string, error) {
				select {
				case <-gate:
					return "bed", nil
				case <-ctx.Done():
					return "", ctx.Err()
				}
			}}
			waiting := other(s, work)
			before := s.Waits("k")
			ctx, cancel := context.WithCancel(context.Background())
			gone := make(chan struct{})
			go func() {
				kept.Get(ctx, s, "k", work)
				close(gone)
			}()
			for s.Waits("k") == before {
				runtime.Gosched()
			}
			cancel()
			<-gone
			close(gate)
			if v, err := waiting(); v != "bed" || err != nil {
				t.Errorf("%q, %v", v, err)
			}
		})
	}
}

func TestWhichErrorsAreKept(t *testing.T) {
	data := trouble.Data("bad-number", "f:3", "no number", "")
	cases := []struct {
		name string
		err  error
		kept bool
	}{
		{"data", data, true},
		{"wrapped data", fmt.Errorf("the bed: %w", data), true},
		{"usage", trouble.Usage("bad-date", "", "no date", ""), true},
		{"passing", kept.Passing(data), false},
		{"wrapped passing", fmt.Errorf("the bed: %w", kept.Passing(data)), false},
		{"io", trouble.IO("broken-blob", "", "broken", ""), false},
		{"own", trouble.Own("panic", "", "", ""), false},
		{"other", errors.New("something"), false},
	}
	for _, c := range cases {
		s := kept.New(1<<20, 1)
		var count atomic.Int64
		for range 2 {
			_, err := kept.Get(context.Background(), s, "k", failing(c.err, &count))
			if !errors.Is(err, c.err) {
				t.Errorf("%s: %v", c.name, err)
			}
			var told *trouble.Trouble
			if errors.As(c.err, &told) && !errors.As(err, &told) {
				t.Errorf("%s: the trouble is lost", c.name)
			}
		}
		if again := count.Load() == 2; again == c.kept {
			t.Errorf("%s: computed %d times", c.name, count.Load())
		}
		s.Close()
	}
	if kept.Passing(nil) != nil {
		t.Error("no error became one")
	}
}

// A page that has asked learns of a failure once, though it is not kept.
func TestAFailureOfTheMomentIsToldOnce(t *testing.T) {
	s := kept.New(1<<20, 1)
	defer s.Close()
	var count atomic.Int64
	gate := make(chan struct{})
	work := failing(trouble.IO("unreadable", "", "", ""), &count)
	fail := work.Do
	work.Do = func(ctx context.Context) (string, error) { <-gate; return fail(ctx) }
	a := kept.Ask(s, "k", 0, work)
	close(gate)
	<-a.Done
	for k := range 2 {
		if a = kept.Ask(s, "k", long, work); a.State != kept.Failed || count.Load() != int64(k+1) {
			t.Errorf("%d: %+v, computed %d times", k, a, count.Load())
		}
	}
}

func TestAPanicIsOurOwnFault(t *testing.T) {
	s := kept.New(100, 1)
	defer s.Close()
	a := kept.Ask(s, "k", long, kept.Work[int]{Do: func(context.Context) (int, error) { panic("lost the basis") }})
	var told *trouble.Trouble
	if a.State != kept.Failed || !errors.As(a.Err, &told) || told.Kind != trouble.KindOwn || !strings.Contains(told.Err.Error(), "lost the basis") {
		t.Errorf("%+v", a)
	}
}

func TestClose(t *testing.T) {
	s := kept.New(100, 1)
	a := kept.Ask(s, "k", 0, kept.Work[int]{Do: func(ctx context.Context) (int, error) { <-ctx.Done(); return 0, ctx.Err() }})
	s.Close()
	<-a.Done
	var told *trouble.Trouble
	if a = kept.Known[int](s, "k"); !errors.As(a.Err, &told) || told.Code != "closing" {
		t.Errorf("%+v", a)
	}
}

func TestStatesHaveWords(t *testing.T) {
	if got := fmt.Sprint(kept.Computing, kept.Ready, kept.Failed); got != "computing ready failed" {
		t.Error(got)
	}
}
