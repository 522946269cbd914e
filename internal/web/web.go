// Package web is the mill's book on the web: the pages for people, the API for programs, and the walls around both. It keeps nothing and decides
// nothing about the trade: what may be done is asked of the book, who asks is asked of the gate. It opens no ledger and listens
// on nothing; the command line does.
package web

import (
	"context"
	"errors"
	"log/slog"
	"net/http"
	"net/netip"
	"time"

	"slatewright/certificate"
	"slatewright/cutting/sawing"
	"slatewright/internal/book"
	"slatewright/internal/jobs"
	"slatewright/internal/tongue"
	"slatewright/internal/web/api"
	"slatewright/internal/web/shell"
	"slatewright/internal/web/specimen"
	"slatewright/judge/ways/costfile"
	"slatewright/sets/marks"
	"slatewright/trouble"
	"slatewright/wholeface"
)

// defaultUpload is the largest blob taken when nothing else is said: a dense scan of one face has some 10 to 30 MB.
const defaultUpload = 64 << 20

// Config is what the handler works with.
type Config struct {
	Ledger    book.Ledger
	Blobs     book.Blobs
	Gate      api.Gate
	Queue     jobs.Queue
	Clock     func() time.Time // time.Now when nil
	Log       *slog.Logger     // nowhere when nil
	MaxUpload int64            // bytes; 64 MB when 0
	Version   string
	Mill      string                                                              // its name, as pages show it
	Pages     bool                                                                // serve the pages beside the API
	Print     func(string, certificate.Certificate, tongue.Words) ([]byte, error) // prints the certificate with a number as PDF, in its reader's words; nil: pages offer none
	Labels    func(marks.Sheet, tongue.Words) ([]byte, error)                     // prints the labels of a set as PDF, in its reader's words if it can; nil: pages offer none
	Saw       func(func(tongue.Words) sawing.Sheet, tongue.Words) ([]byte, error) // prints a sawing order as PDF, in its reader's words if it can; nil: pages offer none
	Key       func() (certificate.Key, error)                                     // signs certificates made on the pages; nil: none can be made
	Prior     *wholeface.Prior                                                    // what the mill learned from its own scans; nil: nothing
	Costs     *costfile.Costs                                                     // the mill's own ways out and prices; nil: none
	Proxies   []netip.Prefix                                                      // from where it is believed whom a request comes from
	specimen  specimen.State                                                      // the state that specimens of pages are shown in
	Trust     Trust                                                               // how connections are protected; the zero value: not by this program
	Demo      bool                                                                // the book holds invented data; every answer says so
}

// New makes the handler. What follows the book for open pages does so until the context ends.
func New(ctx context.Context, c Config) (http.Handler, error) {
	h, _, err := wire(ctx, c)
	return h, err
}

// wire makes the handler, and the frame that its pages are in; nil without pages.
func wire(ctx context.Context, c Config) (http.Handler, *shell.Shell, error) {
	if c.Ledger == nil || c.Blobs == nil || c.Gate == nil || c.Queue == nil {
		return nil, nil, errors.New("web: the book, its blobs, the gate and the queue must be there")
	}
	if c.Clock == nil {
		c.Clock = time.Now
	}
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	if c.MaxUpload == 0 {
		c.MaxUpload = defaultUpload
	}
	mux := http.NewServeMux()
	api.Add(mux, api.Config{Ledger: c.Ledger, Blobs: c.Blobs, Gate: c.Gate, Queue: c.Queue, Clock: c.Clock, Log: c.Log,
		MaxUpload: c.MaxUpload, Version: c.Version})
	page := noPage
	var pages *shell.Shell
	if c.Pages {
		files := newFiles(ctx, c)
		var err error
		if pages, err = addPages(ctx, mux, c, files); err != nil {
			return nil, nil, err
		}
		page = pages.NotFound
		if c.Demo {
			if err := addSpecimens(ctx, mux, c, files, pages); err != nil {
				return nil, nil, err
			}
		}
	}
	mux.HandleFunc("/", unknown(mux, page))
	return behind(c.Proxies, shield(protect(speaking(mux), c.Trust, c.Demo), c.Log, c.Demo)), pages, nil
}

// key is the mill's key, or trouble that says how to get one.
func (c Config) key() (certificate.Key, error) {
	if c.Key == nil {
		return certificate.Key{}, trouble.Data("no-key", "", "there is no key here to sign with", "make one with 'slatewright keygen', and start the program with 'serve --key FILE'")
	}
	return c.Key()
}

// OpenAPI returns the description of the API, always the same bytes.
func OpenAPI() ([]byte, error) { return api.Description() }
