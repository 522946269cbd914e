package main

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"time"

	"github.com/oklog/ulid/v2"

	"slatewright/internal/book"
	"slatewright/internal/ledger"
	"slatewright/internal/rehearsal/halfyear"
)

// The promises about a book of a million acts.
const (
	bookActs       = 1_000_000
	leastOfBare    = 0.5
	leastSenders   = 5_000 // acts/s of 64 senders
	mostOpening    = 300 * time.Millisecond
	mostPage       = 10 * time.Millisecond // p99
	mostAffected   = 50 * time.Millisecond
	mostCount      = time.Second
	leastRebuild   = 20_000 // acts/s
	mostMemory     = 400 << 20
	senders        = 64
	actsOfSenders  = 30_000
	actsOfOne      = 1_500
	pagesAsked     = 2_000
	reachesAsked   = 50
	asBookArgument = "book"
	scale          = "QH-W1" // a scale of the large mill
	mostPieces     = 5_000
)

// bookSpeed runs the promises about the book in a program of its own, so that its memory can be told from the other benches'.
func bookSpeed(dir string) (total, missed int, err error) {
	cmd := exec.Command(os.Args[0], asBookArgument, dir)
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		return 0, 0, err
	}
	for lines := bufio.NewScanner(out); lines.Scan(); {
		fmt.Println(lines.Text())
		total += count(strings.HasPrefix(lines.Text(), "kept") || strings.HasPrefix(lines.Text(), "MISSED"))
		missed += count(strings.HasPrefix(lines.Text(), "MISSED"))
	}
	if err := cmd.Wait(); err != nil {
		return total, missed, err
	}
	most := cmd.ProcessState.SysUsage().(*syscall.Rusage).Maxrss << 10
	missed += count(!promise("most memory in all of this", fmt.Sprintf("%d MB", most>>20), "at most 400 MB", most < mostMemory))
	return total + 1, missed, nil
}

