package office

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"os"
	"path/filepath"
	"sync"
	"time"

	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/blobs"
	"slatewright/internal/web"
	"slatewright/trouble"
)

// Serve opens the book and serves it.
type Serve struct {
	Folder     string   `arg:"" optional:"" help:"Folder of the book; without it what SLATEWRIGHT_BOOK says, or the folder mill."`
	Database   string   `placeholder:"URL" help:"Address of the PostgreSQL database (postgres://…) that keeps the book instead of a folder."`
	Site       string   `placeholder:"WORD" help:"Which mill, where the database holds several. Without it what SLATEWRIGHT_SITE says."`
	Blobs      string   `placeholder:"PLACE" help:"Where scans and files are kept: a folder, or s3://host/bucket. Without it the folder blobs in the book's folder."`
	Listen     string   `default:"127.0.0.1:8273" placeholder:"ADDRESS" help:"Address and port to listen on; port 0 takes a free one."`
	Proxy      []string `placeholder:"ADDRESS" help:"Address of a proxy before the program, or its network as 10.0.0.0/8; once for each. Where a request comes from (X-Forwarded-For), and whether by TLS (X-Forwarded-Proto), is believed from such a one only."`
	Key        string   `placeholder:"FILE" help:"The secret key of the mill, from slatewright keygen, with which certificates are signed on the pages. Without it none can be made there."`
	Font       string   `placeholder:"FILE" help:"TrueType font (.ttf) with Chinese characters, for certificates that are printed from the pages. Without it they are printed in English for readers of Chinese."`
	protection `embed:""`
	Prior      string `placeholder:"FILE" help:"What the mill has learned from its own scans, from slatewright judge --learn: while a face is measured the bench then says, calibrated, how flat the whole face is believed to be. Without it the page claims less."`
	Costs      string `placeholder:"FILE" help:"The mill's own ways out and prices, YAML, as for slatewright judge --costs: what to do with a piece is then recommended by them. Without it the ways are ranked by risk."`
	Demo       bool   `help:"Serve the invented mill's book, as slatewright demo makes it."`
}

// About is the help of the verb.
func (Serve) About() verb.About {
	return verb.About{
		Text: `Opens the mill's book and serves it: the acts and questions under /api/v1, with the description of it all at /api/v1/openapi.json.
			Long computations run as jobs inside. After the start the whole book is checked in the background; what fails is named and not served.
			Where no book is yet, it is made: at a terminal the mill's own questions are asked first, as by slatewright init.

			A folder is open to one program at a time; on PostgreSQL several programs serve the same mill. It listens on this machine only
			unless you say otherwise.

			When others shall reach it over a network, passphrases must not travel readable, and tablets keep pages for working without network only from
			an address that they trust. With --tls the program makes its own certificate, renews it by itself, and prints the fingerprint of its root; each
			tablet is told once to trust that root, at /trust. With --tls-certificate and --tls-key it uses a certificate that you have. One port speaks
			both: plain HTTP on it gets the page /trust, and is sent to TLS for all else.

			Or put a proxy with a certificate before it and name it by --proxy: where a request comes from and whether it came by TLS is believed
			from such a one only; tries at passphrases are counted by where they come from, and behind a proxy that is not named all would seem to come from it.

			Ctrl-C or a stop signal ends it: what was accepted is finished first. The log goes to standard error.`,
		Examples: []verb.Example{
			{"slatewright serve", "the book in the folder mill, at http://127.0.0.1:8273"},
			{"slatewright serve --database postgres://mill@db/mill --blobs s3://store/mill --listen :8273", "one of several on one database"},
			{"slatewright serve --tls --listen :8273 --address https://mill.lan:8273", "for the tablets of the mill, with a certificate made here"},
			{"slatewright serve --demo", "the invented mill"},
		},
	}
}

// Run makes the book if there is none, and serves it until it is told to stop.
func (v Serve) Run(s *verb.Session) (verb.Report, error) {
	where, err := v.where(s)
	if err != nil {
		return nil, err
	}
	proxies, err := proxiesOf(v.Proxy)
	if err != nil {
		return nil, err
	}
	if err := v.check(where); err != nil {
		return nil, err
	}
	if err := v.makeIfNew(s, where); err != nil {
		return nil, err
	}
	o := ledger.Options{Holder: "slatewright serve at " + v.Listen, Clock: s.Clock}
	return opened.Place{Book: where, Site: v.Site}.Open(s, o, func(_ context.Context, l *ledger.Ledger) (verb.Report, error) {
		return v.serve(s, l, opened.Shown(where), proxies)
	})
}

func (v Serve) where(s *verb.Session) (string, error) {
	if !v.Demo {
		return opened.ServerPlace(s, v.Folder, v.Database)
	}
	if v.Database != "" {
		return "", trouble.Usage("two-books", "slatewright serve", "the demo's book is a folder", "leave out --database")
	}
	return cmp.Or(v.Folder, demoFolder), nil
}

// demoFolder is where the demo leaves the invented mill's book.
const demoFolder = "out/mill"

