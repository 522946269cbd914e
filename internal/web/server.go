package web

import (
	"context"
	"log/slog"
	"net"
	"net/http"
	"sync"
	"time"

	"slatewright/internal/web/api"
)

// The limits of a connection: common practice for a server that tablets reach over a weak radio link, no source.
const (
	headerTime    = 10 * time.Second // for the whole header; a sender that trickles is cut off
	exchangeTime  = 10 * time.Minute // for the largest blob on the weakest link, either way
	idleTime      = 2 * time.Minute
	largestHeader = 32 << 10
)

// Server makes a server with its limits set. The caller listens and shuts it down; requests that only wait do not hold that up.
func Server(h http.Handler, log *slog.Logger) *http.Server {
	closed := make(chan struct{})
	s := &http.Server{
		BaseContext:       func(net.Listener) context.Context { return api.WithClosing(context.Background(), closed) },
		Handler:           h,
		ReadHeaderTimeout: headerTime,
		ReadTimeout:       exchangeTime,
		WriteTimeout:      exchangeTime,
		IdleTimeout:       idleTime,
		MaxHeaderBytes:    largestHeader,
		ErrorLog:          slog.NewLogLogger(log.Handler(), slog.LevelWarn),
	}
	s.RegisterOnShutdown(sync.OnceFunc(func() { close(closed) }))
	return s
}