func count(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// promise prints one line.
func promise(what, figure, limit string, kept bool) bool {
	word := "kept"
	if !kept {
		word = "MISSED"
	}
	fmt.Printf("%-6s  %-44s %8s; %s\n", word, what, figure, limit)
	return kept
}

// trial is the book under test.
type trial struct {
	ctx    context.Context
	folder string
	ledger *ledger.Ledger
	pieces []string
	last   time.Time
}

// bookMain is the program that bookSpeed starts.
func bookMain(dir string) error {
	tr := &trial{ctx: context.Background(), folder: filepath.Join(dir, "mill")}
	for _, step := range []func() error{tr.open, tr.fill, tr.gather, tr.again, tr.one, tr.many, tr.pages, tr.affected, tr.rebuild} {
		if err := step(); err != nil {
			return err
		}
	}
	return tr.ledger.Close()
}

// open opens the book. The check in the background waits until all is measured: it would be measured with everything.
func (tr *trial) open() (err error) {
	tr.ledger, err = ledger.Open(tr.ctx, tr.folder, ledger.Options{Site: halfyear.Site, Create: true, Holder: "speed", Clock: time.Now, CheckAfter: time.Hour})
	return err
}

// fill hands in a million acts.
func (tr *trial) fill() error {
	start := time.Now()
	if err := tr.write(bookActs); err != nil {
		return err
	}
	took := time.Since(start)
	fmt.Printf("        %-44s %8.0f acts/s, a thousand a transaction\n", "a book of a million acts is written", bookActs/took.Seconds())
	return nil
}

// write hands in acts of the large mill, a thousand a transaction.
func (tr *trial) write(acts int) error {
	batch := []book.Submission{}
	put := func() error {
		_, refused, err := tr.ledger.AppendAll(tr.ctx, batch, false)
		for i, e := range refused {
			if e != nil {
				return fmt.Errorf("%s: %w", batch[i].Entry.Act, e)
			}
		}
		batch = batch[:0]
		return err
	}
	for s := range halfyear.Million(1, acts) {
		tr.last = s.Entry.At
		if batch = append(batch, s); len(batch) == 1000 {
			if err := put(); err != nil {
				return err
			}
		}
	}
	return put()
}

// gather notes some shipped pieces to ask for.
func (tr *trial) gather() error {
	for cursor := ""; len(tr.pieces) < mostPieces; {
		page, err := tr.ledger.Things(tr.ctx, book.Filter{Kind: book.KindPiece, Station: book.Away}, cursor, 500)
		if err != nil {
			return err
		}
		for _, t := range page.Items {
			tr.pieces = append(tr.pieces, t.ID)
		}
		if cursor = page.Next; cursor == "" {
			break
		}
	}
	if len(tr.pieces) == 0 {
		return fmt.Errorf("no piece was shipped")
	}
	return nil
}

// again closes the book and opens it, and copies it for the bare library.
func (tr *trial) again() error {
	if err := tr.ledger.Close(); err != nil {
		return err
	}
	start := time.Now()
	if err := tr.open(); err != nil {
		return err
	}
	took := time.Since(start)
	promise("open a book of a million acts", short(took), "at most 300 ms", took < mostOpening)
	return copyFile(filepath.Join(tr.folder, "book.db"), tr.copied()) // nothing was written since: the file is whole
}

// weigh is an act of everyday: a piece is weighed.
func (tr *trial) weigh(i int) book.Submission {
	at := tr.last.Add(time.Duration(i+1) * time.Millisecond)
	word, body, err := book.Encode(&book.Weigh{Thing: book.Ref{Kind: book.KindPiece, ID: tr.pieces[i%len(tr.pieces)]}, Scale: scale, MassKg: 90})
	if err != nil {
		panic(err)
	}
	return book.Submission{Entry: book.Entry{ID: ulid.Make().String(), Site: halfyear.Site, At: at, Person: "lead", Station: book.Bench, Act: word, Body: body},
		Caller: book.Caller{System: true}}
}

// many has 64 senders at a time.
func (tr *trial) many() error {
	var next atomic.Int64
	var all sync.WaitGroup
	fails := make(chan error, senders)
	start := time.Now()
	for range senders {
		all.Go(func() {
			for i := next.Add(1); i <= actsOfSenders; i = next.Add(1) {
				if _, err := tr.ledger.Append(tr.ctx, tr.weigh(actsOfOne+int(i))); err != nil {
					fails <- err
					return
				}
			}
		})
	}
	all.Wait()
	select {
	case err := <-fails:
		return err
	default:
	}
	rate := actsOfSenders / time.Since(start).Seconds()
	took, err := fsyncs(filepath.Join(tr.folder, "..", "fsync"), 500)
	if err != nil {
		return err
	}
	alone := 500 / took.Seconds()
	promise("append, 64 senders", fmt.Sprintf("%.0f/s", rate), fmt.Sprintf("at least %d/s; a bare fsync loop makes %.0f/s", leastSenders, alone), rate >= leastSenders)
	return nil
}

// pages asks what a piece's page shows: state, history, where it came from.
func (tr *trial) pages() error {
	var took []time.Duration
	for i := range pagesAsked {
		r := book.Ref{Kind: book.KindPiece, ID: tr.pieces[i*7919%len(tr.pieces)]}
		start := time.Now()
		if _, err := tr.ledger.Thing(tr.ctx, r); err != nil {
			return err
		}
		if _, err := tr.ledger.History(tr.ctx, r, "", 100); err != nil {
			return err
		}
		if _, err := tr.ledger.Origins(tr.ctx, r); err != nil {
			return err
		}
		took = append(took, time.Since(start))
	}
	slices.Sort(took)
	p99 := took[len(took)*99/100]
	promise("a piece's page, p99", short(p99), "at most 10 ms; median "+short(took[len(took)/2]), p99 < mostPage)
	return nil
}

// affected asks what an instrument and a layer reached.
func (tr *trial) affected() error {
	var first, counted time.Duration
	var most book.Count
	for _, kind := range []book.Kind{book.KindLayer, book.KindInstrument, book.KindBench, book.KindDisc} {
		page, err := tr.ledger.Things(tr.ctx, book.Filter{Kind: kind}, "", reachesAsked)
		if err != nil {
			return err
		}
		for _, thing := range page.Items {
			start := time.Now()
			if _, err := tr.ledger.Affected(tr.ctx, thing.Ref, "", 100); err != nil {
				return err
			}
			first = max(first, time.Since(start))
			start = time.Now()
			n, err := tr.ledger.AffectedCount(tr.ctx, thing.Ref)
			if err != nil {
				return err
			}
			counted = max(counted, time.Since(start))
			if n.Shipped+n.Sets > most.Shipped+most.Sets {
				most = n
			}
		}
	}
	if most.Shipped == 0 {
		return fmt.Errorf("nothing reached a shipped set")
	}
	promise("what else is affected, first 100", short(first), "at most 50 ms, the slowest of all asked", first < mostAffected)
	promise("what else is affected, how many", short(counted), fmt.Sprintf("at most 1 s; most: %d sets shipped, %d in the house", most.Shipped, most.Sets), counted < mostCount)
	return nil
}

func (tr *trial) rebuild() error {
	start := time.Now()
	r, err := tr.ledger.Rebuild(tr.ctx, true, nil)
	if err != nil {
		return err
	}
	for _, table := range r.Tables {
		if table.Differences > 0 {
			return fmt.Errorf("table %s differs: %q", table.Table, table.First)
		}
	}
	checked := float64(r.Acts) / time.Since(start).Seconds()
	promise("rebuild --check", fmt.Sprintf("%.0f/s", checked), "at least 20000 acts/s", checked >= leastRebuild)
	start = time.Now()
	if r, err = tr.ledger.Rebuild(tr.ctx, false, nil); err != nil {
		return err
	}
	rate := float64(r.Acts) / time.Since(start).Seconds()
	promise("rebuild", fmt.Sprintf("%.0f/s", rate), "at least 20000 acts/s", rate >= leastRebuild)
	return nil
}

// fsyncs writes and syncs a page so many times.
func fsyncs(path string, n int) (time.Duration, error) {
	f, err := os.Create(path)
	if err != nil {
		return 0, err
	}
	defer f.Close()
	page := make([]byte, 4096)
	start := time.Now()
	for range n {
		if _, err := f.WriteAt(page, 0); err != nil {
			return 0, err
		}
		if err := f.Sync(); err != nil {
			return 0, err
		}
	}
	return time.Since(start), nil
}