// makeIfNew makes a folder's book where none is yet; that needs a person who answers the mill's own questions.
func (v Serve) makeIfNew(s *verb.Session, where string) error {
	if opened.IsAddress(where) {
		return nil // a database without a book says so when it is opened
	}
	if _, err := os.Stat(filepath.Join(where, bookFile)); !errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	switch {
	case v.Demo:
		return trouble.IO("no-book", where, "the invented mill's book is not there yet", "run 'slatewright demo' first")
	case !s.Terminal():
		return trouble.IO("no-book", where, "there is no book yet", "run 'slatewright init "+where+"': it asks the mill's own questions once")
	}
	made, err := Init{Folder: where}.Run(s)
	if err == nil {
		made.Print(s.Stderr)
	}
	return err
}

// serve works with the opened book until the program is told to stop.
func (v Serve) serve(s *verb.Session, l *ledger.Ledger, where string, proxies []netip.Prefix) (verb.Report, error) {
	return opened.WithBlobs(s, l, v.Blobs, func(files blobs.Store) (verb.Report, error) {
		ctx, stop := opened.UntilStopped(s.Context)
		defer stop()
		log := slog.New(slog.NewTextHandler(s.Stderr, nil))
		queue, err := queueOf(ctx, l, files, log)
		if err != nil {
			return nil, err
		}
		defer queue.Close()
		mill, err := opened.MillOf(ctx, l)
		if err != nil {
			return nil, err
		}
		guarded, err := opened.Watched(ctx, l, files)
		if err != nil {
			return nil, err
		}
		key, err := signing(s, v.Key, mill.Demo)
		if err != nil {
			return nil, err
		}
		prior, err := priorIn(s, v.Prior)
		if err != nil {
			return nil, err
		}
		costs, err := costsIn(v.Costs)
		if err != nil {
			return nil, err
		}
		form, err := printed(s, v.Font)
		if err != nil {
			return nil, err
		}
		safe, err := v.open(s, log)
		if err != nil {
			return nil, err
		}
		listener, err := net.Listen("tcp", v.Listen)
		if err != nil {
			return nil, trouble.IO("cannot-listen", v.Listen, "the address cannot be listened on: "+verb.Reason(err),
				"stop the program that uses it, or give another address by --listen").Because(err)
		}
		defer listener.Close() // closed before when the server has ended by itself
		addresses := safe.reached(listener.Addr(), v.at)
		safe.lead(addresses, v.at, listener.Addr())
		if safe.Certificates == nil && len(proxies) == 0 && onNetwork(listener.Addr()) {
			log.Warn("passphrases cross the network readable, and tablets keep nothing for working without network", "next", "start with --tls, or put a proxy with a certificate before the program and name it by --proxy")
		}
		h, err := web.New(ctx, web.Config{Key: key, Prior: prior, Costs: costs, Print: certificates(form, v.at), Saw: sawingOrders(form, mill.Name, mill.Demo, s.Version), Labels: labels(form, mill.Name, mill.Demo, s.Version), Ledger: guarded, Blobs: files, Gate: opened.GateOf(s, l), Queue: queue, Clock: s.Clock, Log: log, Version: s.Version,
			Mill: mill.Name, Pages: true, Proxies: proxies, Trust: safe.how, Demo: mill.Demo})
		if err != nil {
			return nil, err
		}
		if err := s.Say(&servingReport{addresses[0], addresses[1:], where, l.Site(), mill.Demo, safe.shown(addresses[0])}); err != nil {
			return nil, err
		}
		return verb.Said{}, together(ctx,
			func(ctx context.Context) error { return listen(ctx, web.Server(h, log), safe.over(listener)) },
			queue.Run,
			func(ctx context.Context) error { return tellFaults(ctx, l, log) })
	})
}

// together does all of them at once. When one fails or the context ends the others are told to stop, and waited for.
func together(ctx context.Context, all ...func(context.Context) error) error {
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	var group sync.WaitGroup
	for _, do := range all {
		group.Go(func() {
			if err := do(ctx); err != nil {
				stop(err)
			}
		})
	}
	group.Wait()
	if err := context.Cause(ctx); err != nil && !errors.Is(err, context.Canceled) {
		return err
	}
	return nil
}

// grace is how long requests in hand may take to end.
const grace = 10 * time.Second

// listen serves until the context ends, and then finishes what was accepted.
func listen(ctx context.Context, server *http.Server, at net.Listener) error {
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(at) }()
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
	}
	last, cancel := context.WithTimeout(context.WithoutCancel(ctx), grace)
	defer cancel()
	if err := server.Shutdown(last); err != nil {
		return server.Close()
	}
	return nil
}

// servingReport says where the book is served.
type servingReport struct {
	Address string   `json:"address"`
	Others  []string `json:"other_addresses,omitempty"`
	Book    string   `json:"book"`
	Site    string   `json:"site"`
	Demo    bool     `json:"demo"`
	shown
}

func (r *servingReport) Outcome() verb.Outcome { return verb.Done }

func (r *servingReport) Print(w io.Writer) {
	fmt.Fprintf(w, "The book of %s (%s) is open at %s\n", r.Site, r.Book, r.Address)
	for _, other := range r.Others {
		fmt.Fprintf(w, "  or %s\n", other)
	}
	r.shown.print(w)
	fmt.Fprintln(w, "Ctrl-C ends it.")
}
