package freight

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io/fs"
	"os"
	"path"

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
