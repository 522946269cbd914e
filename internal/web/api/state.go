package api

import (
	"context"
	"net/http"

	"slatewright/internal/book"
)

func (d *desk) addState() {
	add(d, Route{Method: http.MethodGet, Path: "/health", ID: "health", Tag: "state", Summary: "Is the program well",
		Text: "200 when the book can be read. For a proxy or a watchman; it tells nothing about the mill.", Least: Anybody, Answer: Health{"well", "1.0.0"}}, d.health)
	add(d, Route{Method: http.MethodGet, Path: "/faults", ID: "faults", Tag: "state", Summary: "What does not verify",
		Text: "What the check in the background has found so far in journal, tables and blobs, and what to do. What fails is not served.", Least: book.Visitor,
		Answer: Faults{[]book.Fault{{What: "the blob does not have its digest", Where: "blob 9f86d081884c", Next: "bring it back from a backup"}}}}, d.faults)
}

// Health says whether the program is well.
type Health struct {
	State   string `json:"state" enum:"well" example:"well"`
	Version string `json:"version" doc:"Of the program" example:"1.0.0"`
}

func (d *desk) health(ctx context.Context, _ *struct{}) (*answer[Health], error) {
	_, err := d.Ledger.Entries(ctx, 0, 1)
	return &answer[Health]{Health{"well", d.Version}}, err
}

// Faults is what does not verify.
type Faults struct {
	Faults []book.Fault `json:"faults" nullable:"false"`
}

func (d *desk) faults(context.Context, *struct{}) (*answer[Faults], error) {
	return &answer[Faults]{Faults{append([]book.Fault{}, d.Ledger.Faults()...)}}, nil
}
