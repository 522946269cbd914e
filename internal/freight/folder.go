package freight

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"os"
	"path"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/freight/sheet"
	"slatewright/trouble"
)

// folder is where an export is written.
type folder struct {
	root  *os.Root
	sums  bytes.Buffer
	files int
}

// newFolder makes a folder, or takes one that is empty.
func newFolder(name string) (*folder, error) {
	if err := os.MkdirAll(name, 0o755); err != nil {
		return nil, unwritableAt(name, err)
	}
	there, err := os.ReadDir(name)
	if err != nil {
		return nil, unwritableAt(name, err)
	}
	if len(there) > 0 {
		return nil, trouble.IO("not-empty", name, "the folder is not empty", "name a new folder")
	}
	root, err := os.OpenRoot(name)
	if err != nil {
		return nil, unwritableAt(name, err)
	}
	return &folder{root: root}, nil
}

func unwritableAt(name string, err error) error {
	return trouble.IO("unwritable", name, "it cannot be written", "check the folder, its permissions, and whether the disk is full").Because(err)
}

// exportFile is a file of an export that is being written. The file is not embedded: io.Copy would find a way past Write.
type exportFile struct {
	file *os.File
	name string
	hash hash.Hash
	to   *folder
	shut bool
}

func (f *folder) create(name string) (*exportFile, error) {
	if dir := path.Dir(name); dir != "." {
		if err := f.root.Mkdir(dir, 0o755); err != nil && !errors.Is(err, fs.ErrExist) {
			return nil, unwritableAt(name, err)
		}
	}
	file, err := f.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return nil, unwritableAt(name, err)
	}
	return &exportFile{file: file, name: name, hash: sha256.New(), to: f}, nil
}

// Write writes, and keeps the digest.
func (f *exportFile) Write(b []byte) (int, error) {
	f.hash.Write(b)
	n, err := f.file.Write(b)
	if err != nil {
		err = unwritableAt(f.name, err)
	}
	return n, err
}

// close puts the file on the disk and notes its digest.
func (f *exportFile) close() error {
	f.shut = true
	if err := errors.Join(f.file.Sync(), f.file.Close()); err != nil {
		return unwritableAt(f.name, err)
	}
	f.to.files++
	fmt.Fprintf(&f.to.sums, "%s  %s\n", hex.EncodeToString(f.hash.Sum(nil)), f.name)
	return nil
}

// abandon closes a file that was not closed as it should be.
func (f *exportFile) abandon() {
	if !f.shut {
		f.file.Close()
	}
}

// finish closes a list unless something has gone wrong before, which it returns.
func (f *exportFile) finish(w *sheet.Writer, err error) error {
	if err == nil {
		err = w.Flush()
	}
	if err != nil {
		f.abandon()
		return err
	}
	return f.close()
}

func (f *folder) put(name string, text []byte) error {
	file, err := f.create(name)
	if err != nil {
		return err
	}
	defer file.abandon()
	if _, err := file.Write(text); err != nil {
		return err
	}
	return file.close()
}

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
		return nil, trouble.Data("cut-off", x.at(sumsName), fmt.Sprintf("it lists %d blobs and the manifest says %d", n, x.report.Blobs), nextOtherCopy)
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
		err = trouble.Data("cut-off", x.at(journalName), fmt.Sprintf("the journal has %d entries and the manifest says %d, or another end", c.seq, x.report.Entries), nextOtherCopy)
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
