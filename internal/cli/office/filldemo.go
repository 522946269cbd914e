package office

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"iter"
	"os"
	"path/filepath"
	"slices"

	"slatewright/internal/book"
	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/internal/gate"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/blobs"
	"slatewright/internal/ledger/credentials"
	"slatewright/trouble"
)

// Story is a book to be filled with: files, and the entries that name them.
type Story interface {
	Blobs() iter.Seq[[]byte]
	Submissions() iter.Seq[book.Submission]
}

// DemoPassphrase lets everybody of the invented mill in. It protects nothing: there is nothing to protect.
const DemoPassphrase = "quern hollow is invented"

// FillDemo makes the invented mill's book in a folder that holds none, and returns how many entries it has.
func FillDemo(s *verb.Session, folder, site string, story Story) (entries int, err error) {
	o := ledger.Options{Site: site, Create: true, Holder: "slatewright demo", Clock: s.Clock}
	_, err = opened.Place{Book: folder}.Open(s, o, func(ctx context.Context, l *ledger.Ledger) (verb.Report, error) {
		return opened.WithBlobs(s, l, filepath.Join(folder, "blobs"), func(files blobs.Store) (verb.Report, error) {
			for text := range story.Blobs() {
				if _, _, err := files.Put(ctx, bytes.NewReader(text), int64(len(text))); err != nil {
					return nil, err
				}
			}
			list := slices.Collect(story.Submissions())
			if err := opened.AppendAll(s, l, list); err != nil {
				return nil, err
			}
			entries = len(list)
			return nil, letIn(ctx, s, l)
		})
	})
	return entries, err
}

// letIn sets the demo's passphrase for everybody in the book. A hash that is slow would keep back what everybody knows, a tenth of a second for
// each of them: so it is the quickest that there is, until they sign in.
func letIn(ctx context.Context, s *verb.Session, l *ledger.Ledger) error {
	people, err := opened.Things(ctx, l, book.Filter{Kind: book.KindPerson})
	if err != nil {
		return err
	}
	g := gate.New(credentials.New(l.Handles()), gate.Options{Clock: s.Clock, Random: s.Random, Cost: gate.Cost{MemoryKiB: 8, Passes: 1, Lanes: 1}})
	for _, p := range people {
		if err := g.SetPassphrase(ctx, p.ID, DemoPassphrase); err != nil {
			return err
		}
	}
	return nil
}

// ClearDemo takes away the book of an earlier demo. A book that is a mill's own, or that somebody has open, is left alone.
func ClearDemo(s *verb.Session, folder string) error {
	if _, err := os.Stat(filepath.Join(folder, bookFile)); errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	_, err := opened.Place{Book: folder}.Writing(s, "demo", func(ctx context.Context, l *ledger.Ledger) (verb.Report, error) {
		last, err := opened.LastNumber(ctx, l)
		if err != nil || last == 0 { // made, and stopped before the first entry
			return nil, err
		}
		if mill, err := opened.MillOf(ctx, l); err != nil || !mill.Demo {
			return nil, errors.Join(err, trouble.IO("not-a-demo", folder, "the book in this folder is no demo's", "give another --out folder"))
		}
		return nil, nil
	})
	if err != nil {
		return err
	}
	for _, name := range []string{bookFile, bookFile + "-wal", bookFile + "-shm", "blobs"} {
		if err := os.RemoveAll(filepath.Join(folder, name)); err != nil {
			return verb.Unwritable(filepath.Join(folder, name), err)
		}
	}
	return nil
}
