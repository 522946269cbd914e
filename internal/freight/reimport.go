package freight

import (
	"context"
	"fmt"
	"io"
	"os"
	"strings"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// ImportExport carries an export into an empty place. Everything is verified before the place is opened; lists, which are for
// people, are not read.
func ImportExport(ctx context.Context, name string, open OpenPlace, p Progress) (RestoreReport, error) {
	root, err := os.OpenRoot(name)
	if err != nil {
		return RestoreReport{}, trouble.IO("unreadable", name, "the folder cannot be read", "name the folder that 'slatewright export' wrote").Because(err)
	}
	defer root.Close()
	x := &reimporting{root: root, folder: name}
	if err := x.carry(ctx, checking{}, nil); err != nil {
		return x.report, err
	}
	to := &restoring{open: open}
	err = x.carry(ctx, to, p)
	return to.end(ctx, x.report, err)
}

// reimporting is an export that is read.
type reimporting struct {
	root   *os.Root
	folder string
	report RestoreReport
}

// carry gives a receiver everything in the folder.
func (x *reimporting) carry(ctx context.Context, to receiver, p Progress) error {
	text, err := x.read(manifestName, maxManifest)
	if err != nil {
		return err
	}
	var m exported
	if err := m.read(text, ExportFormat, &m); err != nil {
		return located(err, x.folder)
	}
	x.report = RestoreReport{Manifest: m.Manifest, Missing: m.Missing}
	blobs, err := x.blobs()
	if err != nil {
		return err
	}
	if err := to.manifest(ctx, m.Manifest); err != nil {
		return err
	}
	if err := x.journal(ctx, to, func(done int64) { p.tell(done, m.Entries+m.Blobs) }); err != nil {
		return err
	}
	for i, digest := range blobs {
		if err := x.blob(ctx, to, digest); err != nil {
			return err
		}
		p.tell(m.Entries+int64(i)+1, m.Entries+m.Blobs)
	}
	return nil
}

func (x *reimporting) at(name string) string { return x.folder + "/" + name }

func (x *reimporting) open(name string) (*os.File, error) {
	f, err := x.root.Open(name)
	if err != nil {
		return nil, trouble.IO("unreadable", x.at(name), "the file cannot be read", "use another copy of the export; this one is not whole").Because(err)
	}
	return f, nil
}

func (x *reimporting) read(name string, most int64) ([]byte, error) {
	f, err := x.open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return nil, trouble.IO("unreadable", x.at(name), "the file cannot be read to its end", "check the disk").Because(err)
	}
	if int64(len(text)) > most {
		return nil, trouble.Data("too-large", x.at(name), fmt.Sprintf("the file is larger than %d bytes", most), nextOtherCopy)
	}
	return text, nil
}

// blobs lists the blobs by the digests' list: a blob that is not there any more is missed.
func (x *reimporting) blobs() (digests []string, err error) {
	text, err := x.read(sumsName, maxSums)
	if err != nil {
		return nil, err
	}
	for line := range strings.Lines(string(text)) {
		sum, name, ok := strings.Cut(strings.TrimSuffix(line, "\n"), "  ")
		if _, err := digestOf(sum); !ok || err != nil {
			return nil, trouble.Data("bad-line", x.at(sumsName), fmt.Sprintf("%.80q is no line of it", line), nextOtherCopy)
		}
		if digest, is := strings.CutPrefix(name, blobFolder); is {
			if digest != sum {
				return nil, trouble.Data("bad-line", x.at(sumsName), "a blob is not named by its digest", nextOtherCopy)
			}
			digests = append(digests, digest)
		}
	}
	if n := int64(len(digests) + len(x.report.Missing)); n != x.report.Blobs {
		return nil, trouble.Data("cut-off", x.at(sumsName), fmt.Sprintf("it lists %s and the manifest says %d", trouble.Count(n, "blob", "blobs"), x.report.Blobs), nextOtherCopy)
	}
	return digests, nil
}

// journal gives the entries in lists of one transaction each.
func (x *reimporting) journal(ctx context.Context, to receiver, tell func(done int64)) error {
	f, err := x.open(journalName)
	if err != nil {
		return err
	}
	defer f.Close()
	c := chain{site: x.report.Site}
	var list []book.Entry
	hand := func() error {
		if err := ctx.Err(); err != nil {
			return err
		}
		err := to.entries(ctx, list)
		tell(c.seq)
		list = nil
		return err
	}
	err = eachLine(f, func(line []byte) error {
		e, err := c.line(line, x.report.Manifest)
		if err != nil {
			return located(err, x.at(journalName))
		}
		if list = append(list, e); len(list) < batch {
			return nil
		}
		return hand()
	})
	if err == nil {
		err = hand()
	}
	if err == nil && (c.seq != x.report.Entries || c.hash.String() != x.report.Head) {
		err = trouble.Data("cut-off", x.at(journalName), fmt.Sprintf("the journal has %s and the manifest says %d, or another end", trouble.Count(c.seq, "entry", "entries"), x.report.Entries), nextOtherCopy)
	}
	return err
}

func (x *reimporting) blob(ctx context.Context, to receiver, digest string) error {
	f, err := x.open(blobFolder + digest)
	if err != nil {
		return err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return unwritableAt(x.at(blobFolder+digest), err)
	}
	got, err := to.blob(ctx, f, info.Size())
	if err == nil && got != digest {
		err = trouble.Data("broken-blob", x.at(blobFolder+digest), "the blob is not what its digest says", nextOtherCopy)
	}
	return err
}
