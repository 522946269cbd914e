package office

import (
	"context"
	"log/slog"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/internal/jobs"
	"slatewright/internal/jobs/reckon"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/blobs"
	"slatewright/internal/ledger/work"
	"slatewright/trouble"
)

// queueOf is the queue of long computations of an opened book.
func queueOf(ctx context.Context, l *ledger.Ledger, files book.Blobs, log *slog.Logger) (*work.Queue, error) {
	return work.Open(ctx, l.Handles(), jobs.Options{Log: log}, reckon.Workers(files)...)
}

// look is how often the log is told what the check in the background found.
const look = time.Second

// tellFaults logs what the check in the background finds; the book itself does not serve what fails.
func tellFaults(ctx context.Context, l book.Ledger, log *slog.Logger) error {
	told := 0
	for tick := time.NewTicker(look); ; {
		faults := l.Faults()
		for ; told < len(faults); told++ {
			log.Error(faults[told].What, "where", faults[told].Where, "next", faults[told].Next)
		}
		select {
		case <-ctx.Done():
			tick.Stop()
			return nil
		case <-tick.C:
		}
	}
}

// Work is a program that only computes.
type Work struct {
	Database string `placeholder:"URL" help:"Address of the PostgreSQL database (postgres://…) that keeps the book. Without it what SLATEWRIGHT_BOOK says."`
	Site     string `placeholder:"WORD" help:"Which mill, where the database holds several. Without it what SLATEWRIGHT_SITE says."`
	Blobs    string `placeholder:"PLACE" help:"Where scans and files are kept: a folder that all programs see, or s3://host/bucket."`
}

// About is the help of the verb.
func (Work) About() verb.About {
	return verb.About{
		Text: `Works off the long computations of a mill whose book is in PostgreSQL, beside the servers: run as many as there are machines. One that is
			killed costs the slice that it was at; another takes it over within half a minute. Ctrl-C or a stop signal ends it after its slice.`,
		Examples: []verb.Example{{"slatewright work --database postgres://mill@db/mill --blobs s3://store/mill", "one more machine that computes"}},
	}
}

// Run works until it is told to stop.
func (v Work) Run(s *verb.Session) (verb.Report, error) {
	where, err := opened.ServerPlace(s, "", v.Database)
	if err != nil {
		return nil, err
	}
	if !opened.IsAddress(where) {
		return nil, trouble.Usage("no-database", "slatewright work", "a book in a folder is open to one program, which computes itself", "name the database by --database, or only serve")
	}
	return opened.Place{Book: where, Site: v.Site}.Writing(s, "work", func(ctx context.Context, l *ledger.Ledger) (verb.Report, error) {
		ctx, stop := opened.UntilStopped(ctx)
		defer stop()
		return opened.WithBlobs(s, l, v.Blobs, func(files blobs.Store) (verb.Report, error) {
			queue, err := queueOf(ctx, l, files, slog.New(slog.NewTextHandler(s.Stderr, nil)))
			if err != nil {
				return nil, err
			}
			defer queue.Close()
			return verb.Said{}, queue.Run(ctx)
		})
	})
}
