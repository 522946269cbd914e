package office

import (
	"cmp"
	"context"
	"log/slog"
	"path/filepath"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/cli/verb"
	"slatewright/internal/evidence"
	"slatewright/internal/jobs"
	"slatewright/internal/jobs/reckon"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/blobs"
	"slatewright/internal/ledger/work"
	"slatewright/trouble"
)

// openBlobs opens the files that a book keeps: at a place, where SLATEWRIGHT_BLOBS says, or in the book's folder.
func openBlobs(s *verb.Session, l *ledger.Ledger, place string) (blobs.Store, error) {
	place = cmp.Or(place, s.Setting("BLOBS"))
	if place == "" && l.Folder() == "" {
		return nil, trouble.Usage("no-blobs", "slatewright", "nothing says where this mill keeps its scans and files", "add --blobs FOLDER or --blobs s3://host/bucket")
	}
	return blobs.Open(s.Context, cmp.Or(place, filepath.Join(l.Folder(), "blobs")), blobs.Access{Key: s.Setting("S3_KEY"),
		Secret: s.Setting("S3_SECRET"), Region: s.Setting("S3_REGION"), Plain: s.Setting("S3_PLAIN") == "yes", Temp: l.Folder()})
}

// withBlobs opens them for one question.
func withBlobs(s *verb.Session, l *ledger.Ledger, place string, do func(blobs.Store) (verb.Report, error)) (rep verb.Report, err error) {
	store, err := openBlobs(s, l, place)
	if err != nil {
		return nil, err
	}
	defer func() {
		if closing := store.Close(); err == nil {
			err = closing
		}
	}()
	return do(store)
}

// watched is the ledger with every act held against the files that it names, before it is taken.
func watched(ctx context.Context, l book.Ledger, files book.Blobs) (book.Ledger, error) {
	m, err := millOf(ctx, l)
	if err != nil {
		return nil, err
	}
	return evidence.Watch(l, files, func() bool { return m.Demo }), nil
}

// queueOf is the queue of long computations of an opened book.
func queueOf(ctx context.Context, l *ledger.Ledger, files book.Blobs, log *slog.Logger) (*work.Queue, error) {
	return work.Open(ctx, l.Handles(), jobs.Options{Log: log}, reckon.Workers(files)...)
}

// tellFaults logs what the check in the background finds; the book itself does not serve what fails.
func tellFaults(ctx context.Context, l book.Ledger, log *slog.Logger) error {
	told := 0
	for tick := time.NewTicker(pause); ; {
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
	where, err := serverPlace(s, "", v.Database)
	if err != nil {
		return nil, err
	}
	if !isAddress(where) {
		return nil, trouble.Usage("no-database", "slatewright work", "a book in a folder is open to one program, which computes itself", "name the database by --database, or only serve")
	}
	return Place{where, v.Site}.writing(s, "work", func(ctx context.Context, l *ledger.Ledger) (verb.Report, error) {
		ctx, stop := untilStopped(ctx)
		defer stop()
		return withBlobs(s, l, v.Blobs, func(files blobs.Store) (verb.Report, error) {
			queue, err := queueOf(ctx, l, files, slog.New(slog.NewTextHandler(s.Stderr, nil)))
			if err != nil {
				return nil, err
			}
			defer queue.Close()
			return verb.Said{}, queue.Run(ctx)
		})
	})
}
