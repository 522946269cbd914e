package blobs

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"slatewright/internal/book"
)

// folder keeps blobs as files. Nothing outside it can be reached, also not through links inside.
type folder struct {
	root *os.Root
	path string // for messages
}

// coming begins the name of a file that is being written. One that is older than leftover was left by a program that ended; several
// programs may use one folder, so younger ones are let be.
const (
	coming   = "coming-"
	leftover = time.Hour
)

func openFolder(path string) (_ *folder, err error) {
	if err := os.MkdirAll(path, 0o750); err != nil {
		return nil, explain(path, err)
	}
	root, err := os.OpenRoot(path)
	if err != nil {
		return nil, explain(path, err)
	}
	f := &folder{root, path}
	if err := f.clean(time.Now().Add(-leftover)); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return f, nil
}

// clean removes what was left half written before then. In a folder that cannot be written to it stays.
func (f *folder) clean(before time.Time) error {
	names, err := f.entries(".")
	if err != nil {
		return err
	}
	for _, e := range names {
		if !strings.HasPrefix(e.Name(), coming) {
			continue
		}
		if info, err := e.Info(); err == nil && info.ModTime().Before(before) {
			_ = f.root.Remove(e.Name())
		}
	}
	return nil
}

// entries lists a folder by name.
func (f *folder) entries(name string) ([]fs.DirEntry, error) {
	list, err := fs.ReadDir(f.root.FS(), name)
	return list, explain(filepath.Join(f.path, name), err)
}

// Close lets go of the folder.
func (f *folder) Close() error { return f.root.Close() }

// Put writes the file beside the others, syncs it, and only then gives it its name, so that a blob is whole or not there. A blob that
// was there is written anew: that mends one that had become bad.
func (f *folder) Put(ctx context.Context, r io.Reader, limit int64) (digest string, size int64, err error) {
	name := coming + rand.Text()
	file, err := f.root.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o640)
	if err != nil {
		return "", 0, explain(f.path, err)
	}
	defer func() {
		if err != nil {
			file.Close() // again, if it was closed: no harm
			_ = f.root.Remove(name)
		}
	}()
	if digest, size, err = digesting(ctx, file, r, limit, f.path); err != nil {
		return "", 0, err
	}
	if err = errors.Join(file.Sync(), file.Close()); err != nil {
		return "", 0, explain(f.path, err)
	}
	if err = f.name(name, digest); err != nil {
		return "", 0, explain(f.path, err)
	}
	return digest, size, nil
}

// name gives a whole file its name, so that it has it after a power cut too.
func (f *folder) name(temp, digest string) error {
	made := f.root.Mkdir(digest[:2], 0o750)
	if made != nil && !errors.Is(made, fs.ErrExist) {
		return made
	}
	if err := f.root.Rename(temp, nameOf(digest)); err != nil {
		return err
	}
	return errors.Join(f.sync(digest[:2]), f.sync("."))
}

// sync makes the names in a folder last.
func (f *folder) sync(name string) error {
	dir, err := f.root.Open(name)
	if err != nil {
		return err
	}
	return errors.Join(dir.Sync(), dir.Close())
}

// Open reads the whole file once to verify it, and then gives it from its beginning.
func (f *folder) Open(ctx context.Context, digest string) (r io.ReadCloser, size int64, err error) {
	if !isDigest(digest) {
		return nil, 0, noSuchBlob(digest)
	}
	file, err := f.root.Open(nameOf(digest))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, 0, noSuchBlob(digest)
	}
	if err != nil {
		return nil, 0, explain(f.where(digest), err)
	}
	if size, err = f.verify(ctx, file, digest); err == nil {
		_, err = file.Seek(0, io.SeekStart)
	}
	if err != nil {
		return nil, 0, errors.Join(err, file.Close())
	}
	return file, size, nil
}

func (f *folder) where(digest string) string {
	return filepath.Join(f.path, filepath.FromSlash(nameOf(digest)))
}

// verify reads a file to its end.
func (f *folder) verify(ctx context.Context, file *os.File, digest string) (size int64, err error) {
	sum := sha256.New()
	size, err = io.Copy(sum, &patient{ctx, file})
	switch {
	case ctx.Err() != nil:
		return 0, ctx.Err()
	case err != nil:
		return 0, broken(f.where(digest), "this blob cannot be read").Because(err)
	case hexOf(sum) != digest:
		return 0, broken(f.where(digest), altered)
	}
	return size, nil
}

// walk goes through everything in the order of its digest; stray is told what is no blob.
func (f *folder) walk(ctx context.Context, each func(digest string, e fs.DirEntry) error, stray func(name string)) error {
	tops, err := f.entries(".")
	if err != nil {
		return err
	}
	for _, top := range tops {
		if err := ctx.Err(); err != nil {
			return err
		}
		if !top.IsDir() {
			if !strings.HasPrefix(top.Name(), coming) {
				stray(top.Name())
			}
			continue
		}
		blobs, err := f.entries(top.Name())
		if err != nil {
			return err
		}
		for _, e := range blobs {
			if digest := e.Name(); isDigest(digest) && digest[:2] == top.Name() && e.Type().IsRegular() {
				err = each(digest, e)
			} else {
				stray(filepath.Join(top.Name(), e.Name()))
			}
			if err != nil {
				return err
			}
		}
	}
	return nil
}

// List tells every blob, in the order of the digests.
func (f *folder) List(ctx context.Context, each func(digest string, size int64, at time.Time) error) error {
	return f.walk(ctx, func(digest string, e fs.DirEntry) error {
		info, err := e.Info()
		if err != nil {
			return explain(f.where(digest), err)
		}
		return each(digest, info.Size(), info.ModTime())
	}, func(string) {})
}

// Check verifies every blob.
func (f *folder) Check(ctx context.Context, progress func(done, total int64)) (faults []book.Fault, err error) {
	var all []string
	err = f.walk(ctx, func(digest string, _ fs.DirEntry) error { all = append(all, digest); return nil }, func(name string) {
		faults = append(faults, book.Fault{What: strayed, Where: filepath.Join(f.path, name), Next: "look what it is, and put it somewhere else"})
	})
	if err != nil {
		return faults, err
	}
	return check(ctx, f, all, faults, progress)
}
