package opened

import (
	"context"
	"os/signal"
	"syscall"
)

// UntilStopped is a context that also ends when the program is asked to stop. A second asking ends the program at once.
func UntilStopped(ctx context.Context) (context.Context, context.CancelFunc) {
	ctx, stop := signal.NotifyContext(ctx, syscall.SIGINT, syscall.SIGTERM)
	context.AfterFunc(ctx, stop)
	return ctx, stop
}
