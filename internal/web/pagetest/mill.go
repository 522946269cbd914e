// Package pagetest is half a year of the invented mill as the tests of pages need it: the book with its files, held against them as
// in the program, a true gate with everybody's passphrase set, and requests as browsers and machines send them.
//
// It has no checks of its own and no pages: a test hands it the handler that it is about. It is imported by tests only.
package pagetest

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"slatewright/bed"
	"slatewright/certificate"
	"slatewright/internal/book"
	"slatewright/internal/evidence"
	"slatewright/internal/gate"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/blobs"
	"slatewright/internal/ledger/credentials"
	"slatewright/internal/rehearsal"
	"slatewright/internal/rehearsal/halfyear"
	"slatewright/internal/waiting"
	"slatewright/internal/web/shell"
)

// Until is the end of the half year, and when the tests' clock begins.
var Until = time.Date(2026, time.November, 25, 15, 0, 0, 0, time.UTC)

// Secret is everybody's passphrase.
const Secret = "grey slate below the larches"

// Mill is the invented mill after half a year.
type Mill struct {
	Ledger book.Ledger // as doors use it: acts are held against their files
	Raw    *ledger.Ledger
	Files  blobs.Store
	Gate   *gate.Gate
	Key    certificate.Key
	Folder string // where book and files lie
	later  atomic.Int64
	closes []func() error
}

// Main runs the tests of a package over one mill, which is filled before them.
func Main(m *testing.M, open func(context.Context, *Mill) error) {
	code, err := run(m, open)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		code = 1
	}
	os.Exit(code)
}

func run(m *testing.M, open func(context.Context, *Mill) error) (code int, err error) {
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	folder, err := os.MkdirTemp("", "pages")
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(folder)) }()
	mill, err := Open(ctx, folder)
	if err != nil {
		return 0, err
	}
	defer func() { stop(); err = errors.Join(err, mill.Close()) }()
	if err := open(ctx, mill); err != nil {
		return 0, err
	}
	return m.Run(), nil
}

// Open fills a book in a folder.
func Open(ctx context.Context, folder string) (*Mill, error) {
	story, err := halfyear.New(rehearsal.DemoSeed, Until, "slatewright, in a test")
	if err != nil {
		return nil, err
	}
	m := &Mill{Key: story.Key(), Folder: folder}
	m.Raw, err = ledger.Open(ctx, folder, ledger.Options{Site: halfyear.Site, Create: true, CheckAfter: time.Hour, Clock: func() time.Time { return Until.AddDate(1, 0, 0) }})
	if err != nil {
		return nil, err
	}
	m.closes = append(m.closes, m.Raw.Close)
	if m.Files, err = blobs.Open(ctx, filepath.Join(folder, "blobs"), blobs.Access{}); err != nil {
		return nil, errors.Join(err, m.Close())
	}
	m.closes = append(m.closes, m.Files.Close)
	m.Ledger = evidence.Watch(m.Raw, m.Files, func() bool { return true })
	return m, errors.Join(m.fill(ctx, story), m.let(ctx))
}

func (m *Mill) fill(ctx context.Context, story *halfyear.Story) error {
	for file := range story.Blobs() {
		if _, _, err := m.Files.Put(ctx, strings.NewReader(string(file)), 1<<24); err != nil {
			return err
		}
	}
	for part := range slices.Chunk(slices.Collect(story.Submissions()), 200) {
		if _, _, err := m.Raw.AppendAll(ctx, part, false); err != nil {
			return err
		}
	}
	return nil
}

// let opens the gate to everybody of the mill.
func (m *Mill) let(ctx context.Context) error {
	m.Gate = gate.New(credentials.New(m.Raw.Handles()), gate.Options{Clock: m.Now, Random: rand.Reader, Cost: gate.Cost{MemoryKiB: 64, Passes: 1, Lanes: 1}})
	people, err := m.Raw.Things(ctx, book.Filter{Kind: book.KindPerson}, "", 100)
	for _, p := range people.Items {
		err = errors.Join(err, m.Gate.SetPassphrase(ctx, p.ID, Secret))
	}
	return err
}

// Close closes what is open.
func (m *Mill) Close() (err error) {
	for _, end := range slices.Backward(m.closes) {
		err = errors.Join(err, end())
	}
	return err
}

// Now is the tests' clock.
func (m *Mill) Now() time.Time { return Until.Add(time.Duration(m.later.Load())) }

// Later puts the clock on.
func (m *Mill) Later(d time.Duration) { m.later.Add(int64(d)) }

// Frame makes the frame of the pages.
func (m *Mill) Frame() (*shell.Shell, error) {
	return shell.New(shell.Config{Ledger: m.Ledger, Blobs: m.Files, Gate: m.Gate, Clock: m.Now, Log: slog.New(slog.DiscardHandler), Mill: "Quern Hollow", Demo: true, MaxUpload: 1 << 20})
}

// Follow is what waits in the mill, as the pages ask for it.
func (m *Mill) Follow(ctx context.Context) (Queue, error) {
	w, err := waiting.Follow(ctx, m.Ledger, bed.NineFoot(), nil)
	return Queue{w}, err
}

// Queue is what waits in a house.
type Queue struct{ *waiting.Watcher }

// Ask lists what waits.
func (q Queue) Ask(now time.Time) []waiting.Question { return waiting.Ask(q.House(), now) }

// Racks lists the stock that waits to be matched.
func (q Queue) Racks(now time.Time) []waiting.Rack { return waiting.Racks(q.House(), now) }

// Coming lists what will be asked next.
func (q Queue) Coming(now time.Time) []waiting.Coming { return waiting.Next(q.House(), now) }

// NextFor says what comes next for each of some things.
func (q Queue) NextFor(now time.Time, things ...book.Ref) []waiting.Sentence {
	return q.House().NextFor(now, things...)
}
