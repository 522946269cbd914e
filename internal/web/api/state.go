package api

import (
	"context"
	"errors"
	"net/http"

	"slatewright/internal/book"
	"slatewright/internal/web/signin"
	"slatewright/trouble"
)

func (d *desk) addState() {
	add(d, Route{Method: http.MethodGet, Path: "/health", ID: "health", Tag: "state", Summary: "Is the program well",
		Text: "200 when the book can be read. For a proxy or a watchman: it tells nothing about the mill. The state faults says that something in the book does not verify; " +
			"what is sound is served as before, so that a proxy goes on sending. Who is signed in hears how much it is, and reads it under /faults.", Least: Anybody,
		Answer: Health{State: "well", Version: "1.0.0"}}, d.health)
	add(d, Route{Method: http.MethodGet, Path: "/faults", ID: "faults", Tag: "state", Summary: "What does not verify",
		Text: "What the check in the background has found so far in journal, tables and blobs, and what to do. What fails is not served.", Least: book.Visitor,
		Answer: Faults{[]book.Fault{{What: "the blob does not have its digest", Where: "blob 9f86d081884c", Next: "bring it back from a backup"}}}}, d.faults)
}

// Health says whether the program is well.
type Health struct {
	State   string `json:"state" enum:"well,faults" doc:"faults: something in the book does not verify and is not served" example:"well"`
	Faults  int    `json:"faults,omitempty" doc:"How many; only for who is signed in"`
	Next    string `json:"next,omitempty" doc:"What to do; only for who is signed in"`
	Version string `json:"version" doc:"Of the program" example:"1.0.0"`
}

// health answers 200 whenever most of the book can be served: to take the program away would mend no fault and stop the mill.
func (d *desk) health(ctx context.Context, _ *struct{}) (*answer[Health], error) {
	found := len(d.Ledger.Faults())
	if _, err := d.Ledger.Entries(ctx, 0, 1); isBroken(err) {
		found = max(found, 1) // before the check in the background has come to it
	} else if err != nil {
		return nil, err
	}
	out := Health{State: "well", Version: d.Version}
	if found == 0 {
		return &answer[Health]{out}, nil
	}
	out.State = "faults"
	if _, err := signin.Who(asked(ctx).http, d.Gate, d.Ledger); err == nil {
		out.Faults, out.Next = found, "read what it is and what to do with GET /api/v1/faults"
	}
	return &answer[Health]{out}, nil
}

// isBroken reports whether one entry of the journal does not verify.
func isBroken(err error) bool {
	t := (*trouble.Trouble)(nil)
	return errors.As(err, &t) && t.Code == "broken-entry"
}

// Faults is what does not verify.
type Faults struct {
	Faults []book.Fault `json:"faults" nullable:"false"`
}

func (d *desk) faults(context.Context, *struct{}) (*answer[Faults], error) {
	return &answer[Faults]{Faults{append([]book.Fault{}, d.Ledger.Faults()...)}}, nil
}
