package work_test

import (
	"bytes"
	"context"
	"encoding/json"
	"log/slog"
	"sync"
	"testing"
	"time"

	"slatewright/internal/jobs"
	"slatewright/internal/jobs/jobstest"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/pgtest"
	"slatewright/internal/ledger/work"
)

// steps is a worker whose jobs take three slices, each a moment.
type steps struct{}

func (steps) Kind() string                { return "steps" }
func (steps) Check(json.RawMessage) error { return nil }
func (steps) Work(ctx context.Context, j jobs.Job) (jobs.Slice, error) {
	select {
	case <-ctx.Done():
		return jobs.Slice{}, ctx.Err()
	case <-time.After(100 * time.Millisecond):
	}
	return jobs.Slice{Checkpoint: json.RawMessage(`"on"`), Progress: float64(j.Slices+1) / 3, Done: j.Slices == 2}, nil
}

// sink is where a log goes.
type sink struct {
	lock sync.Mutex
	b    bytes.Buffer
}

func (s *sink) Write(p []byte) (int, error) {
	s.lock.Lock()
	defer s.lock.Unlock()
	return s.b.Write(p)
}

func (s *sink) String() string {
	s.lock.Lock()
	defer s.lock.Unlock()
	return s.b.String()
}

// started opens a queue on PostgreSQL that already works, and stops it at the test's end.
func started(t *testing.T, url string, o jobs.Options) (*ledger.Ledger, *work.Queue, func()) {
	t.Helper()
	l, err := ledger.Open(t.Context(), url, ledger.Options{Site: "quern-hollow", Create: true, Holder: "a test"})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	q, err := work.Open(t.Context(), l.Handles(), o, steps{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(q.Close)
	return l, q, func() {
		ctx, stop := context.WithCancel(context.Background())
		ended := make(chan error, 1)
		go func() { ended <- q.Run(ctx) }()
		t.Cleanup(func() {
			stop()
			if err := <-ended; err != nil {
				t.Errorf("run ended with %v", err)
			}
		})
	}
}

func submit(t *testing.T, q *work.Queue) string {
	t.Helper()
	j, err := q.Submit(t.Context(), "steps", "first hand", json.RawMessage(`{}`))
	if err != nil {
		t.Fatal(err)
	}
	return j.ID
}

// done waits until the jobs are done. A database that is away is asked again.
func done(t *testing.T, q *work.Queue, ids ...string) {
	t.Helper()
	end := time.Now().Add(90 * time.Second)
	for _, id := range ids {
		for {
			j, err := q.Job(t.Context(), id)
			if err == nil && j.State == jobs.Done {
				break
			}
			if err == nil && j.State.Ended() || time.Now().After(end) {
				t.Fatalf("%+v, %v", j, err)
			}
			time.Sleep(20 * time.Millisecond)
		}
	}
}

// A program that is killed after River gave it a turn and before it took it leaves a turn that River believes to be worked on.
func TestTurnThatRiverGaveToTheDead(t *testing.T) {
	t.Parallel()
	l, q, run := started(t, pgtest.Start(t), jobs.Options{Beat: 100 * time.Millisecond, Silent: time.Second, Sweep: 50 * time.Millisecond})
	id := submit(t, q)
	r, err := l.Handles().Write.Exec(`update river_job set state = 'running', attempt = 1, attempted_at = now() where args->>'job' = $1`, id)
	if err != nil {
		t.Fatal(err)
	}
	if n, _ := r.RowsAffected(); n != 1 {
		t.Fatalf("%d turns in the line, want 1", n)
	}
	run()
	done(t, q, id)
}

// A turn that waits in the line is not put there again, however long it waits.
func TestTurnWaitsInTheLineOnce(t *testing.T) {
	t.Parallel()
	l, q, _ := started(t, pgtest.Start(t), jobs.Options{})
	id := submit(t, q)
	s := work.NewStore(l.Handles())
	crew := jobs.NewCrew(s, q.Queue.(jobs.Line), jobs.Options{}, steps{})
	for range 3 {
		crew.Recover(t.Context(), 0)
	}
	var n int
	if err := l.Handles().Read.QueryRow(`select count(*) from river_job where args->>'job' = $1`, id).Scan(&n); err != nil || n != 1 {
		t.Errorf("%d turns in the line, %v", n, err)
	}
}

// The server is switched off and on again while jobs are worked on.
func TestServerSwitchedOff(t *testing.T) {
	t.Parallel()
	server := pgtest.StartServer(t)
	var log sink
	_, q, run := started(t, server.URL, jobs.Options{Log: slog.New(slog.NewTextHandler(&log, nil))})
	run()
	first := submit(t, q)
	done(t, q, first)
	if log.String() != "" {
		t.Errorf("without a fault the log says %s", &log)
	}
	var ids []string
	for range 4 {
		ids = append(ids, submit(t, q))
	}
	time.Sleep(150 * time.Millisecond) // so that slices are in the middle
	server.Stop()
	server.Start()
	done(t, q, ids...)
	for { // a connection that has not been used since may still be broken
		if j, err := q.Submit(t.Context(), "steps", "first hand", json.RawMessage(`{}`)); err == nil {
			done(t, q, j.ID)
			return
		}
	}
}

// Programs that open a new book at the same time do not stumble over each other's tables.
func TestOpenedTogether(t *testing.T) {
	t.Parallel()
	url := pgtest.Start(t)
	if o, err := open(url, "quern-hollow", jobs.Options{}); err != nil { // the book itself
		t.Fatal(err)
	} else {
		o.Close()
	}
	var opened [4]jobstest.Opened
	var errs [4]error
	var all sync.WaitGroup
	for i := range opened {
		all.Go(func() { opened[i], errs[i] = open(url, "quern-hollow", jobs.Options{}) })
	}
	all.Wait()
	for i, err := range errs {
		if err != nil {
			t.Error(err)
			continue
		}
		opened[i].Close()
	}
}

// Two mills on one database: a program of one leaves the turns of the other in the line.
func TestMillsLeaveEachOthersTurns(t *testing.T) {
	t.Parallel()
	url := pgtest.Start(t)
	l, q, run := started(t, url, jobs.Options{})
	other, err := open(url, "other-mill", jobs.Options{}, steps{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(other.Close)
	j, err := other.Queue.Submit(t.Context(), "steps", "first hand", json.RawMessage(`{}`))
	if err != nil {
		t.Fatal(err)
	}
	run()
	done(t, q, submit(t, q)) // it came after the other mill's
	var state string
	if err := l.Handles().Read.QueryRow(`select state from river_job where args->>'job' = $1`, j.ID).Scan(&state); err != nil || state != "available" {
		t.Errorf("the other mill's turn is %s, %v", state, err)
	}
}
