package office

import (
	"context"
	"os/signal"
	"syscall"
)

// untilStopped is a context that also ends when the program is asked to stop. A second asking ends the program at once.
func untilStopped(ctx context.Context) (context.Context, context.CancelFunc) {
	ctx, stop := signal.NotifyContext(ctx, syscall.SIGINT, syscall.SIGTERM)
	context.AfterFunc(ctx, stop)
	return ctx, stop
}
