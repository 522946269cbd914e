package shell

import (
	"context"
	"time"

	"slatewright/internal/web/problem"
)

// Turn lets so many questions be worked out side by side; the others wait, so that the mill's pages stay quick.
type Turn struct{ places chan struct{} }

// NewTurn makes a turn for so many at once.
func NewTurn(most int) Turn { return Turn{make(chan struct{}, most)} }

// patience is how long anybody waits for their turn.
const patience = 20 * time.Second

// Wait waits for a visitor's turn; done ends it. The error says that it did not come: others take too long, or the context has ended.
func (t Turn) Wait(ctx context.Context, v *Visit) (done func(), err error) {
	tired := time.NewTimer(patience)
	defer tired.Stop()
	select {
	case t.places <- struct{}{}:
		return func() { <-t.places }, nil
	case <-v.R.Context().Done(): // whoever asked has gone
		return nil, context.Cause(v.R.Context())
	case <-ctx.Done():
	case <-tired.C:
	}
	return nil, problem.New("busy", "", v.Say("list.busy"), v.Say("shell.again"))
}
