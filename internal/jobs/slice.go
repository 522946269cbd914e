package jobs

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"runtime/debug"
	"time"

	"slatewright/trouble"
)

// Why a slice was stopped.
var (
	errGone    = errors.New("the turn is gone")
	errTooLong = errors.New("the slice took too long")
)

// settling is how long the end of a slice may be tried to be written, for a database that is started again.
const settling = 10 * time.Second

// Work takes a turn, works on its slice, keeps what came of it and puts the next turn in the line. A turn that is gone is no
// error: somebody else had it, or the job has ended. When ctx ends the turn is given back.
func (c *Crew) Work(ctx context.Context, t Turn) error {
	j, ok, err := c.store.Take(ctx, t, c.o.Name)
	if err != nil || !ok {
		return err
	}
	s, err := c.slice(ctx, t, j)
	if errors.Is(err, errGone) {
		return nil
	}
	settle, stop := context.WithTimeout(context.WithoutCancel(ctx), settling)
	defer stop()
	return c.settle(settle, t, j, s, err, ctx.Err() != nil)
}

// slice lets the worker do one slice, with a finite time, under a watch.
func (c *Crew) slice(ctx context.Context, t Turn, j Job) (Slice, error) {
	w, ok := c.workers[j.Kind]
	if !ok {
		return Slice{}, c.unknown(j.Kind)
	}
	timed, done := context.WithTimeoutCause(ctx, c.o.Slice, errTooLong)
	defer done()
	watched, stop := context.WithCancelCause(timed)
	defer stop(nil)
	go c.watch(watched, t, stop)
	s, err := c.guarded(watched, w, j)
	if err == nil {
		return s, checkSlice(j.Kind, s)
	}
	if cause := context.Cause(watched); errors.Is(cause, errGone) || errors.Is(cause, errTooLong) {
		err = cause
	}
	return s, err
}

// guarded turns a panic of the worker into trouble.
func (c *Crew) guarded(ctx context.Context, w Worker, j Job) (s Slice, err error) {
	defer func() {
		if p := recover(); p != nil {
			c.o.Log.ErrorContext(ctx, "jobs: a worker broke down", "job", j.ID, "panic", p, "stack", string(debug.Stack()))
			err = trouble.Own("broken-worker", j.Kind, fmt.Sprintf("the computation broke down: %v", p), "report it with the job's input")
		}
	}()
	return w.Work(ctx, j)
}

// watch gives signs of life and stops the slice when its turn is gone. It ends with the slice or its time: a worker that
// does not stop in time loses its turn.
func (c *Crew) watch(ctx context.Context, t Turn, stop context.CancelCauseFunc) {
	look, beat := time.NewTicker(c.o.Watch), time.NewTicker(c.o.Beat)
	defer look.Stop()
	defer beat.Stop()
	for {
		ask := c.store.Holds
		select {
		case <-ctx.Done():
			return
		case <-look.C:
		case <-beat.C:
			ask = c.store.Beat
		}
		// An error says nothing of the turn: the database may be starting again.
		held, err := ask(ctx, t)
		if err == nil && !held {
			stop(errGone)
			return
		}
		if err != nil {
			c.warn(ctx, "jobs: giving a sign of life", err)
		}
	}
}

// checkSlice holds a worker to what can be kept and shown.
func checkSlice(kind string, s Slice) error {
	slip := func(what string) error { return trouble.Own("bad-slice", kind, what, "report it with the job's input") }
	for what, text := range map[string]json.RawMessage{"checkpoint": s.Checkpoint, "result": s.Result} {
		if text != nil && !json.Valid(text) {
			return slip("the " + what + " is not JSON")
		}
	}
	switch {
	case !(s.Progress >= 0 && s.Progress <= 1):
		return slip(fmt.Sprintf("a progress of %v", s.Progress))
	case len(s.Checkpoint) > MostCheckpoint:
		return slip(fmt.Sprintf("the checkpoint has %d bytes", len(s.Checkpoint)))
	case len(s.Result) > MostResult:
		return trouble.Data("too-large", kind, fmt.Sprintf("the result has %d bytes", len(s.Result)), "ask for less at once")
	}
	return nil
}

// settle writes how a slice ended and puts the turn that follows in the line, if one does.
func (c *Crew) settle(ctx context.Context, t Turn, j Job, s Slice, err error, stopped bool) error {
	if err == nil {
		kept, err := c.persist(ctx, func() (bool, error) { return c.store.Keep(ctx, t, s) })
		if kept && !s.Done {
			c.put(ctx, t.Next(), false)
		}
		return err
	}
	if stopped {
		back, err := c.persist(ctx, func() (bool, error) { return c.store.GiveBack(ctx, t, false) })
		if back {
			c.put(ctx, t.Next(), true)
		}
		return err
	}
	if again(err) && j.Lost+1 < c.o.Most {
		c.warn(ctx, "jobs: a slice will be tried again", err)
		_, err := c.persist(ctx, func() (bool, error) { return c.store.GiveBack(ctx, t, true) })
		return err // not put in the line: the sweep finds it after a while, when the cause may have gone
	}
	_, err = c.persist(ctx, func() (bool, error) { return c.store.Fail(ctx, t, c.told(j.Kind, err)) })
	return err
}

// again tells whether another attempt may help: a file or a device that could not be read, or a slice that took too long.
func again(err error) bool {
	var t *trouble.Trouble
	return errors.Is(err, errTooLong) || errors.As(err, &t) && t.Kind == trouble.KindIO
}

// told puts the end of a job in words.
func (c *Crew) told(kind string, err error) string {
	var t *trouble.Trouble
	switch {
	case errors.As(err, &t):
	case errors.Is(err, errTooLong):
		t = trouble.Own("slice-too-long", kind, fmt.Sprintf("one slice took longer than %v, %d times", c.o.Slice, c.o.Most), "report it with the job's input")
	default:
		t = trouble.Own("failed", kind, err.Error(), "report it with the job's input")
	}
	return t.Error()
}

// persist tries to write until it is written or ctx ends.
func (c *Crew) persist(ctx context.Context, write func() (bool, error)) (bool, error) {
	for {
		ok, err := write()
		if err == nil {
			return ok, nil
		}
		c.warn(ctx, "jobs: writing the end of a slice", err)
		select {
		case <-ctx.Done():
			return false, err
		case <-time.After(c.o.Watch):
		}
	}
}
