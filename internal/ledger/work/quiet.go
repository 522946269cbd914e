package work

import (
	"context"
	"log/slog"
)

// loud passes on warnings and errors only: River tells of itself every few seconds.
type loud struct{ slog.Handler }

func quiet(log *slog.Logger) *slog.Logger { return slog.New(loud{log.Handler()}) }

func (h loud) Enabled(ctx context.Context, l slog.Level) bool {
	return l >= slog.LevelWarn && h.Handler.Enabled(ctx, l)
}

func (h loud) WithAttrs(a []slog.Attr) slog.Handler { return loud{h.Handler.WithAttrs(a)} }
func (h loud) WithGroup(name string) slog.Handler   { return loud{h.Handler.WithGroup(name)} }
