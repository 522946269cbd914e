package kept_test

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"testing"

	"slatewright/internal/measured/kept"
)

func TestNoMoreThanTheWidthAtATime(t *testing.T) {
	const width = 4
	s := kept.New(1<<20, width)
	defer s.Close()
	var now, done atomic.Int64
	var all sync.WaitGroup
	for i := range 200 {
		weight := 1 + i%6 // some are heavier than the width: they have it all
		all.Go(func() {
			_, err := kept.Get(context.Background(), s, fmt.Sprint(i), kept.Work[int]{Bytes: func(int) int64 { return 1 },
				Do: func(ctx context.Context) (int, error) {
					back, err := s.Turn(ctx, weight)
					if err != nil {
						return 0, err
					}
					defer back()
					if n := now.Add(int64(min(weight, width))); n > width {
						t.Errorf("%d at a time", n)
					}
					for range 20 {
						runtime.Gosched()
					}
					now.Add(-int64(min(weight, width)))
					done.Add(1)
					return 0, nil
				}})
			if err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	if done.Load() != 200 {
		t.Errorf("%d were done", done.Load())
	}
}

// What somebody looks at comes before what was asked for earlier.
func TestAskedLastComesFirst(t *testing.T) {
	s := kept.New(1<<20, 1)
	defer s.Close()
	hold, err := s.Turn(context.Background(), 1)
	if err != nil {
		t.Fatal(err)
	}
	var mu sync.Mutex
	var order []string
	work := func(k string) kept.Work[int] {
		return kept.Work[int]{Bytes: func(int) int64 { return 1 }, Do: func(ctx context.Context) (int, error) {
			back, err := s.Turn(ctx, 1)
			if err != nil {
				return 0, err
			}
			defer back()
			mu.Lock()
			order = append(order, k)
			mu.Unlock()
			return 0, nil
		}}
	}
	var asked []kept.Asked[int]
	asked = append(asked, kept.Want(s, "z", work("z")), kept.Want(s, "b", work("b")))
	for _, k := range []string{"a", "b", "c", "a"} {
		asked = append(asked, kept.Ask(s, k, 0, work(k)))
	}
	asked = append(asked, kept.Want(s, "b", work("b"))) // who only wants it does not bring it forward
	for s.Waiting() < 4 {                               // until each has come to its turn
		runtime.Gosched()
	}
	hold()
	for _, a := range asked {
		<-a.Done
	}
	if want := []string{"a", "c", "b", "z"}; !slices.Equal(order, want) {
		t.Errorf("%v, want %v", order, want)
	}
}

func TestWhoGoesAwayGivesUpTheTurn(t *testing.T) {
	s := kept.New(1<<20, 1)
	defer s.Close()
	hold, _ := s.Turn(context.Background(), 1)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := s.Turn(ctx, 1); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
	hold()
	back, err := s.Turn(context.Background(), 1)
	if err != nil {
		t.Fatal(err)
	}
	back()
}
