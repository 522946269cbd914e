package api

import (
	"context"
	"errors"
	"fmt"
	"time"

	"slatewright/trouble"
)

// longestWait is how long a question for new entries may stay open, so that it ends before proxies lose patience.
const longestWait = 25

type entriesQuestion struct {
	After int64 `query:"after" minimum:"0" doc:"Place in the journal after which to begin; 0 is its beginning"`
	Limit int   `query:"limit" minimum:"1" maximum:"500" default:"50" doc:"Entries at most"`
	WaitS int   `query:"wait_s" minimum:"0" maximum:"25" doc:"Seconds to wait for new entries when there are none"`
}

// Journal is a stretch of the journal.
type Journal struct {
	Entries []Entry  `json:"entries" nullable:"false"`
	Broken  []Broken `json:"broken,omitempty" nullable:"false" doc:"Entries of this stretch that do not verify: they are named and not shown"`
	Seq     int64    `json:"seq" doc:"Place of the last entry of this answer; the next question's after"`
}

// Broken names an entry that does not verify.
type Broken struct {
	Seq int64 `json:"seq" doc:"Its place in the journal" example:"4711"`
	Refusal
}

// look is how often the journal is looked at while somebody waits: other programs on the same database write without telling us.
const look = time.Second

func (d *desk) entries(ctx context.Context, in *entriesQuestion) (*answer[Journal], error) {
	deadline := time.Now().Add(time.Duration(min(in.WaitS, longestWait)) * time.Second)
	for {
		changed := d.Ledger.Changed()
		out, err := d.stretch(ctx, in.After, in.Limit)
		if err != nil {
			return nil, err
		}
		left := time.Until(deadline)
		if out.Seq > in.After || left <= 0 {
			return &answer[Journal]{out}, nil
		}
		timer := time.NewTimer(min(left, look))
		select {
		case <-changed:
		case <-timer.C:
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-Closing(ctx):
			deadline = time.Time{}
		}
		timer.Stop()
	}
}

// stretch reads on from a place in the journal. A broken entry is named, and reading goes on behind it: half as much is asked for until
// what cannot be read stands alone, and then twice as much again.
func (d *desk) stretch(ctx context.Context, after int64, limit int) (Journal, error) {
	out := Journal{Entries: make([]Entry, 0, limit), Seq: after}
	for n := limit; n > 0; n = min(n, limit-len(out.Entries)-len(out.Broken)) {
		placed, err := d.Ledger.Entries(ctx, out.Seq, n)
		switch {
		case isBroken(err) && n > 1:
			n /= 2
			continue
		case isBroken(err):
			b := named(err, out.Seq)
			out.Broken, out.Seq = append(out.Broken, b), b.Seq
			continue
		case err != nil:
			return out, err
		}
		for _, p := range placed {
			out.Entries, out.Seq = append(out.Entries, shownPlaced(p)), p.Seq
		}
		if len(placed) < n {
			break
		}
		n *= 2
	}
	return out, nil
}

// named names the entry that did not verify, the first after a place in the journal.
func named(err error, after int64) Broken {
	t := (*trouble.Trouble)(nil)
	errors.As(err, &t)
	b := Broken{after + 1, Refusal{Code: t.Code, What: t.What, Where: t.Where, Next: t.Next}}
	if seq := int64(0); scanned(t.Where, &seq) && seq > after { // entries before it may be missing
		b.Seq = seq
	}
	return b
}

func scanned(where string, seq *int64) bool {
	n, _ := fmt.Sscanf(where, "entry %d", seq)
	return n == 1
}

type closingKey struct{}

// WithClosing makes a context for a server's requests: when closed is closed, those that only wait are answered at once.
func WithClosing(ctx context.Context, closed <-chan struct{}) context.Context {
	return context.WithValue(ctx, closingKey{}, closed)
}

// Closing is closed when the server that took a request shuts down; nil, which never is, without one.
func Closing(ctx context.Context) <-chan struct{} {
	closed, _ := ctx.Value(closingKey{}).(<-chan struct{})
	return closed
}
